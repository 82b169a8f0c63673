"""The probes of the shop file."""

from pathlib import Path

import pytest

from rimwright.equipment.probe_kinds import ReplaySettings
from rimwright.equipment.probes import parse_probe
from rimwright.errors import DesignError
from rimwright.instrument.design_files.load import load_shop, shop_from_text
from rimwright.instrument.design_files.new_text import SHOP_TEXT

TERN_LANE = Path(__file__).parents[3] / "examples" / "tern-lane" / "shop.toml"
PATH = Path("lane/shop.toml")


def test_a_shop_without_probes_has_none():
    assert load_shop(TERN_LANE).probes == ()


def uncommented(text: str) -> str:
    """The block of the probes with its # taken away."""
    block = text[text.index("# [[probes]]") :].split("\n\n", maxsplit=1)[0]
    return "\n".join(line.removeprefix("# ") for line in block.split("\n")) + "\n"


@pytest.mark.parametrize("text", [TERN_LANE.read_text(), SHOP_TEXT], ids=["Tern Lane", "new"])
def test_the_example_is_a_probe(text: str):
    (probe,) = shop_from_text(uncommented(text), PATH).probes
    assert (probe.name, probe.kind, probe.how.port) == ("waist", "serial", "/dev/ttyUSB0")
    assert probe.place == "between slat and blanket at the waist"


def test_file_and_command_line_say_the_same():
    text = (
        '[[probes]]\nname = "waist"\nkind = "modbus"\naddress = "/dev/ttyUSB1"\nregister = 7\n'
        'scale = 0.1\nopen_values = [65535]\nevery = "0.5 s"\nsigned = false\nunit = "degF"\n'
        '[[probes]]\nname = "horn"\nkind = "mqtt"\nbroker = "broker.shop"\ntopic = "shop/horn"\n'
        'value = "t.0"\n'
    )
    assert shop_from_text(text, PATH).probes == (
        parse_probe(
            "waist=modbus:/dev/ttyUSB1,register=7,scale=0.1,open_values=65535,every=500ms,"
            "signed=no,unit=F"
        ),
        parse_probe("horn=mqtt:broker.shop,topic=shop/horn,value=t.0"),
    )


def test_a_recording_lies_beside_the_shop_file():
    text = '[[probes]]\nname="waist"\nkind="replay"\nrecording="{}"\n'
    (first,) = shop_from_text(text.format("runs/first.csv"), PATH).probes
    (second,) = shop_from_text(text.format("12"), PATH).probes
    assert isinstance(first.how, ReplaySettings)
    assert first.how.recording == "lane/runs/first.csv"
    assert second.how.recording == "12"


WAIST = '[[probes]]\nname = "waist"\nkind = "serial"\nport = "/dev/x"\n'


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (WAIST + "baud = 10\n", "line 5, probes[1].baud: found 10; expected a number"),
        (WAIST + 'baud = "9600"\n', "probes[1].baud: found '9600'; expected a whole number"),
        (WAIST + "bawd = 9600\n", "line 5, probes[1].bawd: found an unknown key 'bawd'"),
        (WAIST + "register = 7\n", "line 5, probes[1].register: found register on a serial"),
        (WAIST + 'unit = "mV"\n', "line 5, probes[1].unit: found millivolts without"),
        (WAIST + 'pattern = "("\n', "line 5, probes[1].pattern: found '('"),
        (WAIST.replace("serial", "cereal"), "line 3, probes[1].kind: found 'cereal'"),
        (WAIST.replace("waist", "a/b"), "line 2, probes[1].name: found 'a/b'"),
        (WAIST + WAIST, "line 6, probes[2].name: found two probes named 'waist'"),
        (WAIST + WAIST.replace("waist", "horn") + "baud = 1200\n", "line 9, probes[2].baud: found"),
        ('[[probes]]\nname = "w"\nkind = "http"\ntoken = "hush"\n', "line 4, probes[1].token:"),
        ('[[probes]]\nname = "w"\nkind = "http"\ntoken_sha256 = "hush"\n', "no SHA-256 hash"),
        ('[probes]\nname = "waist"\n', "expected a list, or tables [[probes]]"),
    ],
)
def test_refused_with_line_and_key(text: str, words: str):
    with pytest.raises(DesignError) as refusal:
        shop_from_text(text, PATH)
    line = str(refusal.value)
    assert words in line
    assert "\n" not in line
    assert "hush" not in line
