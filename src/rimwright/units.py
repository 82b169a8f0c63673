"""The one door for quantities: a maker's text in, SI numbers out, and back.

Pint does the units. It takes a fifth of a second to import, so the dozen units that makers
write are looked up first; a test holds that short list against pint.
"""

from __future__ import annotations

import math
import re
from fractions import Fraction
from functools import cache
from typing import TYPE_CHECKING, Literal

from rimwright.errors import UnitError

if TYPE_CHECKING:
    from pint import UnitRegistry

#: What a quantity may be, the SI unit it becomes, and an example for the message.
Kind = Literal[
    "length", "temperature", "time", "angle", "power", "power density", "fraction", "area"
]
_TARGETS: dict[str, tuple[str, str]] = {
    "length": ("metre", "'2.1 mm', '85 thou' or '15 ft'"),
    "temperature": ("degC", "'110 degC' or '230 degF'"),
    "time": ("second", "'10 min' or '24 h'"),
    "angle": ("radian", "'35 deg'"),
    "power": ("watt", "'600 W'"),
    "power density": ("watt / metre ** 2", "'5 W/in^2' or '7.8 kW/m^2'"),
    "fraction": ("dimensionless", "'45 %' or 0.45"),
    "area": ("metre ** 2", "'0.1 m^2'"),
}
#: Units looked up without pint: factor to SI, by the spelling.
COMMON: dict[str, dict[str, float]] = {
    "length": {
        "mm": 1e-3, "cm": 1e-2, "m": 1.0, "in": 0.0254, "inch": 0.0254, "thou": 25.4e-6,
        "ft": 0.3048, "foot": 0.3048,
    },
    "time": {"s": 1.0, "min": 60.0, "h": 3600.0},
    "angle": {"deg": math.pi / 180.0, "degree": math.pi / 180.0, "rad": 1.0},
    "fraction": {"percent": 0.01, "dimensionless": 1.0},
    "power density": {"W/in^2": 1.0 / 0.0254**2, "W/m^2": 1.0},
}  # fmt: skip
#: Longer than any quantity; what is longer is not one.
_LONGEST = 80
#: A giant power, or a power of a power, would keep pint busy for hours; no unit has one.
_POWER = re.compile(r"\^|\*\*")
_BIG_POWER = re.compile(r"(\^|\*\*)\s*[(+-]*\s*\d{2}")
_NUMBER = r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?"
_MIXED = re.compile(r"^\s*([+-]?)(?:(\d+)[\s-]+)?(\d+)\s*/\s*(\d+)\s*(.*)$")
_PLAIN = re.compile(rf"^\s*({_NUMBER})\s*(.*)$")
#: As makers write them; pint knows the rest.
_SPELLINGS = {
    '"': "inch", "″": "inch", "”": "inch", "'": "foot", "′": "foot", "’": "foot",
    "thousandths": "thou", "%": "percent", "°C": "degC", "°F": "degF", "°": "degree",
    "C": "degC", "F": "degF",
}  # fmt: skip


@cache
def _registry() -> UnitRegistry[float]:
    from pint import UnitRegistry

    return UnitRegistry()


@cache
def parse(text: str, kind: Kind, *, where: str = "") -> float:
    """Read a quantity with its unit as an SI number.

    Parameters
    ----------
    text : str
        Such as ``"85 thou"``, ``"4 13/16 in"``, ``"230 degF"``.
    kind : str
        What it must be: "length", "temperature", "time", "angle", "power",
        "power density", "fraction" or "area".
    where : str, default ""
        File, line and key, for the message.

    Returns
    -------
    float
        In metres, °C, seconds, radians, watts, W/m², fractions or m².

    Raises
    ------
    UnitError
        If there is no number, no unit, or a unit of another kind.

    Examples
    --------
    >>> round(parse("85 thou", "length") * 1e3, 3)  # [mm]
    2.159
    >>> round(parse("4 13/16 in", "length") * 1e3, 2)  # [mm]
    122.24
    >>> round(parse("230 degF", "temperature"), 6)  # [°C]
    110.0
    """
    target, example = _TARGETS[kind]
    expected = f"a {kind} such as {example}"
    if len(text) > _LONGEST or len(_POWER.findall(text)) > 1 or _BIG_POWER.search(text):
        raise UnitError(
            f"'{text[:24]}...'", expected, "write the number with its unit", where=where
        )
    value, unit = _split(text.strip(), kind, example, where)
    unit = _SPELLINGS.get(unit, unit)
    if unit in COMMON.get(kind, ()):
        number = value * COMMON[kind][unit]
    elif kind == "temperature" and unit in ("degC", "degF"):
        number = value if unit == "degC" else (value - 32.0) / 1.8
    else:
        try:
            number = float(_registry().Quantity(value, unit).to(target).magnitude)
        except Exception as error:  # pint raises many kinds, some of them not its own
            raise UnitError(
                f"'{text}'", expected, "write the number with its unit", where=where
            ) from error
    if not math.isfinite(number):
        raise UnitError(f"'{text}'", f"a finite {kind}", "write an ordinary number", where=where)
    return number


def _split(text: str, kind: str, example: str, where: str) -> tuple[float, str]:
    """The number and the unit's spelling."""
    if mixed := _MIXED.match(text):
        sign, whole, top, bottom, unit = mixed.groups()
        if int(bottom):
            value = float(int(whole or 0) + Fraction(int(top), int(bottom)))
            value, unit = (-value if sign else value), unit.strip()
            if unit:
                return value, unit
    elif plain := _PLAIN.match(text):
        value, unit = float(plain.group(1)), plain.group(2).strip()
        if unit:
            return value, unit
        if kind == "fraction":
            return value, "dimensionless"
        raise UnitError(
            f"'{text}' without a unit", f"a {kind} such as {example}", "add the unit", where=where
        )
    raise UnitError(
        f"'{text}'", f"a {kind} such as {example}", "write the number with its unit", where=where
    )


def length_text(length_m: float, show: Literal["metric", "inch"], *, fine: bool = False) -> str:
    """A length as a maker reads it: tenths of mm (hundredths if `fine`), or inches.

    In inch, coarse lengths come in the fractions of a rule, down to 64ths, true within
    0.2 mm; fine ones, and what is less than an eighth, as thousandths.

    Examples
    --------
    >>> length_text(0.0021, "metric", fine=True), length_text(0.002159, "inch", fine=True)
    ('2.10 mm', '0.085″')
    >>> length_text(0.47, "metric"), length_text(0.1222375, "inch")
    ('470.0 mm', '4 13/16″')
    >>> length_text(0.4653, "inch"), length_text(0.0013, "inch")
    ('18 5/16″', '0.051″')
    """
    if show == "metric":
        return f"{length_m * 1e3:.{2 if fine else 1}f} mm"
    inches = length_m / 0.0254
    if fine or 1e-9 < abs(inches) < 0.125:
        return f"{inches:.3f}″"
    on_rule = Fraction(round(inches * 64), 64)
    sign = "-" if on_rule < 0 else ""
    whole, rest = divmod(abs(on_rule), 1)
    if not rest:
        return f"{sign}{whole}″"
    part = f"{rest.numerator}/{rest.denominator}″"
    return f"{sign}{whole} {part}" if whole else f"{sign}{part}"


def temperature_text(celsius: float, show: Literal["metric", "inch"]) -> str:
    """A temperature in the maker's degrees.

    Examples
    --------
    >>> temperature_text(110.0, "inch"), temperature_text(110.0, "metric")
    ('230 °F', '110 °C')
    """
    return f"{celsius * 1.8 + 32:.0f} °F" if show == "inch" else f"{celsius:.0f} °C"


def time_text(seconds: float) -> str:
    """A time in the largest unit that reads well.

    Examples
    --------
    >>> time_text(45), time_text(600), time_text(150), time_text(86400)
    ('45 s', '10 min', '2 min 30 s', '24 h')
    """
    if seconds < 90:
        return f"{seconds:.0f} s"
    if seconds < 5400:
        minutes, rest = divmod(round(seconds / 10) * 10, 60)
        return f"{minutes:.0f} min" + (f" {rest:.0f} s" if rest else "")
    hours = seconds / 3600
    return f"{hours:.0f} h" if abs(hours - round(hours)) < 0.05 else f"{hours:.1f} h"
