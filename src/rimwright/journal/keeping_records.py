"""What the journal keeps beside runs: instruments, woods, boards, sides, outcomes, notes, fits.

Each is a plain frozen value. `id` is its number in this journal, None until it is kept; `uid`
is its name in every journal. A record read, changed with `dataclasses.replace` and saved again
stays the same record.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

Hand = Literal["bass", "treble"]
Piece = Literal["main", "return"]
Player = Literal["right", "left"]
Face = Literal["inside", "outside", "both", ""]
Subject = Literal["run", "side", "instrument", "board"]
OutcomeKind = Literal[
    "sound", "hairline", "cracked", "scorched", "stained", "ripples", "cupped", "flat spot"
]

HANDS: tuple[Hand, ...] = ("bass", "treble")
PIECES: tuple[Piece, ...] = ("main", "return")
PLAYERS: tuple[Player, ...] = ("right", "left")
FACES: tuple[Face, ...] = ("inside", "outside", "both", "")
SUBJECTS: tuple[Subject, ...] = ("run", "side", "instrument", "board")
#: How a side came off the form, the best first.
OUTCOME_KINDS: tuple[OutcomeKind, ...] = (
    "sound", "hairline", "cracked", "scorched", "stained", "ripples", "cupped", "flat spot",
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Instrument:
    """One instrument that is being built."""

    name: str
    model: str
    begun_wall_s: float
    player: Player = "right"
    words: str = ""
    id: int | None = None
    uid: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wood:
    """A wood as it was planned with."""

    name: str
    #: Values with their units in the names, and where they are from; plain values.
    properties: Mapping[str, Any] = field(default_factory=dict)
    words: str = ""
    id: int | None = None
    uid: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardSet:
    """Boards that belong together, mostly two from one plank."""

    name: str
    wood_id: int | None = None
    words: str = ""
    id: int | None = None
    uid: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Board:
    """One board."""

    name: str
    set_id: int | None = None
    wood_id: int | None = None
    length_m: float | None = None
    width_m: float | None = None
    thickness_m: float | None = None
    #: Of the grain to the board's length: run-out. [rad]
    grain_angle_rad: float | None = None
    words: str = ""
    id: int | None = None
    uid: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Thickness:
    """A side's thickness measured at one place."""

    #: "waist", "horn", "tail end", ...
    place: str
    thickness_m: float
    #: From the tail seam; None where only the place's name is known. [m]
    s_m: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Side:
    """One piece of side, before and after its bending."""

    name: str
    hand: Hand
    piece: Piece = "main"
    instrument_id: int | None = None
    board_id: int | None = None
    #: The other side, that it is book-matched with.
    mate_id: int | None = None
    thicknesses: tuple[Thickness, ...] = ()
    #: By weight over dry, if a meter said it, and which. [fraction]
    moisture: float | None = None
    moisture_meter: str | None = None
    #: Of the air it lay in, and which hygrometer said it. [fraction]
    humidity: float | None = None
    hygrometer: str | None = None
    words: str = ""
    id: int | None = None
    uid: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """One thing to say of how a side came off the form."""

    kind: OutcomeKind
    #: "horn", "scoop", "waist", ...; "" where it is nowhere special.
    place: str = ""
    #: From the tail seam. [m]
    s_m: float | None = None
    face: Face = ""
    words: str = ""
    #: [s since 1970]
    wall_s: float = 0.0
    run: int | None = None
    id: int | None = None
    uid: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """What somebody wrote about a run, a side, an instrument or a board."""

    subject: Subject
    subject_id: int
    words: str
    wall_s: float
    id: int | None = None
    uid: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """What a run taught of its blanket and stack."""

    blanket: str
    #: By name of the parameter: middle, low, high.
    values: Mapping[str, tuple[float, float, float]]
    #: Of the measured curve about the fitted one. [K]
    rms_k: float
    #: Readings it rests on.
    points: int
    wall_s: float
    run: int | None = None
    id: int | None = None
    uid: str = ""
