"""Rows of an import as the journal's tables hold them: what keeping asks, imports are asked."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Any, NoReturn

from rimwright.errors import JournalError
from rimwright.journal.keeping_checks import MOST, moment, one_of, some_words, within
from rimwright.journal.keeping_fits import fit_values
from rimwright.journal.keeping_outcomes import note_values, outcome_values
from rimwright.journal.keeping_records import (
    HANDS,
    PIECES,
    Board,
    BoardSet,
    Fit,
    Instrument,
    Note,
    Outcome,
    Side,
    Thickness,
    Wood,
)
from rimwright.journal.keeping_sides import instrument_values, side_values, thickness_rows
from rimwright.journal.keeping_wood import board_values, set_values, wood_values
from rimwright.journal.row_values import event_values, sample_values
from rimwright.journal.rows import EventRow, SampleRow
from rimwright.journal.sums import FAULT_LETTERS, HOTTEST_C

Row = Mapping[str, Any]
STATES = ("open", "ended", "abandoned")
_KIND = re.compile(r"[a-z][a-z_]{0,19}")
#: Longer than any run: thirty years. [s]
_LONGEST_S = 1e9
#: The column holds no larger number.
_MOST_PROBES = 32_000
#: Of a word or two that a program wrote, not a maker. [characters]
_LONGEST_WORD = 1000


def kept_row(table: str, row: Row, where: str) -> dict[str, Any]:
    """The columns of a row, without what it refers to, looked over as if kept by hand.

    Raises
    ------
    JournalError
        If a value cannot be; the place it stands at goes before it.
    """
    try:
        return _ROWS[table](row)
    except JournalError as error:
        raise JournalError(error.found, error.expected, error.next_step, where=where) from error


def _own(row: Row, *names: str) -> dict[str, Any]:
    return {name: row[name] for name in names}


def _wood(row: Row) -> dict[str, Any]:
    return wood_values(Wood(**_own(row, "name", "properties", "words")))


def _set(row: Row) -> dict[str, Any]:
    return set_values(BoardSet(**_own(row, "name", "words")))


def _board(row: Row) -> dict[str, Any]:
    measures = ("length_m", "width_m", "thickness_m", "grain_angle_rad")
    return board_values(Board(**_own(row, "name", *measures, "words")))


def _instrument(row: Row) -> dict[str, Any]:
    return instrument_values(
        Instrument(**_own(row, "name", "model", "player", "begun_wall_s", "words"))
    )


def _side(row: Row) -> dict[str, Any]:
    measured = ("moisture", "moisture_meter", "humidity", "hygrometer")
    return side_values(Side(**_own(row, "name", "hand", "piece", *measured, "words")))


def _thickness(row: Row) -> dict[str, Any]:
    measured = Thickness(**_own(row, "place", "s_m", "thickness_m"))
    number = int(within(row["number"], (1, 100), "a number", unit="", where=""))
    side = Side(name="side", hand="bass", thicknesses=(measured,))
    return {**thickness_rows(side)[0], "number": number}


def _run(row: Row) -> dict[str, Any]:
    plain = {"run_plan": dict, "prediction": dict, "probe_settings": list, "plan_document": dict}
    for name, kind in plain.items():
        value = row[name]
        if not isinstance(value, kind) and not (name == "plan_document" and value is None):
            expected = "an object" if kind is dict else "a list"
            raise JournalError(f"{name} {value!r:.40}", expected, "export again")
    ended = row["ended_wall_s"]
    words = ("model", "plan_code", "blanket", "bench", "model_version")
    return {
        **{name: _word(row[name], name) for name in words},
        **_own(row, *plain, "simulated", "design_text"),
        "hand": one_of(row["hand"], HANDS, "hand", where=""),
        "piece": one_of(row["piece"], PIECES, "piece", where=""),
        "state": one_of(row["state"], STATES, "state", where=""),
        "begun_wall_s": moment(row["begun_wall_s"], where=""),
        "ended_wall_s": None if ended is None else moment(ended, where=""),
    }


def _word(text: str, name: str) -> str:
    if len(text) > _LONGEST_WORD:
        expected = f"{_LONGEST_WORD} at most"
        raise JournalError(f"{name} of {len(text)} characters", expected, "export again")
    return text


def _probe(row: Row) -> dict[str, Any]:
    number = int(within(row["number"], (0, _MOST_PROBES), "a probe's number", unit="", where=""))
    if len(row["kind"]) > 10:
        raise JournalError(f"a probe of the kind {row['kind']!r:.40}", "a kind", "export again")
    return {
        "number": number,
        "name": _word(row["name"], "name"),
        "place": _word(row["place"], "place"),
        "kind": row["kind"],
    }


def _seq(row: Row) -> int:
    return int(within(row["seq"], (1, MOST), "a number in its run", unit="", where=""))


def _sample(row: Row) -> dict[str, Any]:
    seq, at_ms, probe = row["seq"], row["at_ms"], row["probe"]
    celsius, fault = row["celsius"], row["fault"]
    limit_ms = 1000.0 * _LONGEST_S
    # There are a million of them: only where one is wrong is it asked which.
    if not (
        0 < seq <= MOST
        and -limit_ms <= at_ms <= limit_ms
        and 0 <= probe <= _MOST_PROBES
        and (celsius is None or (fault is None and -HOTTEST_C < celsius < HOTTEST_C))
        and (fault is None or len(fault) <= FAULT_LETTERS)
    ):
        _refuse_sample(row, limit_ms)
    return sample_values(0, SampleRow(seq, at_ms, probe, celsius, fault))


def _refuse_sample(row: Row, limit_ms: float) -> NoReturn:
    _seq(row)
    within(row["at_ms"], (-limit_ms, limit_ms), "a time", unit="ms", where="")
    within(row["probe"], (0, _MOST_PROBES), "a probe's number", unit="", where="")
    if row["celsius"] is not None and row["fault"] is not None:
        found, expected = "a temperature and a fault", "one of them"
        raise JournalError(found, expected, "mend the line, or export again")
    if row["fault"] is not None:
        expected = f"a word of {FAULT_LETTERS} letters at most"
        raise JournalError(f"the fault {row['fault']!r:.40}", expected, "export again")
    found, expected = f"a temperature of {row['celsius']:g} °C", f"less than {HOTTEST_C:g} °C"
    raise JournalError(found, expected, "mend the line, or export again")


def _event(row: Row) -> dict[str, Any]:
    if not _KIND.fullmatch(row["kind"]):
        expected = "a kind of event, such as step_done"
        raise JournalError(f"{row['kind']!r:.40}", expected, "export again")
    if not isinstance(row["data"], dict):
        raise JournalError(f"data {row['data']!r:.40}", "an object", "export again")
    if len(row["key"] or "") > 64 or len(row["device"]) > 200:
        found, expected = "a key or device too long", "64 and 200 characters at most"
        raise JournalError(found, expected, "export again")
    at_s = within(row["at_s"], (-_LONGEST_S, _LONGEST_S), "a time", unit="s", where="")
    wall_s = moment(row["wall_s"], where="")
    event = EventRow(_seq(row), at_s, wall_s, row["kind"], row["data"], row["key"] or "")
    return {**event_values(0, event), "device": row["device"]}


def _outcome(row: Row) -> dict[str, Any]:
    return outcome_values(Outcome(**_own(row, "kind", "place", "s_m", "face", "words", "wall_s")))


def _photograph(row: Row) -> dict[str, Any]:
    return {
        "words": some_words(row["words"], where=""),
        "wall_s": moment(row["wall_s"], where=""),
    }


def _note(row: Row) -> dict[str, Any]:
    return note_values(Note(subject_id=0, **_own(row, "subject", "words", "wall_s")))


def _fit(row: Row) -> dict[str, Any]:
    values = row["values"]
    if not isinstance(values, dict) or not all(isinstance(one, list) for one in values.values()):
        expected = "middle, low and high of each parameter"
        raise JournalError(f"values {values!r:.40}", expected, "export again")
    names = ("blanket", "values", "rms_k", "points", "wall_s")
    return fit_values(Fit(**_own(row, *names)))


_ROWS: dict[str, Callable[[Row], dict[str, Any]]] = {
    "woods": _wood,
    "board_sets": _set,
    "boards": _board,
    "instruments": _instrument,
    "sides": _side,
    "side_thicknesses": _thickness,
    "runs": _run,
    "run_probes": _probe,
    "samples": _sample,
    "events": _event,
    "outcomes": _outcome,
    "photographs": _photograph,
    "notes": _note,
    "heat_fits": _fit,
}
