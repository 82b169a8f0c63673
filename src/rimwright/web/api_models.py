"""What the API takes and gives; every text has a length, every number an end."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from fastapi import Path
from pydantic import BaseModel, ConfigDict, Field, StringConstraints

#: The largest number of a row that both kinds of store know.
_MOST = 2**31 - 1
#: No control characters; lines and tabs where there may be several lines.
_ONE_LINE, _LINES = r"^[^\x00-\x1f\x7f]*$", r"^[^\x00-\x08\x0b\x0c\x0e-\x1f\x7f]*$"

Name = Annotated[str, StringConstraints(max_length=60, pattern=_ONE_LINE)]
Line = Annotated[str, StringConstraints(max_length=400, pattern=_ONE_LINE)]
Words = Annotated[str, StringConstraints(max_length=4000, pattern=_LINES)]
Number = Annotated[int, Path(ge=1, le=_MOST)]
#: Made anew for each touch by whoever sends it, so that a double touch acts once.
Key = Annotated[str, StringConstraints(min_length=8, max_length=64, pattern=r"^[A-Za-z0-9_.-]+$")]

Hand = Literal["bass", "treble"]
Piece = Literal["main", "return"]
OutcomeKind = Literal[
    "sound", "hairline", "cracked", "scorched", "stained", "ripples", "cupped", "flat spot"
]
CommandKind = Literal[
    "done", "hold", "resume", "back", "abandon", "note", "heat_on", "heat_off", "turned_down",
    "answer", "present", "acknowledge", "shelve", "unshelve", "out_of_service", "in_service",
    "outcome", "finish",
]  # fmt: skip


class Taken(BaseModel):
    """Base of what is taken: a key that nobody knows is a slip, and is refused."""

    model_config = ConfigDict(extra="forbid", allow_inf_nan=False)


class Refusal(BaseModel):
    """Why nothing was done, in the form of every refusal."""

    found: str = Field(description="What was there.")
    expected: str = Field(description="What would have been taken.")
    next: str = Field(description="What to do now.")


class State(BaseModel):
    """What the first page asks."""

    version: str = Field(description="Of Rimwright.")
    boot: str = Field(description="Changes when the program is started again.")
    journal: str = Field(description="Where records are kept; only told on the shop computer.")
    engine: str = Field(description="The database and its version.")
    runs: list[int] = Field(description="Numbers of the runs that are on.")
    paired: bool = Field(description="This device was paired and may act.")
    local: bool = Field(description="This is the shop computer itself.")


class Outcome(Taken):
    """One thing to say of how a side came off the form."""

    kind: OutcomeKind
    place: Name = Field("", description="Named place: horn, scoop, waist.")
    s_m: float | None = Field(None, ge=0.0, le=5.0, description="From the tail seam. [m]")
    face: Literal["inside", "outside", "both", ""] = ""
    words: Words = ""


class Command(Taken):
    """What a person asks of a run."""

    key: Key = Field(description="New for each touch: the same again acts once.")
    kind: CommandKind
    visit: int | None = Field(
        None, ge=0, le=_MOST, description="Of the view it was seen in; commands that move carry it."
    )
    text: Words = Field("", description="Of a note, or why.")
    alarm: Name = Field("", description="Key of the alarm it is about.")
    question: Name = Field("", description="Key of the question it answers.")
    answer: Name = Field("", description='"yes", "no", or what a question expects.')
    code: Line = Field("", description="Of a scanned label.")
    share: float | None = Field(
        None, ge=0.0, le=1.0, description="Of full power, to which it was turned."
    )
    early: bool = Field(False, description="Cut a wait short: somebody decided so.")
    outcome: Outcome | None = None


class Done(BaseModel):
    """What a command did."""

    done: Literal[True] = True
    again: bool = Field(description="It had been done before, by the same key.")
    words: str


class Begin(Taken):
    """A run to begin."""

    document: dict[str, Any] = Field(description="plan.json as `rimwright plan` writes it.")
    hand: Hand
    piece: Piece = "main"
    probes: list[Line] = Field(
        default=[], max_length=8, description="As the command line takes them; see security."
    )
    settings: list[dict[str, Any]] = Field(
        default=[],
        max_length=8,
        description="The same as the shop file has them, for the command line only.",
    )
    speed: float = Field(
        1.0, ge=1.0, le=30.0, description="Of time; other than 1 for a simulated probe only."
    )
    design_text: Annotated[str, StringConstraints(max_length=200_000, pattern=_LINES)] | None = (
        Field(None, description="The design file as it was.")
    )
    side_id: int | None = Field(None, ge=1, le=_MOST, description="The side in the journal.")


class Begun(BaseModel):
    """A run that was begun."""

    run: int


Row = Annotated[list[int | float | str | None], Field(min_length=5, max_length=5)]


class Samples(BaseModel):
    """Samples of a run."""

    samples: list[Row] = Field(
        description="Number, seconds since the run was begun, probe, °C or null, fault or null."
    )
    more: bool = Field(description="There are more after the last.")


class RecordLine(BaseModel):
    """A run as one line of the list."""

    model_config = ConfigDict(from_attributes=True)

    id: int
    model: str
    plan_code: str
    hand: str
    piece: str
    simulated: bool
    state: str
    begun_wall_s: float
    ended_wall_s: float | None
    outcome: str
    alarms: int
    samples: int
    blanket: str


class Note(Taken):
    """A note on a run."""

    words: Words = Field(min_length=1)


class TakenBack(Taken):
    """Why an outcome is taken back."""

    words: Words = Field("", description="Kept in a note, with what had been said.")


class Shelf(Taken):
    """What the shop has, as a file of it says."""

    text: Annotated[str, StringConstraints(max_length=60_000)] = Field(
        description="As `rimwright keep` reads it: TOML, in a maker's units."
    )
    name: Name = Field("shelf.toml", description="Of the file, for messages.")


class ShelfLine(BaseModel):
    """What became of one record."""

    model_config = ConfigDict(from_attributes=True)

    kind: Literal["instrument", "wood", "set", "board", "side"]
    number: int
    name: str
    what: Literal["kept", "changed", "as it was"]


class Kept(BaseModel):
    """What was kept, by its number."""

    id: int


class Pair(Taken):
    """A code to be paired with."""

    code: Annotated[str, StringConstraints(max_length=20, pattern=_ONE_LINE)] = Field(
        description="Eight digits, as the shop computer shows them; spaces do not matter."
    )
    name: Annotated[str, StringConstraints(min_length=1, max_length=40, pattern=_ONE_LINE)] = Field(
        description="Of the device, for the log and the list of devices."
    )


class Paired(BaseModel):
    """A device that may act from now on."""

    paired: Literal[True] = True
    name: str


class PairingCode(BaseModel):
    """A code for one device."""

    code: str
    link: str = Field(description='To be scanned; "" where the pages are open here only.')
    valid_s: float


class DeviceLine(BaseModel):
    """A device that was let in."""

    id: int
    name: str
    may_act: bool
    paired_wall_s: float
    seen_wall_s: float
    open_pages: int
    this: bool = Field(description="The device that asks.")
