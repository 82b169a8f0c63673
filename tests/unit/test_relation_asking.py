"""`rimwright relation`: the list, the answers in both forms, and what is refused."""

import json
import subprocess
import sys

import pytest
from typer.testing import CliRunner

from rimwright.cli.main import app
from rimwright.desk.asking import ask
from rimwright.desk.relations import RELATIONS
from rimwright.errors import OutsideValidityError, RimwrightError
from rimwright.sources import SOURCES, Provenance

#: One good question for every relation, and an answer worked out apart from it or printed.
ASKED = {
    "emc": (["temperature=70degF", "humidity=45%"], 0.085, 0.0006),
    "density": (["gravity_12=0.55", "moisture=12%"], 616.0, 1e-9),
    "swelling": (["from_moisture=10%", "to_moisture=11%", "shrinkage=9.9%"], 0.00353, 5e-6),
    "water_uptake": (["time=10min"], 0.002 * 600**0.5, 1e-12),
    "moisture_diffusion": (["moisture=0.2", "temperature=20degC"], 6.5e-11, 5e-13),
    "conductivity": (["specific_gravity=0.66", "moisture=12%"], 0.18, 0.006),
    "specific_heat": (["moisture=12%", "temperature=340 K"], 1910.0, 6.0),
    "softening_temperature": (["moisture=0"], 193.0, 1e-9),
    "scorch_temperature": (["duration=5min"], 185.0, 1e-9),
    "glow_temperature": ([], 200.0, 0.0),
    "ignition_temperature": ([], 250.0, 0.0),
    "stiffness_ratio": (["moisture=12%", "temperature=20degC"], 1.0, 1e-12),
    "bending_strength_ratio": (["moisture=12%", "temperature=20degC"], 1.0, 1e-12),
    "tension_strength_ratio": (["moisture=12%", "temperature=50degC"], 0.96, 1e-9),
    "compression_strength_ratio": (["moisture=12%", "temperature=50degC"], 0.75, 1e-9),
    "springback_ratio": (["x=5%"], 0.8505, 1e-12),
    "type_k_emf": (["temperature=120degC"], 4.9199e-3, 6e-8),
}
#: Inputs past which nothing changes: answered, with a caution.
HELD = {"softening_temperature", "swelling"}


def test_every_relation_is_asked_here():
    assert set(ASKED) == set(RELATIONS)


@pytest.mark.parametrize("name", RELATIONS)
def test_answer(name):
    given, expected, tolerance = ASKED[name]
    answer = ask(name, given)
    assert answer.value == pytest.approx(expected, abs=tolerance)
    assert not answer.warnings
    if answer.low is not None:
        assert answer.low <= answer.value <= answer.high


@pytest.mark.parametrize("relation", RELATIONS.values(), ids=list(RELATIONS))
def test_every_relation_says_what_it_rests_on(relation):
    assert relation.meaning.endswith(".")
    if relation.provenance is Provenance.PUBLISHED:
        assert relation.source in SOURCES
    if relation.provenance is Provenance.ASSUMED:
        assert relation.spread is not None


@pytest.mark.parametrize("relation", RELATIONS.values(), ids=list(RELATIONS))
def test_outside_its_range_a_relation_cautions_or_refuses(relation):
    units = {"fraction": "", "temperature": " degC", "time": " s"}
    middles = {
        each.name: f"{each.name}={0.5 * (each.low + each.high)}{units[each.kind]}"
        for each in relation.inputs
    }
    for each in relation.inputs:
        span = each.high - each.low
        for outside in (each.low - 0.02 * span, each.high + 0.02 * span):
            given = middles | {each.name: f"{each.name}={outside}{units[each.kind]}"}
            try:
                answer = ask(relation.name, list(given.values()))
            except OutsideValidityError:
                continue
            assert len(answer.warnings) == 1
            assert f"{each.name} {outside:g} lies outside" in answer.warnings[0]


@pytest.mark.parametrize(
    ("name", "given", "words"),
    [
        ("emk", [], "no relation named 'emk'.*perhaps emc"),
        ("emc", [], "no temperature.*add temperature=70degF"),
        ("emc", ["temperature=70degF"], "no humidity"),
        ("emc", ["temperature=70degF", "humidity=130%"], "relative humidity 1.3"),
        ("emc", ["temperature=70", "humidity=45%"], "'70' without a unit"),
        ("emc", ["temperature=70degF", "humidity=wet"], "emc, humidity: found 'wet'"),
        ("emc", ["temperature"], "write name=value"),
        ("emc", ["temperature="], "write name=value"),
        ("emc", ["warmth=70degF"], "input 'warmth'"),
        ("emc", ["humidity=1%", "humidity=2%"], "humidity given twice"),
        ("springback_ratio", ["x=0.51"], "x 0.51; expected 0 to 0.5"),
        ("conductivity", ["specific_gravity=0.6", "moisture=40%"], "moisture 0.4; expected"),
        ("specific_heat", ["moisture=nan", "temperature=20degC"], "found 'nan'"),
        ("type_k_emf", ["temperature=1400degC"], "1400 °C"),
        ("glow_temperature", ["x=1"], "asks for nothing"),
    ],
)
def test_refused(name, given, words):
    with pytest.raises(RimwrightError, match=words):
        ask(name, given)


def test_json_of_an_answer():
    done = CliRunner().invoke(app, ["relation", "softening_temperature", "moisture=15%", "--json"])
    data = json.loads(done.stdout)
    assert {"relation", "value", "unit", "inputs", "valid", "source", "provenance"} <= set(data)
    assert data["unit"] == "degC"
    assert data["inputs"] == {"moisture": 0.15}
    assert data["valid"] == {"moisture": {"low": 0.0, "high": 0.30}}
    assert data["range"]["low"] < data["value"] < data["range"]["high"]
    assert data["provenance"] == "derived"


def test_the_list_names_every_relation_with_its_source():
    words = CliRunner().invoke(app, ["relation"]).stdout
    listed = json.loads(CliRunner().invoke(app, ["relation", "--json"]).stdout)
    assert [each["relation"] for each in listed] == list(RELATIONS)
    for relation in RELATIONS.values():
        assert f"\n{relation.name} " in f"\n{words}"


def test_an_answer_in_words_says_what_it_was_asked_and_where_it_stops_holding():
    given = ["relation", "stiffness_ratio", "moisture=20%", "temperature=230degF"]
    words = CliRunner().invoke(app, given).stdout
    assert words.startswith("stiffness_ratio = 0.6656")
    assert "for moisture 0.2, temperature 110 °C" in words
    assert "caution: temperature 110 lies outside 0 to 65.6 °C" in words


def test_one_line_exit_code_2_and_no_compiler():
    code = (
        "import sys; sys.argv = ['rimwright', 'relation', 'emc', 'temperature=70degF', "
        "'humidity=130%']\n"
        "from rimwright.cli.main import run\n"
        "try:\n    run()\n"
        "finally:\n    assert 'numba' not in sys.modules and 'pint' not in sys.modules"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 2
    assert done.stdout == ""
    assert done.stderr.count("\n") == 1
    assert done.stderr.startswith("found relative humidity 1.3; expected 0 to 0.95")
