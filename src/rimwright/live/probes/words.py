"""What a board says, as a temperature or as a fault; never a fault as a temperature."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from rimwright.live.readings import Fault

#: A shop in winter, and more than a blanket without control reaches (260 °C, common practice, no
#: source); assumed. Beyond them a figure is a board's way of saying that something is wrong. [degC]
COLDEST_C, HOTTEST_C = -30.0, 350.0

#: What boards print where there is no temperature, in small letters; common practice, no source.
#: A broken wire is the usual cause where a word does not say which fault it is.
WORDS: dict[str, Fault] = {
    **dict.fromkeys(
        ("nan", "null", "none", "open", "open circuit", "open wire", "oc", "ol", "no probe",
         "no sensor", "no thermocouple", "not connected", "n/a", "fault", "err", "error"),
        Fault.OPEN,
    ),
    **dict.fromkeys(
        ("short", "shorted", "short circuit", "sc", "scg", "scv", "short to ground",
         "short to gnd", "short to supply", "short to vcc"),
        Fault.SHORT,
    ),
    **dict.fromkeys(
        ("inf", "infinity", "ovf", "overflow", "over", "over range", "overrange", "under",
         "under range", "underrange", "hi", "high", "lo", "low"),
        Fault.OUT_OF_RANGE,
    ),
    **dict.fromkeys(("offline", "unavailable", "disconnected"), Fault.UNPLUGGED),
}  # fmt: skip

#: Fault bits of amplifier chips as boards print them: 1 open, 2 and 4 shorted to ground or
#: supply; common practice, no source.
_BITS = re.compile(r"(?:fault|err|error)\W{1,3}(?:0x)?([0-9a-f]{1,2})")
_OPEN_BIT, _SHORT_BITS = 0x01, 0x06


def _number(mark: str) -> re.Pattern[str]:
    figures = rf"[0-9]{{1,9}}{mark}?[0-9]{{0,20}}|{mark}[0-9]{{1,20}}"
    return re.compile(rf"([+-]?(?:{figures})(?:[eE][+-]?[0-9]{{1,2}})?)(.*)")


_NUMBER = {"point": _number(r"\."), "comma": _number("[.,]")}
#: Behind the number. A degree sign that was lost on the way counts with its letter alone.
_UNIT = re.compile(r"\s*(?:[°º˚]|\uFFFD(?=[CF])|deg(?:rees)?)?\s*([CF]|m[Vv])?\s*")
_UNITS = {"C": "degC", "F": "degF", "mV": "mV", "mv": "mV"}


@dataclass(frozen=True, slots=True)
class Heard:
    """A temperature or a fault, and the text it was heard as."""

    #: [degC]
    celsius: float | None
    fault: Fault | None
    text: str = ""


def number_in(text: str, decimal: str = "point") -> tuple[float, str] | None:
    """The number that a text is, whole, and the unit printed with it; None if it is no number.

    Examples
    --------
    >>> number_in(" 228.2 F"), number_in("110,5", "comma"), number_in("110,5"), number_in("1O8.5")
    ((228.2, 'degF'), (110.5, ''), None, None)
    """
    match = _NUMBER[decimal].fullmatch(text.strip().replace("−", "-"))
    if match is None or (unit := _UNIT.fullmatch(match[2])) is None:
        return None
    return float(match[1].replace(",", ".")), _UNITS.get(unit[1] or "", "")


def fault_in(text: str, says_open: str = "", says_short: str = "") -> Fault | None:
    """The fault that a text names: the shop's own patterns first, then the usual words.

    Examples
    --------
    >>> fault_in("NaN"), fault_in("E1", says_open="^E1$"), fault_in("FAULT 0x04"), fault_in("21.5")
    (<Fault.OPEN: 'open'>, <Fault.OPEN: 'open'>, <Fault.SHORT: 'short'>, None)
    """
    if says_open and re.search(says_open, text):
        return Fault.OPEN
    if says_short and re.search(says_short, text):
        return Fault.SHORT
    word = " ".join(re.sub(r"[_-]", " ", text.lower()).strip(" \t.!:;+\"'").split())
    if match := _BITS.fullmatch(word):
        bits = int(match[1], 16)
        # A number of another scheme says no more than the word "fault" does.
        if bits & _OPEN_BIT or bits > _OPEN_BIT + _SHORT_BITS:
            return Fault.OPEN
        return Fault.SHORT if bits else None
    if re.fullmatch(r"\s*[-_*]{2,}\s*", text):
        return Fault.OPEN  # dashes, as a display shows them
    return WORDS.get(word)


def heard(
    text: str, unit: str = "degC", *, decimal: str = "point", says_open: str = "",
    says_short: str = "",
) -> Heard:  # fmt: skip
    r"""What one text of a board says. A unit printed with the number goes before the settings'.

    Examples
    --------
    >>> heard("228.2", "degF").celsius, heard("65535").fault, heard("\x00\x8f7").fault
    (109.0, <Fault.OUT_OF_RANGE: 'out of range'>, <Fault.GARBLED: 'garbled'>)
    """
    if fault := fault_in(text, says_open, says_short):
        return Heard(None, fault, text)
    number = number_in(text, decimal)
    if number is None or number[1] == "mV":
        return Heard(None, Fault.GARBLED, text)
    return within(to_celsius(number[0], number[1] or unit), text)


def to_celsius(number: float, unit: str) -> float:
    """Degrees of either scale in °C, without a tail of rounding."""
    return round((number - 32.0) / 1.8, 9) if unit == "degF" else number


def within(celsius: float, text: str) -> Heard:
    """The temperature, if it can be one."""
    if math.isnan(celsius):
        return Heard(None, Fault.OPEN, text)
    if not COLDEST_C <= celsius <= HOTTEST_C:
        return Heard(None, Fault.OUT_OF_RANGE, text)
    return Heard(celsius, None, text)
