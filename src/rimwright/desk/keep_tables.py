"""The tables of a file of what the shop has: instruments, woods, boards, sides."""

from __future__ import annotations

import datetime
from typing import Annotated, Literal

from pydantic import Field, PlainValidator, StringConstraints, WithJsonSchema, model_validator

from rimwright.instrument.design_files.quantity import Quantity, RefusedError, short
from rimwright.instrument.design_files.shop_tables import WoodTable
from rimwright.instrument.design_files.tables import Table
from rimwright.journal import keeping_sides, keeping_wood
from rimwright.journal.keeping_checks import LONGEST_NAME, MOST

Name = Annotated[
    str, StringConstraints(min_length=1, max_length=LONGEST_NAME, pattern=r"^[^\x00-\x1f\x7f]*$")
]
Words = Annotated[str, StringConstraints(max_length=4000)]
Number = Annotated[int, Field(ge=1, le=MOST)]


def _reference(value: object) -> int | str:
    if isinstance(value, int) and not isinstance(value, bool) and 1 <= value <= MOST:
        return value
    if isinstance(value, str) and 0 < len(value.strip()) <= LONGEST_NAME and value.isprintable():
        return value.strip()
    raise RefusedError(
        short(value), "a name, or a number as `rimwright kept` lists it", "name one of them"
    )


_SCHEMA = {"anyOf": [{"type": "string"}, {"type": "integer", "minimum": 1, "maximum": MOST}]}
#: Another record: by its number in the journal, or by its name.
Reference = Annotated[int | str, PlainValidator(_reference), WithJsonSchema(_SCHEMA)]

_NUMBER = "Of the one to be changed, as `rimwright kept` lists it; left out: by its name."
_WORDS = "What else there is to say."


class InstrumentRow(Table):
    """One instrument that is being built."""

    name: Name = Field(description="What you call it.")
    model: Name | None = Field(None, description="Which model; needed for a new one.")
    player: Literal["right", "left"] | None = Field(None, description="The player's hand.")
    begun: datetime.date | None = Field(None, description="A day; left out: today.")
    words: Words | None = Field(None, description=_WORDS)
    number: Number | None = Field(None, description=_NUMBER)


class WoodRow(WoodTable):
    """A wood of your own; the listed ones need no table, only their name."""

    name: Name = Field(description="What you call it.")
    words: Words | None = Field(None, description=_WORDS)
    number: Number | None = Field(None, description=_NUMBER)


class SetRow(Table):
    """Boards that belong together, mostly two from one plank."""

    name: Name = Field(description="What you call them.")
    wood: Reference | None = Field(None, description="A wood of this file, kept, or listed.")
    words: Words | None = Field(None, description=_WORDS)
    number: Number | None = Field(None, description=_NUMBER)


class BoardRow(Table):
    """One board."""

    name: Name = Field(description="What you call it.")
    set_: Reference | None = Field(None, alias="set", description="The set it belongs to.")
    wood: Reference | None = Field(None, description="Its wood; left out: that of its set.")
    length: Annotated[float, Quantity("length", *keeping_wood.LENGTH_M)] | None = Field(
        None, description="As it is now."
    )
    width: Annotated[float, Quantity("length", *keeping_wood.WIDTH_M)] | None = Field(
        None, description="As it is now."
    )
    thickness: Annotated[float, Quantity("length", *keeping_wood.THICKNESS_M)] | None = Field(
        None, description="As it is now."
    )
    grain_angle: Annotated[float, Quantity("angle", *keeping_wood.GRAIN_RAD)] | None = Field(
        None, description="Run-out: slope of the grain to its length."
    )
    words: Words | None = Field(None, description=_WORDS)
    number: Number | None = Field(None, description=_NUMBER)


class MeasuredRow(Table):
    """A side's thickness at one place."""

    place: Name = Field(description='Such as "waist" or "tail end".')
    at: Annotated[float, Quantity("length", *keeping_sides.STATION_M)] | None = Field(
        None, description="From the tail seam."
    )
    thickness: Annotated[float, Quantity("length", *keeping_sides.THICKNESS_M)] = Field(
        description="There, before bending."
    )


class SideRow(Table):
    """One piece of side."""

    name: Name | None = Field(None, description="Left out: its instrument's with its hand.")
    hand: Literal["bass", "treble"] | None = Field(
        None, description="Which side; needed for a new one."
    )
    piece: Literal["main", "return"] | None = Field(
        None, description="Return: from horn tip to neck of a pointed cutaway."
    )
    instrument: Reference | None = Field(None, description="The instrument it is for.")
    board: Reference | None = Field(None, description="The board it is cut from.")
    mate: Reference | None = Field(None, description="The other side, book-matched with it.")
    measured: list[MeasuredRow] | None = Field(
        None, max_length=keeping_sides.MOST_PLACES, description="Its thickness, place by place."
    )
    moisture: Annotated[float, Quantity("fraction", *keeping_sides.MOISTURE)] | None = Field(
        None, description="Of its dry weight, as the meter says."
    )
    moisture_meter: Name | None = Field(None, description="Which meter.")
    humidity: Annotated[float, Quantity("fraction", *keeping_sides.HUMIDITY)] | None = Field(
        None, description="Of the air it lay in."
    )
    hygrometer: Name | None = Field(None, description="Which hygrometer: they differ.")
    words: Words | None = Field(None, description=_WORDS)
    number: Number | None = Field(None, description=_NUMBER)

    @model_validator(mode="after")
    def _told(self) -> SideRow:
        for value, teller, what, tool in (
            (self.moisture, self.moisture_meter, "moisture", "moisture_meter"),
            (self.humidity, self.hygrometer, "humidity", "hygrometer"),
        ):
            if value is not None and teller is None:
                raise RefusedError(
                    f"a {what} without {tool}", "what measured it: two of them seldom agree",
                    f'add {tool} = "..."', key=what,
                )  # fmt: skip
        if self.name is None and self.number is None and self.instrument is None:
            raise RefusedError(
                "a side without a name", "a name, or the instrument it is for",
                'add instrument = "..."',
            )  # fmt: skip
        return self


class KeepFile(Table):
    """What the shop has."""

    instruments: list[InstrumentRow] = Field(default=[], max_length=500)
    woods: list[WoodRow] = Field(default=[], max_length=500)
    sets: list[SetRow] = Field(default=[], max_length=500)
    boards: list[BoardRow] = Field(default=[], max_length=2000)
    sides: list[SideRow] = Field(default=[], max_length=2000)
