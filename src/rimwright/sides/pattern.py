"""What a developed side is: edges, blank and marks, on the three lines."""

from __future__ import annotations

from dataclasses import dataclass

from rimwright.curves.piece import FloatArray
from rimwright.instrument.outline import RimPiece


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """A place to carry across wood, slats, blanket and mould."""

    name: str
    #: From the tail seam (on a return piece from the tip) on each line. [m]
    s_outer_m: float
    s_middle_m: float
    s_inner_m: float
    #: From the other end of the drawn piece, on the middle line. [m]
    from_far_end_m: float
    #: Rim height there, for callipers. [m]
    height_m: float
    #: Also to be put on slats and blanket.
    on_slats: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Zone:
    """A stretch that wants care: a tight bend, tape, support."""

    name: str
    kind: str
    from_outer_m: float
    to_outer_m: float
    from_middle_m: float
    to_middle_m: float
    #: The face in tension there: "outside" at bouts and horn, "inside" at waist and scoop.
    tension_face: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Blank:
    """The board to cut for one piece: least size, and with allowances."""

    #: On the middle line with both trims, least width; the plane of the
    #: top's edge along the grain unless turned.
    length_m: float
    width_m: float
    #: Turn of the pattern on the board; positive lifts the neck end towards the back. [rad]
    angle_rad: float
    #: With the proud allowance and the edges' margin, for sawing. [m]
    stock_length_m: float
    stock_width_m: float
    trim_tail_m: float
    trim_neck_m: float
    #: Where the pattern's origin (start of the piece, z = 0) lies on the least blank, from
    #: its tail end and from its edge at the top plate. [m]
    origin_along_m: float = 0.0
    origin_up_m: float = 0.0


@dataclass(frozen=True, kw_only=True)
class SidePattern:
    """One piece of side developed flat: pattern, blank and marks.

    Edge arrays are (n, 3): s on the outer line, s on the middle line, and z from the plane
    of the top's edge at tail and neck, so that a flat top is z = 0. [m]
    """

    rim: RimPiece
    thickness_m: float
    length_outer_m: float
    length_middle_m: float
    length_inner_m: float
    #: What the chosen neck end adds to the drawn half (negative: takes off), middle line. [m]
    neck_end_m: float
    #: How the piece ends at the neck, in words.
    neck_end_words: str
    edge_top: FloatArray
    edge_back: FloatArray
    #: The same edges standing proud for those who profile before bending.
    edge_top_proud: FloatArray
    edge_back_proud: FloatArray
    proud_m: float
    marks: tuple[Mark, ...]
    blank: Blank
    #: Mitre at the pointed horn: angle between this piece's end face and its length, or None. [rad]
    mitre_rad: float | None = None
    warnings: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class StripCut:
    """Bindings, purflings or linings to cut for one piece of side."""

    name: str
    hand: str
    piece: str
    edge: str
    #: On the strip's own line. [m]
    length_m: float
    #: With what is left over at both ends. [m]
    cut_length_m: float
    count: int
    section: str
    mitre_rad: float | None = None
    warnings: tuple[str, ...] = ()
