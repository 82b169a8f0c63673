"""Heat that cannot be: one clear line each, and nothing written."""

import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from rimwright.bending.heat import heat_run
from rimwright.bending.heat_inputs import HeatInputs
from rimwright.equipment.stack import Blanket, Equipment, Layer
from rimwright.errors import RimwrightError

USUAL = Equipment()
COMMAND = str(Path(sys.executable).with_name("rimwright"))
WREN = Path(__file__).parents[2] / "examples" / "tern-lane" / "wren.rim.toml"


def inputs(**changed):
    return HeatInputs(thickness_m=changed.pop("thickness_m", 0.0021), **changed)


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        (inputs(target_c=230.0), r"target of 230 °C.*below 200 °C, where wood begins to glow"),
        (inputs(target_c=float("nan")), "target of nan"),
        (inputs(early_alarm_c=120.0), "early alarm at 120 °C and a target of 110"),
        (inputs(early_alarm_c=15.0), "above the room's temperature"),
        (
            inputs(equipment=replace(USUAL, blanket=Blanket(power_density_w_m2=1550.0))),
            r"1\.0 W/in² that never reaches 110 °C.*more than about 2\.0 W/in².*stronger blanket",
        ),
        (
            inputs(equipment=replace(USUAL, blanket=Blanket(power_density_w_m2=0.0))),
            "blanket without power",
        ),
        (
            inputs(equipment=replace(USUAL, layers=USUAL.layers[:2] + USUAL.layers[3:])),
            "stack with no side.*add the side",
        ),
        (
            inputs(equipment=replace(USUAL, layers=USUAL.layers[:5])),
            "stack with no blanket.*add the blanket",
        ),
        (
            inputs(equipment=replace(USUAL, layers=(*USUAL.layers, USUAL.layers[5]))),
            "stack with 2 blanket",
        ),
        (
            inputs(
                equipment=replace(
                    USUAL, layers=(*USUAL.layers, Layer(kind="cover", material="silicone",
                                                        thickness_m=0.0))
                )
            ),
            "cover of silicone without thickness",
        ),
        (inputs(thickness_m=0.0), "side 0 mm thick.*0.1 to 50 mm"),
        (inputs(thickness_m=float("nan")), "side nan mm thick"),
        (inputs(equipment=replace(USUAL, probe_above_layer=6)), "probe above layer 7 of 7"),
        (inputs(equipment=replace(USUAL, humidity=1.3)), r"relative humidity 1\.3"),
        (inputs(bend_s=0.0), "bend of 0 s"),
        (inputs(rest_s=-1.0), "rest of -1 s"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_one_line(wrong, words):
    with pytest.raises(RimwrightError, match=words) as caught:
        heat_run(wrong)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (["--target", "450 degF"], "where wood begins to glow"),
        (["--target", "5 mm"], "--target"),
        (["--wood", "oak"], "--wood beside a design file"),
    ],
)
def test_the_command_refuses_in_one_line_and_writes_nothing(tmp_path, options, words):
    out = tmp_path / "out"
    done = subprocess.run(
        [COMMAND, "heat", str(WREN), "-o", str(out), *options],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 2
    assert done.stdout == ""
    assert words in done.stderr
    assert done.stderr.count("\n") == 1
    assert not out.exists()
