"""What a line of a board says of one probe."""

import string

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rimwright.equipment.probe_kinds import SerialSettings
from rimwright.live.probes.board import hear
from rimwright.live.probes.words import Heard
from rimwright.live.readings import Fault

LINE = SerialSettings(port="x")


@pytest.mark.parametrize(
    ("line", "settings", "what"),
    [
        ("T = 108.6 C", LINE, 108.6),
        ("waist: open", LINE, Fault.OPEN),
        ("108.6,21.5", LINE, Fault.GARBLED),
        ("108.6,21.5", SerialSettings(port="x", column=2), 21.5),
        ("108.6;21.5", SerialSettings(port="x", column=2), 21.5),
        ("108.6\t21.5", SerialSettings(port="x", column=2), 21.5),
        ("108.6  21.5", SerialSettings(port="x", column=2), 21.5),
        ("108,6;21,5", SerialSettings(port="x", column=2, decimal="comma"), 21.5),
        ("108,6 21,5", SerialSettings(port="x", column=2, decimal="comma"), 21.5),
        ("12 s, T2: 70.7 F", SerialSettings(port="x", column=2), 21.5),
        ("1 2,21.5", SerialSettings(port="x", column=2, separator="comma"), 21.5),
        ("108.6", SerialSettings(port="x", column=2), Fault.GARBLED),
        ("108.6,", SerialSettings(port="x", column=2), Fault.GARBLED),
        ("fault", SerialSettings(port="x", column=2), Fault.OPEN),
        ("21.5,nan", SerialSettings(port="x", column=2), Fault.OPEN),
        ("nan,21.5", SerialSettings(port="x", column=2), 21.5),
        ("E1,21.5", SerialSettings(port="x", column=2, says_open="E1"), 21.5),
        ("21.5,E1", SerialSettings(port="x", column=2, says_open="E1"), Fault.OPEN),
        ("E1", SerialSettings(port="x", column=2, says_open="E1"), Fault.OPEN),
        ("time,T1", SerialSettings(port="x", column=2), Fault.GARBLED),
        ("T1=108.6 T2=1", SerialSettings(port="x", pattern=r"T1=(\S+)"), 108.6),
        ("T1=oops", SerialSettings(port="x", pattern=r"T1=(\S+)"), Fault.GARBLED),
        ("T1=108.6", SerialSettings(port="x", pattern=r"T2=(?P<value>\S+)"), None),
        ("T1=", SerialSettings(port="x", pattern=r"T1=(\S*)"), Fault.GARBLED),
        ("at 108.6 now", SerialSettings(port="x", pattern=r"\d+\.\d"), 108.6),
        ("open", SerialSettings(port="x", pattern=r"T1=(\S+)"), Fault.OPEN),
    ],
)
def test_lines(line: str, settings: SerialSettings, what: float | Fault | None):
    said = hear(line, settings)
    if what is None:
        assert said is None
    elif isinstance(what, Fault):
        assert said == Heard(None, what, line)
    else:
        assert said == Heard(pytest.approx(what), None, line)


@given(st.text(alphabet=string.printable, max_size=60), st.integers(1, 4))
def test_any_line_is_one_or_the_other(line: str, column: int):
    for settings in (
        LINE,
        SerialSettings(port="x", column=column),
        SerialSettings(port="x", column=column, cold_column=1, unit="mV"),
        SerialSettings(port="x", pattern="T(.*)"),
    ):
        said = hear(line, settings)
        if said is not None:
            assert (said.celsius is None) == (said.fault is not None)


MILLIVOLTS = SerialSettings(port="x", column=1, cold_column=2, unit="mV")


@pytest.mark.parametrize(
    ("line", "what"),
    [
        ("4.508,0.0", 110.0), ("3.59,23.0", 110.0), ("3.59 mV,23 C", 110.0),
        ("open,23.0", Fault.OPEN), ("3.59,nan", Fault.OPEN), ("3.59", Fault.GARBLED),
        ("3.59,x", Fault.GARBLED), ("3.59 C,23.0", Fault.GARBLED), ("3.59,73 F", Fault.GARBLED),
        ("60.0,23.0", Fault.OUT_OF_RANGE), ("-9.0,23.0", Fault.OUT_OF_RANGE),
        ("40.0,23.0", Fault.OUT_OF_RANGE), ("3.59,120", Fault.OUT_OF_RANGE),
        ("3.59,-99", Fault.OUT_OF_RANGE), ("1e9,23", Fault.OUT_OF_RANGE),
    ],
)  # fmt: skip
def test_millivolts(line: str, what: float | Fault):
    said = hear(line, MILLIVOLTS)
    assert said is not None
    if isinstance(what, Fault):
        assert (said.celsius, said.fault) == (None, what)
    else:
        assert said.celsius == pytest.approx(what, abs=0.05)
