"""Woods, sets of boards and boards, kept and listed."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from rimwright.journal.keeping_checks import if_given, one_line, plain_values, some_words
from rimwright.journal.keeping_records import Board, BoardSet, Wood
from rimwright.journal.keeping_rows import containing, listed, matching, needed, put

if TYPE_CHECKING:
    from rimwright.journal.engine import Journal

#: What a board for sides can measure, with room to spare. [m], [rad]
LENGTH_M = (0.05, 5.0)
WIDTH_M = (0.01, 1.0)
THICKNESS_M = (0.0001, 0.2)
GRAIN_RAD = (-math.pi / 2.0, math.pi / 2.0)


def save_wood(journal: Journal, wood: Wood) -> int:
    """Keep a wood as it was planned with, or change it.

    Parameters
    ----------
    journal : Journal
    wood : Wood
        New where its `id` is None.

    Returns
    -------
    int
        Its number.

    Raises
    ------
    JournalError
        If a value is none, or the record to be changed is not there.
    """
    values = wood_values(wood)
    with journal.writing() as connection:
        return put(connection, "woods", wood.id, values)


def wood_values(wood: Wood) -> dict[str, object]:
    """The row of a wood, looked over."""
    where = f"wood {wood.name!r:.40}"
    return {
        "name": one_line(wood.name, "a wood's name", where="wood"),
        "properties": plain_values(wood.properties, "properties", where=where),
        "words": some_words(wood.words, where=where),
    }


def woods(journal: Journal, *, name: str | None = None) -> tuple[Wood, ...]:
    """Woods whose name has this part."""
    with journal.reading() as connection:
        return tuple(Wood(**row) for row in listed(connection, "woods", *containing("woods", name)))


def save_board_set(journal: Journal, boards: BoardSet) -> int:
    """Keep a set of boards that belong together, or change it; its number.

    Raises
    ------
    JournalError
        If a value is none, or its wood is not there.
    """
    values = set_values(boards)
    with journal.writing() as connection:
        if boards.wood_id is not None:
            needed(connection, "woods", boards.wood_id, where=f"set {boards.name!r:.40}")
        return put(connection, "board_sets", boards.id, {**values, "wood_id": boards.wood_id})


def set_values(boards: BoardSet) -> dict[str, object]:
    """The row of a set, looked over, without what it refers to."""
    return {
        "name": one_line(boards.name, "a set's name", where="set of boards"),
        "words": some_words(boards.words, where=f"set {boards.name!r:.40}"),
    }


def board_sets(
    journal: Journal, *, wood_id: int | None = None, name: str | None = None
) -> tuple[BoardSet, ...]:
    """Sets of boards, of this wood, whose name has this part."""
    conditions = matching("board_sets", wood_id=wood_id) + containing("board_sets", name)
    with journal.reading() as connection:
        return tuple(BoardSet(**row) for row in listed(connection, "board_sets", *conditions))


def save_board(journal: Journal, board: Board) -> int:
    """Keep a board, or change it; its number.

    Raises
    ------
    JournalError
        If a value is none, or its set or wood is not there.
    """
    values = board_values(board)
    where = f"board {board.name!r:.40}"
    with journal.writing() as connection:
        if board.set_id is not None:
            needed(connection, "board_sets", board.set_id, where=where)
        if board.wood_id is not None:
            needed(connection, "woods", board.wood_id, where=where)
        values |= {"set_id": board.set_id, "wood_id": board.wood_id}
        return put(connection, "boards", board.id, values)


def board_values(board: Board) -> dict[str, object]:
    """The row of a board, looked over, without what it refers to."""
    where = f"board {board.name!r:.40}"

    def metres(value: float | None, limits: tuple[float, float], what: str) -> float | None:
        return if_given(value, limits, what, unit="m", where=where)

    return {
        "name": one_line(board.name, "a board's name", where="board"),
        "length_m": metres(board.length_m, LENGTH_M, "a length"),
        "width_m": metres(board.width_m, WIDTH_M, "a width"),
        "thickness_m": metres(board.thickness_m, THICKNESS_M, "a thickness"),
        "grain_angle_rad": if_given(
            board.grain_angle_rad, GRAIN_RAD, "a grain angle", unit="rad", where=where
        ),
        "words": some_words(board.words, where=where),
    }


def boards(
    journal: Journal,
    *,
    set_id: int | None = None,
    wood_id: int | None = None,
    name: str | None = None,
) -> tuple[Board, ...]:
    """Boards of this set, of this wood, whose name has this part."""
    conditions = matching("boards", set_id=set_id, wood_id=wood_id) + containing("boards", name)
    with journal.reading() as connection:
        return tuple(Board(**row) for row in listed(connection, "boards", *conditions))
