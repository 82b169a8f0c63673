"""Instruments and sides, kept and listed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Any

from rimwright.errors import JournalError
from rimwright.journal.keeping_checks import (
    if_given,
    moment,
    one_line,
    one_of,
    some_words,
    within,
)
from rimwright.journal.keeping_records import HANDS, PIECES, PLAYERS, Instrument, Side, Thickness
from rimwright.journal.keeping_rows import (
    containing,
    listed,
    matching,
    needed,
    one,
    put,
    table_of,
)

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from rimwright.journal.engine import Journal

#: A side before bending. [m]
THICKNESS_M = (0.0002, 0.02)
#: Along a side. [m]
STATION_M = (0.0, 5.0)
#: Fresh wood can hold more water than wood. [fraction]
MOISTURE = (0.0, 2.0)
HUMIDITY = (0.0, 1.0)
#: Places measured on one side.
MOST_PLACES = 100


def save_instrument(journal: Journal, instrument: Instrument) -> int:
    """Keep an instrument, or change it; its number.

    Raises
    ------
    JournalError
        If a value is none, or the record to be changed is not there.
    """
    values = instrument_values(instrument)
    with journal.writing() as connection:
        return put(connection, "instruments", instrument.id, values)


def instrument_values(instrument: Instrument) -> dict[str, object]:
    """The row of an instrument, looked over."""
    where = f"instrument {instrument.name!r:.40}"
    return {
        "name": one_line(instrument.name, "an instrument's name", where="instrument"),
        "model": one_line(instrument.model, "a model", where=where),
        "player": one_of(instrument.player, PLAYERS, "player's hand", where=where),
        "begun_wall_s": moment(instrument.begun_wall_s, where=where),
        "words": some_words(instrument.words, where=where),
    }


def instruments(
    journal: Journal, *, model: str | None = None, name: str | None = None
) -> tuple[Instrument, ...]:
    """Instruments of this model, whose name has this part."""
    conditions = matching("instruments", model=model) + containing("instruments", name)
    with journal.reading() as connection:
        return tuple(Instrument(**row) for row in listed(connection, "instruments", *conditions))


def save_side(journal: Journal, side: Side) -> int:
    """Keep a side with its measured thicknesses, or change it; its number.

    A mate is a mate both ways: the other side is told too.

    Raises
    ------
    JournalError
        If a value is none, or instrument, board or mate is not there, or the mate is of the
        same hand or has another mate already.
    """
    values = side_values(side)
    thicknesses = thickness_rows(side)
    where = f"side {side.name!r:.40}"
    with journal.writing() as connection:
        for table, number in (("instruments", side.instrument_id), ("boards", side.board_id)):
            if number is not None:
                needed(connection, table, number, where=where)
        mate = _mate(connection, side, where)
        values |= {
            "instrument_id": side.instrument_id,
            "board_id": side.board_id,
            "mate_id": mate,
        }
        number = put(connection, "sides", side.id, values)
        sides_, measured = table_of("sides"), table_of("side_thicknesses")
        connection.execute(sides_.update().where(sides_.c.mate_id == number).values(mate_id=None))
        if mate is not None:
            connection.execute(sides_.update().where(sides_.c.id == mate).values(mate_id=number))
        connection.execute(measured.delete().where(measured.c.side_id == number))
        if thicknesses:
            rows = [{"side_id": number, **row} for row in thicknesses]
            connection.execute(measured.insert(), rows)
        return number


def _mate(connection: Connection, side: Side, where: str) -> int | None:
    if side.mate_id is None:
        return None
    mate = one(connection, "sides", side.mate_id, where=where)
    if mate["hand"] == side.hand:
        raise JournalError(
            f"{mate['name']!r:.40} as its mate, a {side.hand} side too",
            "one bass and one treble side",
            "look at the hands",
            where=where,
        )
    if mate["mate_id"] not in (None, side.id):
        raise JournalError(
            f"{mate['name']!r:.40} as its mate, which has another",
            "a side without a mate",
            "free that one first",
            where=where,
        )
    return int(mate["id"])


def side_values(side: Side) -> dict[str, object]:
    """The row of a side, looked over, without what it refers to."""
    where = f"side {side.name!r:.40}"
    for value, teller, what, tool in (
        (side.moisture, side.moisture_meter, "moisture", "meter"),
        (side.humidity, side.hygrometer, "humidity", "hygrometer"),
    ):
        if value is not None and not teller:
            raise JournalError(
                f"a {what} and nothing that measured it",
                f"the {tool} it was read from: two of them seldom agree",
                f"name the {tool}",
                where=where,
            )
    return {
        "name": one_line(side.name, "a side's name", where="side"),
        "hand": one_of(side.hand, HANDS, "hand", where=where),
        "piece": one_of(side.piece, PIECES, "piece", where=where),
        "moisture": if_given(
            side.moisture, MOISTURE, "a moisture", unit="of the dry weight", where=where
        ),
        "moisture_meter": _name_or_none(side.moisture_meter, "a meter's name", where),
        "humidity": if_given(
            side.humidity, HUMIDITY, "a humidity as a fraction", unit="", where=where
        ),
        "hygrometer": _name_or_none(side.hygrometer, "a hygrometer's name", where),
        "words": some_words(side.words, where=where),
    }


def _name_or_none(text: str | None, what: str, where: str) -> str | None:
    return None if text is None else one_line(text, what, where=where, empty=True) or None


def thickness_rows(side: Side) -> list[dict[str, object]]:
    """The rows of a side's thicknesses, looked over and numbered from 1."""
    where = f"side {side.name!r:.40}"
    if len(side.thicknesses) > MOST_PLACES:
        found = f"{len(side.thicknesses)} places measured"
        raise JournalError(found, f"{MOST_PLACES} at most", "leave some out", where=where)
    return [
        {
            "number": number,
            "place": one_line(measured.place, "a place's name", where=where),
            "s_m": if_given(measured.s_m, STATION_M, "a station", unit="m", where=where),
            "thickness_m": within(
                measured.thickness_m, THICKNESS_M, "a thickness", unit="m", where=where
            ),
        }
        for number, measured in enumerate(side.thicknesses, start=1)
    ]


def sides(
    journal: Journal,
    *,
    instrument_id: int | None = None,
    board_id: int | None = None,
    hand: str | None = None,
    piece: str | None = None,
    name: str | None = None,
) -> tuple[Side, ...]:
    """Sides of this instrument, board, hand and piece, whose name has this part."""
    wanted = matching(
        "sides", instrument_id=instrument_id, board_id=board_id, hand=hand, piece=piece
    )
    with journal.reading() as connection:
        return _sides(connection, listed(connection, "sides", *wanted, *containing("sides", name)))


def side(journal: Journal, number: int) -> Side:
    """One side with what was measured on it.

    Raises
    ------
    JournalError
        If there is none of that number.
    """
    with journal.reading() as connection:
        return _sides(connection, [one(connection, "sides", number)])[0]


def _sides(connection: Connection, rows: Iterable[Mapping[str, Any]]) -> tuple[Side, ...]:
    measured = table_of("side_thicknesses")
    found: list[Side] = []
    for row in rows:
        query = measured.select().where(measured.c.side_id == row["id"]).order_by("number")
        thicknesses = tuple(
            Thickness(place=one.place, thickness_m=one.thickness_m, s_m=one.s_m)
            for one in connection.execute(query)
        )
        found.append(Side(**row, thicknesses=thicknesses))
    return tuple(found)
