"""What the bend check and the recipe are, as values."""

from __future__ import annotations

from dataclasses import dataclass

from rimwright.curves.piece import FloatArray
from rimwright.sides.pattern import Zone
from rimwright.sources import Sourced
from rimwright.wood.species import Kind


@dataclass(frozen=True, slots=True, kw_only=True)
class TightPlace:
    """A tight bend, named in words."""

    #: "scoop", "horn", "waist", "lower bout", ...
    name: str
    #: "scoop, 34 mm radius, 31 mm before the neck end".
    words: str
    s_outer_m: float
    #: Of the outer line. [m]
    radius_m: float
    convex: bool
    utilisation: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Cupping:
    """How a wide strip wants to cup at its tightest bend."""

    #: width² × curvature / thickness, Searle's parameter.
    searle: float
    s_outer_m: float
    words: str
    #: Least width of caul that holds it flat. [m]
    caul_width_m: float


@dataclass(frozen=True, kw_only=True)
class PieceCheck:
    """One piece of side against what its wood can bear, station by station."""

    hand: str
    piece: str
    #: Stations on the outer line, shape (n,). [m]
    s_outer: FloatArray
    #: Outer line, convex positive, shape (n,). [1/m]
    curvature: FloatArray
    #: At bending, thinned zones included, shape (n,). [m]
    thickness: FloatArray
    #: t κ / 2 on the middle line, positive, shape (n,).
    strain_middle: FloatArray
    #: Tensile strain at the face in tension, neutral axis moved, shape (n,).
    strain_tension: FloatArray
    #: strain_tension over the capacity's middle, shape (n,); None without a wood.
    utilisation: FloatArray | None
    #: Tensile face strain the wood bears wet and hot; None without a wood.
    capacity: Sourced | None
    #: Greatest thickness that keeps the margin; None without a wood. [m]
    greatest_thickness_m: float | None
    #: The same for the piece without its tight zones, when thinning those alone would do.
    greatest_thickness_elsewhere_m: float | None
    tight_places: tuple[TightPlace, ...]
    #: Tape and support zones with their tension face.
    zones: tuple[Zone, ...]
    cupping: Cupping
    warnings: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class LayerCheck:
    """A loose strip bent with the side, checked by itself on its own radius."""

    name: str
    hand: str
    piece: str
    strain_middle_max: float
    strain_tension_max: float
    s_outer_m: float
    utilisation: float | None
    words: str


@dataclass(frozen=True, kw_only=True)
class BendCheck:
    """Every piece and every loose layer."""

    pieces: tuple[PieceCheck, ...]
    layers: tuple[LayerCheck, ...] = ()
    #: What it rests on: sources and assumptions, in words.
    rests_on: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One step of the recipe."""

    #: Short key that stays the same from plan to plan: "warm-up", "waist-home".
    key: str
    title: str
    do: str
    #: Temperature of the probe, if the step has one. [degC]
    target_c: float | None = None
    #: How long: middle and range, if it takes time. [s]
    duration_s: Sourced | None = None
    watch: str = ""
    why: str = ""
    cautions: tuple[str, ...] = ()
    #: "cold", "hot" or "after": where in the work it falls.
    phase: str = "cold"
    #: Which sides it is for: "both sides", "treble side", "treble return".
    applies: str = "both sides"


@dataclass(frozen=True, kw_only=True)
class WarmUp:
    """Times and power from the heat through the stack."""

    to_early_alarm_s: Sourced
    to_target_s: Sourced
    #: Share of full power that holds the target.
    hold_fraction: Sourced
    #: Heat put into a square metre of the stack until it is at the target. [J/m²]
    energy_j_m2: float
    #: Middle of the wood when the probe reads the target. [degC]
    core_at_target_c: Sourced | None = None
    #: Temperature less the softening temperature, mean over thickness and bend. [K]
    softness_in_bend_k: Sourced | None = None
    rests_on: tuple[str, ...] = ()
    #: A face that scorches before the bend is done.
    warnings: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Recipe:
    """The ordered steps, and what they rest on."""

    school: str
    steps: tuple[Step, ...]
    warm_up: WarmUp
    #: Of the probe: when to get ready, where the bends begin, where it is too hot. [degC]
    early_alarm_c: float
    target_c: float
    limit_c: float
    #: Of the wood, as the heat takes it: oven-dry mass over water's, and its class.
    gravity: float
    kind: Kind
    rests_on: tuple[str, ...] = ()
