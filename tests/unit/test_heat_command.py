"""`rimwright heat`: words, data, and a chart that is what the run says."""

import json
import re
from pathlib import Path

import pytest
from typer.testing import CliRunner

from rimwright.cli.main import app
from rimwright.desk.heating import heat_inputs, heat_of
from rimwright.desk.opening import open_design
from rimwright.plan import make_plan

TERN_LANE = Path(__file__).parents[2] / "examples" / "tern-lane"
WREN = TERN_LANE / "wren.rim.toml"


def heat(*options):
    done = CliRunner().invoke(app, ["heat", *map(str, options)], catch_exceptions=False)
    assert done.exit_code == 0
    return done.stdout


def test_words_files_and_data_agree(tmp_path):
    words = heat(WREN, "-o", tmp_path / "out")
    document = json.loads((tmp_path / "out" / "heat.json").read_text(encoding="utf-8"))
    assert {path.name for path in (tmp_path / "out").iterdir()} == {
        "heat.json", "heat.png", "heat.svg"
    }  # fmt: skip
    assert f"with about {document['hold_fraction']['middle']:.0%} of full power" in words
    assert f"middle {document['core_at_target_c']['middle']:.0f} °C" in words
    assert "What if" in words
    assert "Rests on" in words
    assert "assumed" in words


def test_json_alone_is_the_same_document(tmp_path):
    printed = heat(WREN, "--json")
    heat(WREN, "-o", tmp_path)
    assert printed == (tmp_path / "heat.json").read_text(encoding="utf-8")
    document = json.loads(printed)
    assert document["format"] == "rimwright-heat/1"
    lengths = {len(curve) for curve in document["curves"].values()}
    assert len(lengths) == 1
    assert abs(document["heat_balance_missing"]) < 1e-3


def test_the_chart_is_the_same_every_time_and_names_its_lines(tmp_path):
    first = heat(WREN, "-o", tmp_path / "one") and (tmp_path / "one" / "heat.svg").read_bytes()
    heat(WREN, "-o", tmp_path / "two")
    assert (tmp_path / "two" / "heat.svg").read_bytes() == first
    # Text is drawn as outlines; matplotlib leaves what it says in comments.
    said = set(re.findall(r"<!-- (.*?) -->", first.decode()))
    assert {
        "probe", "outside face", "middle of the wood", "inside face", "softens",
        "target 110 °C", "early alarm 100 °C", "minutes since the heat was turned on",
        "temperature, °C", "Wren: heat of a misted side, 2.16 mm",
    } <= said  # fmt: skip


def test_another_target_moves_the_early_alarm_along():
    plan = make_plan(open_design(WREN))
    run, _ = heat_of(plan, target_c=118.0)
    assert (run.inputs.early_alarm_c, run.inputs.target_c) == (108.0, 118.0)


def test_recipe_and_heat_say_the_same():
    plan = make_plan(open_design(WREN))
    run, _ = heat_of(plan)
    assert plan.recipe.warm_up.to_target_s.middle == pytest.approx(run.to_target_s.middle, rel=0.01)
    assert plan.recipe.warm_up.hold_fraction.middle == pytest.approx(
        run.hold_fraction.middle, rel=0.02
    )


def test_a_side_without_a_wood_is_taken_as_the_recipe_takes_it():
    plan = make_plan(open_design(WREN))
    inputs = heat_inputs(plan.design, None, 0.002)
    assert inputs.gravity == pytest.approx(0.625)
    assert inputs.rest_s == 86_400.0
