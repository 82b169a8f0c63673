"""What people say of a run afterwards: how it came out, notes, photographs."""

from __future__ import annotations

import time
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any, cast

from rimwright.desk.records import chosen
from rimwright.errors import JournalError, PictureError
from rimwright.journal.keeping import FACES, OUTCOME_KINDS, Outcome
from rimwright.units import parse

if TYPE_CHECKING:
    from rimwright.journal.engine import Journal

#: How the first bytes of what is kept begin, and what that is.
_BEGINS = {b"\xff\xd8\xff": "image/jpeg", b"\x89PNG\r\n\x1a\n": "image/png"}


def outcome_of(
    kind: str, *, place: str = "", at: str | None = None, face: str = "", words: str = ""
) -> dict[str, Any]:
    """What is to be said of a side, as plain values: an `Outcome` without its moment.

    Parameters
    ----------
    kind : str
        Such as "sound", "cracked", "flat spot".
    place : str, default ""
        Such as "horn".
    at : str, optional
        From the tail seam, with its unit.
    face : str, default ""
        "inside", "outside", "both".
    words : str, default ""
        What else.

    Raises
    ------
    JournalError, UnitError
        If one of them is none.

    Examples
    --------
    >>> outcome_of("hairline", place="horn", at="589 mm", face="outside")["s_m"]
    0.589
    """
    faces = tuple(one for one in FACES if one)
    return {
        "kind": chosen(kind, OUTCOME_KINDS, "outcome"),
        "place": " ".join(place.split()),
        "s_m": None if at is None else parse(at, "length", where="--at"),
        "face": chosen(face, faces, "--face") if face else "",
        "words": words.strip(),
    }


def say_outcome(journal: Journal, run: int, said: Mapping[str, Any]) -> int:
    """Keep how a side came out; the outcome's number.

    Raises
    ------
    JournalError
        If it says what none can, or there is no such run.
    """
    from rimwright.journal.keeping import record_outcome

    return record_outcome(journal, run, cast("Any", Outcome)(**said, wall_s=time.time()))


def take_back(journal: Journal, run: int, number: int, words: str = "") -> int:
    """Take an outcome of a run back; a note keeps what was said. The note's number.

    Raises
    ------
    JournalError
        If the run has no such outcome.
    """
    from rimwright.journal.keeping import outcomes_of, take_back_outcome

    there = [one.id for one in outcomes_of(journal, run)]
    if number not in there:
        numbers = ", ".join(map(str, there)) or "none: nobody said yet how it came out"
        raise JournalError(
            f"no outcome {number} of run {run}",
            f"one of its numbers: {numbers}",
            f"look at `rimwright record {run}`",
        )
    return take_back_outcome(journal, number, time.time(), words)


def add_note(journal: Journal, subject: str, number: int, words: str) -> int:
    """Write something down about a run, a side, an instrument or a board; the note's number.

    Raises
    ------
    JournalError
        If there are no words, or what they are about is not there.
    """
    from rimwright.journal.keeping import add_note as keep

    return keep(journal, subject, number, words, time.time())


def photograph_of(path: Path) -> tuple[bytes, str]:
    """A photograph's bytes and what they are.

    Raises
    ------
    PictureError
        If it cannot be read, is too large, or is no JPEG or PNG.
    """
    from rimwright.pictures.photograph import MAX_BYTES

    expected, where = f"a JPEG or PNG of at most {MAX_BYTES // 1_000_000} MB", str(path)
    try:
        if path.exists() and not path.is_file():
            raise PictureError("a folder or a device", expected, "name a picture", where=where)
        with path.open("rb") as file:
            data = file.read(MAX_BYTES + 1)
    except (OSError, ValueError) as error:
        words = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise PictureError(words.lower(), expected, "check the name", where=where) from error
    if len(data) > MAX_BYTES:
        raise PictureError(
            f"more than {MAX_BYTES // 1_000_000} MB", expected, "set the camera to fewer pixels",
            where=where,
        )  # fmt: skip
    for begin, media_type in _BEGINS.items():
        if data.startswith(begin):
            return data, media_type
    raise PictureError("a file that is neither", expected, "save the picture as JPEG", where=where)


def keep_photograph(journal: Journal, run: int, data: bytes, words: str) -> int:
    """Keep a photograph of a run; its number.

    Raises
    ------
    PictureError
        If the picture cannot be used.
    JournalError
        If there is no such run, or it has too many.
    """
    from rimwright.journal.photographs import keep_photograph as keep

    return keep(journal, run, data, words, time.time())
