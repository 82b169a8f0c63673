"""Photographs of a run: unpacked within limits in a process of their own, kept as plain JPEG."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, cast

from rimwright.errors import DrawingError, JournalError, PictureError
from rimwright.journal.keeping_checks import moment, some_words
from rimwright.journal.keeping_rows import matching, needed, one, put, table_of
from rimwright.pictures.photograph import MAX_BYTES, Kept, fit_for_keeping

if TYPE_CHECKING:
    from rimwright.journal.engine import Journal

#: What they all are.
MEDIA_TYPE = "image/jpeg"
#: Of one run; more is a mistake of a device that sends the same again and again.
MOST_OF_A_RUN = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotographLine:
    """A photograph in a list, without its picture."""

    id: int
    uid: str
    run: int
    words: str
    wall_s: float
    media_type: str
    width_px: int
    height_px: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Photograph(PhotographLine):
    """A photograph with its picture."""

    data: bytes


def unpacked(data: bytes, where: str = "photograph") -> Kept:
    """A photograph made fit for keeping, in a child process with limits of time and memory.

    Raises
    ------
    PictureError
        If it is larger than 12 MB or 50 million pixels, no JPEG or PNG, or damaged.
    """
    from rimwright.instrument.drawings.guard import read_guarded

    if len(data) > MAX_BYTES:
        return fit_for_keeping(data, where)  # refuses it; it need not travel for that
    try:
        return read_guarded(fit_for_keeping, where=where, data=data)
    except PictureError as error:
        raise PictureError(error.found, error.expected, error.next_step, where=where) from error
    except DrawingError as error:
        raise PictureError(
            error.found,
            "a whole JPEG or PNG of ordinary size",
            "open it in a viewer and save it again",
            where=where,
        ) from error


def keep_photograph(journal: Journal, run: int, data: bytes, words: str, wall_s: float) -> int:
    """Keep a photograph of a run; its number.

    Parameters
    ----------
    journal : Journal
    run : int
        The run it shows the side of.
    data : bytes
        A JPEG or PNG of at most 12 MB and 50 million pixels.
    words : str
        What is to be seen.
    wall_s : float
        When it was taken or came in. [s since 1970]

    Raises
    ------
    PictureError
        If the picture cannot be used.
    JournalError
        If there is no such run, or it has 200 photographs already.
    """
    said = some_words(words, where="photograph")
    at = moment(wall_s, where="photograph")
    with journal.reading() as connection:
        needed(connection, "runs", run)
    kept = unpacked(data)
    values = {"words": said, "wall_s": at, **photograph_values(kept)}
    with journal.writing() as connection:
        needed(connection, "runs", run)
        table = table_of("photographs")
        query = table.select().with_only_columns(table.c.id).where(table.c.run_id == run)
        if len(connection.execute(query).all()) >= MOST_OF_A_RUN:
            raise JournalError(
                f"{MOST_OF_A_RUN} photographs of run {run}",
                f"{MOST_OF_A_RUN} at most",
                "keep the others in a folder of your own",
                where="photograph",
            )
        return put(connection, "photographs", None, {**values, "run_id": run})


def photograph_values(kept: Kept) -> dict[str, object]:
    """The columns of a photograph that come from its picture."""
    return {
        "media_type": MEDIA_TYPE,
        "width_px": kept.width_px,
        "height_px": kept.height_px,
        "data": kept.data,
    }


def photograph(journal: Journal, number: int) -> Photograph:
    """One photograph with its picture.

    Raises
    ------
    JournalError
        If there is none of that number.
    """
    with journal.reading() as connection:
        row = dict(one(connection, "photographs", number))
    return Photograph(run=row.pop("run_id"), **row)


def photographs_of(journal: Journal, run: int) -> tuple[PhotographLine, ...]:
    """The photographs of a run, without their pictures.

    Raises
    ------
    JournalError
        If there is no such run.
    """
    table = table_of("photographs")
    columns = [column for column in table.c if column.name != "data"]
    query = (
        table.select()
        .with_only_columns(*columns)
        .where(*matching("photographs", run_id=run))
        .order_by(table.c.id)
    )
    with journal.reading() as connection:
        needed(connection, "runs", run)
        rows = connection.execute(query).mappings().all()
    return tuple(_line(dict(row)) for row in rows)


def _line(row: dict[str, Any]) -> PhotographLine:
    return PhotographLine(run=cast("int", row.pop("run_id")), **row)
