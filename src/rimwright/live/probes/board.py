"""What a line of an amplifier board says of one probe."""

from __future__ import annotations

import re

from rimwright.equipment.probe_kinds import SerialSettings
from rimwright.errors import OutsideValidityError
from rimwright.live.probes.words import Heard, fault_in, heard, number_in, within
from rimwright.live.readings import Fault

#: A board's own temperature beyond this is a fault of the board; assumed. [degC]
COLDEST_BOARD_C, HOTTEST_BOARD_C = -20.0, 85.0
_MARKS = {"comma": ",", "semicolon": ";", "tab": "\t", "space": None}
#: "T1 = 110.5", "waist: 110.5 C": a label before the figure.
_LABEL = re.compile(r"\s*[A-Za-z][\w .-]{0,30}[:=](?P<rest>.*)")


def hear(line: str, settings: SerialSettings) -> Heard | None:
    """The temperature or fault in a line; None where the line is about something else.

    With a pattern only lines that fit it, or that say a fault, are this probe's. A column is
    counted from 1. Otherwise the whole line must be the figure, with a label at most.

    Examples
    --------
    >>> hear("12.4,23.1,108.6", SerialSettings(port="x", column=3)).celsius
    108.6
    >>> hear("T2 = 23.1", SerialSettings(port="x", pattern=r"T1 = (\\S+)")) is None
    True
    """
    if settings.column is not None:
        return _in_columns(line, settings.column, settings)
    if fault := fault_in(line, settings.says_open, settings.says_short):
        return Heard(None, fault, line)
    if not settings.pattern:
        return _figure(_unlabelled(line), None, line, settings)
    match = re.search(settings.pattern, line)
    if match is None:
        return None
    groups = match.groupdict()
    figure = groups.get("value") or (match[1] if match.re.groups else match[0]) or ""
    return _figure(figure, groups.get("cold"), line, settings)


def _in_columns(line: str, column: int, settings: SerialSettings) -> Heard:
    columns = _columns(line, settings)
    cold_column = settings.cold_column or column
    if max(column, cold_column) > len(columns):
        # The board may print a word alone where there is nothing to print in columns.
        fault = fault_in(line, settings.says_open, settings.says_short)
        return Heard(None, fault or Fault.GARBLED, line)
    cold = None if settings.cold_column is None else _unlabelled(columns[cold_column - 1])
    return _figure(_unlabelled(columns[column - 1]), cold, line, settings)


def _columns(line: str, settings: SerialSettings) -> list[str]:
    if settings.separator != "any":
        return line.split(_MARKS[settings.separator])
    marks = ";\t" if settings.decimal == "comma" else ";\t,"
    mark = next((mark for mark in marks if mark in line), None)
    return line.split(mark)


def _figure(text: str, cold: str | None, line: str, settings: SerialSettings) -> Heard:
    if fault := fault_in(text, settings.says_open, settings.says_short):
        return Heard(None, fault, line)
    if settings.unit == "mV":
        return _from_millivolts(text, cold or "", line, settings.decimal)
    said = heard(text, settings.unit, decimal=settings.decimal)
    return Heard(said.celsius, said.fault, line)


def _unlabelled(text: str) -> str:
    label = _LABEL.fullmatch(text)
    return label["rest"] if label else text


def _from_millivolts(text: str, cold: str, line: str, decimal: str) -> Heard:
    """Type K: the voltage of the cold end is added before the temperature is looked up."""
    from rimwright.equipment.thermocouple import type_k_emf, type_k_temperature

    if fault := fault_in(cold):
        return Heard(None, fault, line)
    millivolts, board = number_in(text, decimal), number_in(cold, decimal)
    if (
        millivolts is None
        or board is None
        or millivolts[1] not in ("", "mV")
        or board[1] not in ("", "degC")
    ):
        return Heard(None, Fault.GARBLED, line)
    if not COLDEST_BOARD_C <= board[0] <= HOTTEST_BOARD_C:
        return Heard(None, Fault.OUT_OF_RANGE, line)
    try:
        volts = 1e-3 * millivolts[0] + float(type_k_emf(board[0]))
        return within(float(type_k_temperature(volts)), line)
    except OutsideValidityError:
        return Heard(None, Fault.OUT_OF_RANGE, line)
