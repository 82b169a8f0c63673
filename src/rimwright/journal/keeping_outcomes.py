"""How sides came off the form, and what was noted."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from rimwright.journal.keeping_checks import (
    LONGEST_WORDS,
    if_given,
    moment,
    one_line,
    one_of,
    some_words,
)
from rimwright.journal.keeping_records import FACES, OUTCOME_KINDS, SUBJECTS, Note, Outcome
from rimwright.journal.keeping_rows import listed, matching, needed, one, put, table_of
from rimwright.journal.keeping_sides import STATION_M

if TYPE_CHECKING:
    from collections.abc import Mapping

    from rimwright.journal.engine import Journal

#: Where the subject of a note stands.
SUBJECT_TABLES: dict[str, str] = {subject: f"{subject}s" for subject in SUBJECTS}


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
