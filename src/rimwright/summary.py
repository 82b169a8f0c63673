"""The plan in a few words: what was assumed, then the three things that matter most."""

from __future__ import annotations

from collections.abc import Iterator

from rimwright.bending.results import BendCheck, PieceCheck, TightPlace
from rimwright.bending.thickness import practice_for
from rimwright.instrument.design import Design
from rimwright.instrument.outline import Outline
from rimwright.sides.pattern import SidePattern
from rimwright.tooling.parts import Tooling
from rimwright.units import length_text

#: How many matters are told.
_TOLD = 3
#: Shares are told in whole per cent, so that this much past the margin reads as the margin.
_TOLD_AS_EQUAL = 0.005


def assumptions(outline: Outline, design: Design) -> tuple[str, ...]:
    """What nobody said and was assumed, most important first."""
    return (*outline.assumptions, *design.assumed)


def matters_most(
    design: Design,
    *,
    outline: Outline,
    sides: tuple[SidePattern, ...],
    check: BendCheck,
    tooling: Tooling,
) -> tuple[str, ...]:
    """The three things a maker should know before cutting, the gravest first."""
    found = [
        *_strain(design, check),
        *_advice(design, outline, check),
        *_slats(tooling),
        *_warnings(sides, check, tooling),
        *_layers(check),
        *_cupping(check),
        *_lengths(design, sides),
    ]
    told: dict[str, None] = {}
    for _, words in sorted(found, key=lambda item: -item[0]):
        told[words] = None
    return tuple(told)[:_TOLD]


def _name(piece: PieceCheck | SidePattern) -> str:
    hand, kind = (
        (piece.hand, piece.piece)
        if isinstance(piece, PieceCheck)
        else (piece.rim.hand, piece.rim.name)
    )
    return f"{hand} {'return' if kind == 'return' else 'side'}"


def _strain(design: Design, check: BendCheck) -> Iterator[tuple[float, str]]:
    """The tightest place of all, against the wood if one is named."""
    places = [(piece, place) for piece in check.pieces for place in piece.tight_places]
    if not places:
        return
    piece, place = max(places, key=_worst)
    if place.utilisation is None:
        yield 90.0, f"Tightest on the {_name(piece)}: {place.words}. Name the wood for advice."
        return
    used, margin = place.utilisation, design.margins.strain
    where = f"{_name(piece)}, {place.words}"
    if used > 1.0:
        yield 100.0, f"Expect a break: {where} asks {used:.0%} of what the wood bears."
    elif used > margin + _TOLD_AS_EQUAL:
        yield 95.0, f"Past your margin: {where} asks {used:.0%} of what the wood bears."
    else:
        near = used > 0.85 * margin
        words = (
            f"Tightest: {where}, {used:.0%} of what the wood bears; your margin is {margin:.0%}."
        )
        yield (88.0 if near else 70.0), words


def _worst(item: tuple[PieceCheck, TightPlace]) -> tuple[float, float]:
    return item[1].utilisation or 0.0, 1.0 / item[1].radius_m


def _advice(design: Design, outline: Outline, check: BendCheck) -> Iterator[tuple[float, str]]:
    """How thin, where the thickness in hand is past the margin, unless nobody goes so thin."""
    practice = practice_for(outline.length_m)
    for piece in check.pieces:
        greatest = piece.greatest_thickness_m
        used = piece.utilisation
        if greatest is None or used is None or used.max() <= design.margins.strain + _TOLD_AS_EQUAL:
            continue
        thin = length_text(greatest, design.show, fine=True)
        other = length_text(greatest, "inch" if design.show == "metric" else "metric", fine=True)
        if greatest < practice.thinnest_m:
            words = (
                f"Only {thin} ({other}) would keep the margin on the {_name(piece)}, thinner "
                f"than makers use ({practice.words}; common practice, no source): make that "
                "bend rounder, laminate, or take another wood."
            )
            yield 94.0 + 0.1 * min(float(used.max()), 5.0), words
            continue
        elsewhere = piece.greatest_thickness_elsewhere_m
        alone = ""
        if elsewhere is not None and elsewhere > greatest * 1.02:
            alone = f" there; elsewhere {length_text(elsewhere, design.show, fine=True)} would do"
        worse = 94.0 + 0.1 * min(float(used.max()), 5.0)
        yield worse, f"Thin the {_name(piece)} to {thin} ({other}){alone}."


def _slats(tooling: Tooling) -> Iterator[tuple[float, str]]:
    for slat in tooling.slats:
        if not slat.bears_it:
            sure = slat.asked_radius_m < 0.9 * slat.least_radius_m
            side = f"{slat.hand.capitalize()} {'return' if slat.piece == 'return' else 'side'}"
            yield (85.0 if sure else 77.0), f"{side}, {slat.name}: {slat.words}"


def _warnings(
    sides: tuple[SidePattern, ...], check: BendCheck, tooling: Tooling
) -> Iterator[tuple[float, str]]:
    for side in sides:
        for words in side.warnings:
            yield 80.0, f"{_name(side).capitalize()}: {words}"
    places = [(piece, place) for piece in check.pieces for place in piece.tight_places]
    first = max(places, key=_worst, default=None)
    for piece in check.pieces:
        for words in piece.warnings:
            if first is not None and piece is first[0] and words.startswith(first[1].words):
                continue  # told as the tightest of all
            yield 78.0, f"{_name(piece).capitalize()}: {words}"
    told = [slat.words for slat in tooling.slats if not slat.bears_it and slat.words]
    for words in tooling.warnings:
        if not any(slat in words for slat in told):
            yield 62.0, words[:1].upper() + words[1:]


def _layers(check: BendCheck) -> Iterator[tuple[float, str]]:
    for layer in check.layers:
        if layer.utilisation is not None and layer.utilisation > 0.85:
            yield 65.0 + 20.0 * (layer.utilisation > 1.0), layer.words


def _cupping(check: BendCheck) -> Iterator[tuple[float, str]]:
    worst = max(check.pieces, key=lambda piece: piece.cupping.searle)
    yield 40.0, f"{_name(worst).capitalize()}: {worst.cupping.words}"


def _lengths(design: Design, sides: tuple[SidePattern, ...]) -> Iterator[tuple[float, str]]:
    """The two blanks, since on a cutaway body they differ."""
    said = ", ".join(
        f"{_name(side)} {length_text(side.length_middle_m + side.neck_end_m, design.show)}"
        for side in sides
    )
    yield 50.0, f"Lengths on the middle line to the neck end: {said}."
