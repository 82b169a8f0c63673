"""The steps after the heat: rest, release, look, dry, fit, and on to a lined rim."""

from __future__ import annotations

from rimwright.bending import cautions
from rimwright.bending.bench import Bench
from rimwright.bending.results import Step
from rimwright.instrument.design import Plate
from rimwright.sources import Provenance, Sourced
from rimwright.tooling.parts import SlatCheck
from rimwright.units import time_text


def after_steps(bench: Bench) -> tuple[Step, ...]:
    """From unplugging to the linings, in order."""
    return (
        _unplug(),
        _rest(bench),
        _release(bench),
        _inspect(),
        _dry(bench),
        _fit(bench),
        _trim(bench),
        _block(bench),
        _dish(bench),
        _line(),
    )


def _practice(middle: float, low: float, high: float) -> Sourced:
    return Sourced(middle=middle, low=low, high=high, provenance=Provenance.PRACTICE)


def _unplug() -> Step:
    return Step(
        key="unplug",
        title="Unplug",
        do="Pull the plug and lay it where you can see it.",
        watch="look again after half an hour",
        why="the rest is long and nobody stands beside it",
        cautions=(*cautions.UNPLUG, *cautions.FIRE),
        phase="after",
    )


def _rest(bench: Bench) -> Step:
    rest = bench.design.heating.rest_s
    return Step(
        key="rest",
        title="Rest on the form",
        do=f"Leave everything clamped for {time_text(rest)}.",
        duration_s=_practice(rest, min(rest, 0.5 * 86_400.0), max(rest, 2.0 * 86_400.0)),
        watch="fully cold and dry before any clamp is touched",
        why="the bend sets while it cools and dries; a side freed warm or damp opens again",
        phase="after",
    )


def _release(bench: Bench) -> Step:
    return Step(
        key="release",
        title="Release",
        do="Hold the tail down with a second pair of hands; alone, with a strap, and back the "
        "last clamp off slowly. Neck end first, then bouts, waist ram, tail last."
        f"{_stored(bench)}",
        watch="slats lift as each clamp goes: let them rise, never fly",
        why="bent slats are springs",
        cautions=(*cautions.UNPLUG, *cautions.SLAT_EDGES, *cautions.PINCH, *cautions.STEAM),
        phase="after",
    )


def _stored(bench: Bench) -> str:
    """What all slats of the piece that stores most give back together."""
    pieces: dict[str, list[SlatCheck]] = {}
    for slat in bench.tooling.slats:
        if slat.energy_j is not None:
            name = f"{slat.hand} {'return' if slat.piece == 'return' else 'side'}"
            pieces.setdefault(name, []).append(slat)
    if not pieces:
        return ""
    name, slats = max(pieces.items(), key=lambda item: sum(s.energy_j or 0.0 for s in item[1]))
    energy = sum(slat.energy_j or 0.0 for slat in slats)
    tail, neck = (
        sum(force or 0.0 for force in forces)
        for forces in zip(*((s.tip_force_n, s.neck_force_n) for s in slats), strict=True)
    )
    start = "horn tip" if name.endswith("return") else "tail"
    hold = " Hold the neck end down too as its clamp comes off." * (neck > tail)
    return (
        f" The slats of the {name} store {energy:.1f} J together and push with {tail:.0f} N at "
        f"the {start} and {neck:.0f} N at the neck end.{hold}"
    )


def _inspect() -> Step:
    return Step(
        key="inspect",
        title="Look it over",
        do="Both faces in raking light: cracks at waist, horn and scoop, scorch, stain, cup, "
        "twist. Lay it flat on the bench and on the drawing.",
        watch="write down what you see, with the station, while you see it",
        why="the next side learns from this one",
        phase="after",
    )


def _dry(bench: Bench) -> Step:
    return Step(
        key="dry",
        title="Dry to the shop",
        do=f"Leave the side in the mould or tied to shape until it weighs the same two days "
        f"running at {bench.design.equipment.humidity:.0%} humidity.",
        watch="weight, not touch",
        why="damp wood glued now shrinks later",
        phase="after",
    )


def _fit(bench: Bench) -> Step:
    return Step(
        key="fit",
        title="Fit in the mould",
        do="Lay both sides in the mould, waist marks on the mould's marks. They should lie with "
        "little or no force; touch up the waist first on a hot iron, then look again.",
        watch=f"gaps under {bench.length(0.0015)} pass; the waist moves both ends",
        why="a forced fit builds stress into the body",
        cautions=cautions.HOT_SURFACES,
        phase="after",
    )


def _trim(bench: Bench) -> Step:
    ends = "; ".join(
        f"{side.rim.hand} {'return' if side.rim.name == 'return' else 'side'}: "
        f"{side.neck_end_words}"
        for side in bench.sides
    )
    return Step(
        key="trim",
        title="Trim the ends",
        do=f"Mark both seams in the mould and trim. At the neck: {ends}.",
        watch="mark twice, both sides in the mould; length can only be taken off",
        why="waist and seams must meet together",
        phase="after",
    )


def _block(bench: Bench) -> Step:
    ends = bench.design.ends
    return Step(
        key="block",
        title="Glue the blocks",
        do=f"Tail block {bench.length(ends.tail_block_width_m)} wide, neck block "
        f"({ends.neck_block_kind}) {bench.length(ends.neck_block_width_m)} wide, on the "
        "centreline, in the mould with spreaders in.",
        watch="sides down on the mould's face, no light under them",
        why="the blocks fix the shape that the mould holds",
        phase="after",
    )


def _dish(bench: Bench) -> Step:
    plates = bench.design.plates
    dishes = "; ".join(
        f"{name} {_arch_words(bench, plate)}"
        for name, plate in (("top", plates.top), ("back", plates.back))
    )
    return Step(
        key="dish",
        title="Sand to the dish",
        do=f"Sand both edges to the plates: {dishes}.",
        watch="rim heights at the marks, by callipers",
        why="the pattern stands proud so that this takes only a little",
        phase="after",
    )


def _arch_words(bench: Bench, plate: Plate) -> str:
    """A plate's arching, its radius as both trades name it."""
    if plate.shape == "flat" or plate.radius_m is None:
        return "flat"
    across = ", across only" if plate.shape == "cylinder" else ""
    words = f"{plate.radius_m:.2f} m ({plate.radius_m / 0.3048:.1f} ft) radius{across}"
    if plate.flat_from_m is not None:
        words += f", flat from {bench.length(plate.flat_from_m)} to the neck: dish behind it only"
    return words


def _line() -> Step:
    return Step(
        key="line",
        title="Line",
        do="Glue the linings a hair proud of both edges, clamps all along; sand flush.",
        watch="no gap under the lining at the waist",
        why="the linings keep the edge true while the plates go on",
        phase="after",
    )
