"""Forms that cannot be made to allow for spring-back: one clear line, nothing written."""

from dataclasses import replace
from pathlib import Path

import pytest

from rimwright.desk.forming import form_design, with_form
from rimwright.errors import DesignError
from rimwright.instrument.design_files.load import design_from_text, load_design

TERN_LANE = Path(__file__).parents[2] / "examples" / "tern-lane"
CURLEW = TERN_LANE / "curlew.rim.toml"


def test_no_wood_no_compensated_form() -> None:
    curlew = load_design(CURLEW)
    with pytest.raises(DesignError, match=r"no wood.*next: name it"):
        form_design(replace(curlew, sides=replace(curlew.sides, wood=None, thickness_m=0.002)))


def test_an_unknown_form_is_named() -> None:
    with pytest.raises(DesignError, match="--form: found a form 'bent'"):
        with_form(load_design(CURLEW), "bent")
    text = CURLEW.read_text(encoding="utf-8") + '\n[tooling]\nform = "bent"\n'
    with pytest.raises(DesignError, match=r"tooling.form|form"):
        design_from_text(text, CURLEW)


def test_a_target_past_scorch_is_refused_before_any_form() -> None:
    curlew = load_design(CURLEW)
    with pytest.raises(DesignError):
        form_design(replace(curlew, heating=replace(curlew.heating, target_c=300.0)))
