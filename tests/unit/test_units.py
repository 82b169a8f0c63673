"""Quantities in and out."""

import time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rimwright.errors import UnitError
from rimwright.units import _SPELLINGS, COMMON, _registry, length_text, parse


@pytest.mark.parametrize(
    ("text", "kind", "expected"),
    [
        ("2.1mm", "length", 0.0021),
        ("85 thou", "length", 85 * 25.4e-6),
        ("15 ft", "length", 4.572),
        ("4 13/16 in", "length", 4.8125 * 0.0254),
        ("13/16″", "length", 0.8125 * 0.0254),
        ("-1/8 in", "length", -0.003175),
        ("0.5 yard", "length", 0.4572),
        ("230 degF", "temperature", 110.0),
        ("110 °C", "temperature", 110.0),
        ("300 kelvin", "temperature", 26.85),
        ("45 %", "fraction", 0.45),
        ("0.45", "fraction", 0.45),
        ("24 h", "time", 86400.0),
        ("5 W/in^2", "power density", 7750.0155),
        ("7.75 kW/m^2", "power density", 7750.0),
    ],
)
def test_reads_what_makers_write(text, kind, expected):
    assert parse(text, kind) == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize(
    ("text", "kind", "words"),
    [
        ("2.1", "length", "without a unit"),
        ("2.1 degF", "length", "a length such as"),
        ("thick", "length", "write the number"),
        ("1/0 in", "length", "write the number"),
        ("1e400 mm", "length", "finite"),
        ("", "time", "'10 min'"),
        ("3 9**99999999", "length", "a length such as"),
        ("1 m**9**9**9", "length", "a length such as"),
        ("9" * 5000 + " mm", "length", "a length such as"),
    ],
)
def test_refuses_in_one_line_and_at_once(text, kind, words):
    start = time.perf_counter()
    with pytest.raises(UnitError, match=words.replace("*", r"\*")) as refused:
        parse(text, kind, where="a.toml line 3")
    assert "\n" not in str(refused.value)
    assert str(refused.value).startswith("a.toml line 3: ")
    assert time.perf_counter() - start < 3.0


@pytest.mark.parametrize("kind", COMMON)
def test_the_short_list_agrees_with_pint(kind):
    target = {"length": "m", "time": "s", "angle": "rad", "fraction": "", "power density": "W/m^2"}
    for unit, factor in COMMON[kind].items():
        assert _registry().Quantity(1.0, unit).to(target[kind]).magnitude == pytest.approx(
            factor, rel=1e-12
        )


def test_spellings_are_units_pint_knows():
    for unit in _SPELLINGS.values():
        assert _registry().Unit(unit)


@given(st.floats(0.0005, 9.0), st.sampled_from(["mm", "in", "thou", "ft", "cm"]))
def test_writing_and_reading_return(length_m, unit):
    text = f"{length_m / COMMON['length'][unit]!r} {unit}"
    assert parse(text, "length") == pytest.approx(length_m, rel=1e-12)


@given(st.floats(0.0, 2.0))
def test_inch_text_is_within_its_promise(length_m):
    text = length_text(length_m, "inch").replace("″", " in")
    assert parse(text, "length") == pytest.approx(length_m, abs=0.0002)
