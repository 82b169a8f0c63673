"""From the text of a board to a temperature or a fault."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rimwright.live.probes.words import COLDEST_C, HOTTEST_C, heard
from rimwright.live.readings import Fault

NUMBERS = {
    108.6: ["108.6", " +108.6 ", "1.086e2", "108.6 C", "108.6°C", "108.6\ufffdC", "108.6 degC"],
    -5.5: ["-5.5", "−5.5", "-5.50"],
    0.5: [".5", "0.5", "+.5"],
    21.0: ["21", "21.", "21.0°"],
    100.0: ["212 F", "212°F", "212.0 degF", "100.00000000000000"],
}
FAULTS = {
    Fault.OPEN: [
        "nan", "NaN", "null", "Open", "OPEN CIRCUIT", "open_wire", "FAULT", "---", "****", "n/a",
        "fault 0x01", "err 5", "err 17", "no probe",
    ],
    Fault.SHORT: ["Short", "short to GND", "scv", "FAULT: 2", "error=4", "fault 0x06"],
    Fault.OUT_OF_RANGE: [
        "inf", "-inf", "OVF", "hi", "65535", "1372", "-200", "1e99", "350.1", "-30.1",
    ],
    Fault.UNPLUGGED: ["offline", "unavailable"],
    Fault.GARBLED: [
        "", "-", "1O8.6", "108,6", "108.6.2", "108 6", "108.6 K", "5%", "108.6mV", "12\ufffd",
        "\x00108", "0x6C", "١٠٨", "1_08", "9" * 400, "1,234.5", "fault 0", "12\n13", "--5",
    ],
}  # fmt: skip


@pytest.mark.parametrize(("celsius", "text"), [(c, t) for c, ts in NUMBERS.items() for t in ts])
def test_numbers(celsius: float, text: str):
    said = heard(text)
    assert (said.celsius, said.fault, said.text) == (celsius, None, text)


@pytest.mark.parametrize(("fault", "text"), [(f, t) for f, ts in FAULTS.items() for t in ts])
def test_faults(fault: Fault, text: str):
    said = heard(text)
    assert (said.celsius, said.fault, said.text) == (None, fault, text)


def test_degrees_of_the_settings_and_of_the_board():
    assert heard("212", "degF").celsius == 100.0
    assert heard("100 C", "degF").celsius == 100.0


def test_decimal_comma_where_it_is_said():
    assert heard("108,6", decimal="comma").celsius == 108.6
    assert heard("108.6", decimal="comma").celsius == 108.6
    assert heard("1,234.5", decimal="comma").fault is Fault.GARBLED


def test_the_shops_own_words_go_first():
    assert heard("85.0", says_open=r"^85\.0$").fault is Fault.OPEN
    assert heard("0.00", says_short=r"^0\.00$").fault is Fault.SHORT
    assert heard("0.01", says_short=r"^0\.00$").celsius == 0.01


@given(st.text(max_size=40))
def test_a_text_is_a_temperature_only_if_it_is_a_number(text: str):
    said = heard(text)
    assert (said.celsius is None) == (said.fault is not None)
    if said.celsius is not None:
        assert COLDEST_C <= said.celsius <= HOTTEST_C
        bare = "".join(c for c in text.replace("−", "-") if c in "0123456789+-.eE")
        assert float(bare.rstrip("e")) in (
            said.celsius, pytest.approx(said.celsius * 1.8 + 32.0),
        )  # fmt: skip
