"""How sides came off the form, what was noted, and what runs taught of their blankets."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from rimwright.errors import JournalError
from rimwright.journal.keeping_checks import (
    LONGEST_WORDS,
    if_given,
    moment,
    one_line,
    one_of,
    some_words,
    within,
)
from rimwright.journal.keeping_records import FACES, OUTCOME_KINDS, SUBJECTS, Fit, Note, Outcome
from rimwright.journal.keeping_rows import listed, matching, needed, one, put, table_of
from rimwright.journal.keeping_sides import STATION_M

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from rimwright.journal.engine import Journal

#: Where the subject of a note stands.
SUBJECT_TABLES: dict[str, str] = {subject: f"{subject}s" for subject in SUBJECTS}
#: Of a fitted curve about the measured one. [K]
RMS_K = (0.0, 1000.0)
POINTS = (0.0, 1e8)
#: A fitted parameter, whatever its unit.
PARAMETER = (-1e9, 1e9)
#: Parameters of one fit.
MOST_VALUES = 40


def record_outcome(journal: Journal, run: int, outcome: Outcome) -> int:
    """Say of a run how its side came off the form; its number. A run may have several.

    Raises
    ------
    JournalError
        If it says what none can, or there is no such run.
    """
    values = outcome_values(outcome)
    with journal.writing() as connection:
        needed(connection, "runs", run)
        return put(connection, "outcomes", None, {**values, "run_id": run})


def outcome_values(outcome: Outcome) -> dict[str, object]:
    """The row of an outcome, looked over, without its run."""
    kind = one_of(outcome.kind, OUTCOME_KINDS, "outcome", where="outcome")
    where = f"outcome '{kind}'"
    return {
        "kind": kind,
        "place": one_line(outcome.place, "a place's name", where=where, empty=True),
        "s_m": if_given(outcome.s_m, STATION_M, "a station", unit="m", where=where),
        "face": one_of(outcome.face, FACES, "face", where=where),
        "words": some_words(outcome.words, where=where),
        "wall_s": moment(outcome.wall_s, where=where),
    }


def take_back_outcome(journal: Journal, number: int, wall_s: float, words: str = "") -> int:
    """Take an outcome back; a note on its run keeps what was said. The note's number.

    Parameters
    ----------
    journal : Journal
    number : int
        Of the outcome.
    wall_s : float
        When it is taken back. [s since 1970]
    words : str, default ""
        Why.

    Raises
    ------
    JournalError
        If there is no such outcome.
    """
    reason = some_words(words, where="outcome")
    table = table_of("outcomes")
    with journal.writing() as connection:
        row = dict(one(connection, "outcomes", number))
        run = row.pop("run_id")
        said = f"Taken back: {outcome_said(Outcome(**row))}." + (f" {reason}" if reason else "")
        note = Note(subject="run", subject_id=run, words=_cut(said), wall_s=wall_s)
        connection.execute(table.delete().where(table.c.id == number))
        return put(connection, "notes", None, {**note_values(note), "subject_id": run})


def _cut(text: str) -> str:
    return text if len(text) <= LONGEST_WORDS else f"{text[: LONGEST_WORDS - 1]}…"


def outcome_said(outcome: Outcome) -> str:
    """An outcome in words.

    Examples
    --------
    >>> outcome_said(Outcome(kind="hairline", place="horn", s_m=0.412, face="outside"))
    'hairline, horn, 412 mm from the tail seam, outside'
    """
    station = "" if outcome.s_m is None else f"{1000.0 * outcome.s_m:.0f} mm from the tail seam"
    face = "both faces" if outcome.face == "both" else outcome.face
    parts = [outcome.kind, outcome.place, station, face, outcome.words]
    return ", ".join(part for part in parts if part)


def outcomes_of(journal: Journal, run: int) -> tuple[Outcome, ...]:
    """What was said of a run, in the order it was said.

    Raises
    ------
    JournalError
        If there is no such run.
    """
    with journal.reading() as connection:
        needed(connection, "runs", run)
        return tuple(
            map(_outcome, listed(connection, "outcomes", *matching("outcomes", run_id=run)))
        )


def outcomes(
    journal: Journal, *, kind: str | None = None, place: str | None = None
) -> tuple[Outcome, ...]:
    """What was said of all runs, of this kind, at this place."""
    wanted = matching("outcomes", kind=kind, place=place)
    with journal.reading() as connection:
        return tuple(map(_outcome, listed(connection, "outcomes", *wanted)))


def _outcome(row: Mapping[str, Any]) -> Outcome:
    values = dict(row)
    return Outcome(run=values.pop("run_id"), **values)


def add_note(journal: Journal, subject: str, subject_id: int, words: str, wall_s: float) -> int:
    """Write something down about a run, a side, an instrument or a board; the note's number.

    Raises
    ------
    JournalError
        If there are no words, or what they are about is not there.
    """
    subject = one_of(subject, SUBJECTS, "subject of a note", where="note")
    note = Note(subject=subject, subject_id=subject_id, words=words, wall_s=wall_s)  # type: ignore[arg-type]  # one of them
    values = note_values(note)
    with journal.writing() as connection:
        number = needed(connection, SUBJECT_TABLES[subject], subject_id, where="note")
        return put(connection, "notes", None, {**values, "subject_id": number})


def note_values(note: Note) -> dict[str, object]:
    """The row of a note, looked over, without the number it is about."""
    return {
        "subject": one_of(note.subject, SUBJECTS, "subject of a note", where="note"),
        "words": some_words(note.words, where="note", empty=False),
        "wall_s": moment(note.wall_s, where="note"),
    }


def notes_of(journal: Journal, subject: str, subject_id: int) -> tuple[Note, ...]:
    """What was written down about one thing, in its order.

    Raises
    ------
    JournalError
        If it is not there.
    """
    subject = one_of(subject, SUBJECTS, "subject of a note", where="note")
    with journal.reading() as connection:
        needed(connection, SUBJECT_TABLES[subject], subject_id, where="note")
        wanted = matching("notes", subject=subject, subject_id=subject_id)
        return tuple(Note(**row) for row in listed(connection, "notes", *wanted))


def keep_fit(journal: Journal, run: int, fit: Fit) -> int:
    """Keep what a run taught of its blanket; its number.

    Raises
    ------
    JournalError
        If a value is none, or there is no such run.
    """
    values = fit_values(fit)
    with journal.writing() as connection:
        needed(connection, "runs", run)
        return put(connection, "heat_fits", None, {**values, "run_id": run})


def fit_values(fit: Fit) -> dict[str, object]:
    """The row of a fit, looked over, without its run."""
    where = "fit"
    if not 0 < len(fit.values) <= MOST_VALUES:
        found = f"{len(fit.values)} parameters"
        raise JournalError(found, f"1 to {MOST_VALUES}", "look at the fit", where=where)
    values = {
        one_line(name, "a parameter's name", where=where): _ranged(name, ranged, where)
        for name, ranged in fit.values.items()
    }
    return {
        "blanket": one_line(fit.blanket, "a blanket's name", where=where),
        "values": values,
        "rms_k": within(fit.rms_k, RMS_K, "a scatter", unit="K", where=where),
        "points": int(within(fit.points, POINTS, "points", unit="", where=where)),
        "wall_s": moment(fit.wall_s, where=where),
    }


def _ranged(name: str, ranged: Sequence[float], where: str) -> list[float]:
    if len(ranged) != 3:
        found = f"{len(ranged)} values of {name!r:.40}"
        raise JournalError(found, "middle, low and high", "look at the fit", where=where)
    return [within(value, PARAMETER, name, unit="", where=where) for value in ranged]


def newest_fit(journal: Journal, blanket: str, *, simulated: bool = False) -> Fit | None:
    """The newest fit of a blanket; None where no run taught one.

    Parameters
    ----------
    journal : Journal
    blanket : str
        As in the run's plan.
    simulated : bool, default False
        Of practice runs instead: what a model taught is nothing a blanket did.
    """
    from sqlalchemy import select

    fits_, runs = table_of("heat_fits"), table_of("runs")
    query = (
        select(fits_)
        .join(runs, fits_.c.run_id == runs.c.id)
        .where(fits_.c.blanket == blanket, runs.c.simulated.is_(simulated))
        .order_by(fits_.c.wall_s.desc(), fits_.c.id.desc())
        .limit(1)
    )
    with journal.reading() as connection:
        row = connection.execute(query).mappings().first()
    return None if row is None else _fit(dict(row))


def fits(
    journal: Journal, *, blanket: str | None = None, run: int | None = None
) -> tuple[Fit, ...]:
    """Fits of this blanket, of this run."""
    with journal.reading() as connection:
        wanted = matching("heat_fits", blanket=blanket, run_id=run)
        return tuple(map(_fit, listed(connection, "heat_fits", *wanted)))


def _fit(row: Mapping[str, Any]) -> Fit:
    values = dict(row)
    ranged = {name: (float(a), float(b), float(c)) for name, (a, b, c) in values["values"].items()}
    run = values.pop("run_id")
    return Fit(**{**values, "run": run, "values": ranged})
