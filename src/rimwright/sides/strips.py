"""Bindings, purflings and linings: how long each is cut, on its own line."""

from __future__ import annotations

import numpy as np

from rimwright.errors import GeometryError
from rimwright.instrument.design import Design, Lining, Strip
from rimwright.instrument.ends import between_blocks
from rimwright.instrument.outline import Hand, Outline, PieceName
from rimwright.sides.develop import mitre
from rimwright.sides.pattern import SidePattern, StripCut
from rimwright.units import length_text

#: Both edges of a side carry strips.
EDGES = ("top", "back")


def strip_cuts(
    design: Design, outline: Outline, sides: tuple[SidePattern, ...]
) -> tuple[StripCut, ...]:
    """Everything thin that is bent or laid along the sides, with its length.

    A binding lies in a rebate flush with the outside, so that its own line is half its
    thickness inside the outline; what is given after it follows inwards layer by layer. A
    strip beside the side lies on the side's face, flush as well. Four of each, two edges
    of two sides (a return piece has its own), and one spare as long as the longest:
    commonly one breaks (common practice, no source).

    Parameters
    ----------
    design : Design
        For strips, lining, blocks and what is left over at the ends.
    outline : Outline
        The outside of the finished rim.
    sides : tuple of SidePattern
        The developed sides, for their thickness.

    Returns
    -------
    tuple of StripCut
        Bindings and purflings first, each followed by its spare; then the linings, on the
        inside of the side from block to block. A length is that of the drawn half; the
        cut length also has what the side's neck end adds, so that no strip is short.

    Raises
    ------
    GeometryError
        If the strips are too thick for a bend, or the blocks leave no room for linings.
    """
    cuts: list[StripCut] = []
    added = {(side.rim.hand, side.rim.name): max(side.neck_end_m, 0.0) for side in sides}
    depth = 0.0
    for strip in sorted(design.strips, key=lambda one: one.place == "inside"):
        first = 0.0 if strip.place == "beside" else depth
        cuts += _along_sides(strip, first, design, outline, added)
        if strip.place != "beside":
            depth = first + strip.count * strip.thickness_m
    _check_fit(sides, depth)
    if design.lining is not None:
        cuts += _linings(design.lining, design, outline, sides)
    return tuple(cuts)


def _along_sides(
    strip: Strip,
    depth: float,
    design: Design,
    outline: Outline,
    added: dict[tuple[Hand, PieceName], float],
) -> list[StripCut]:
    """One strip on every piece and edge, from `depth` inside the outline, and its spare."""
    over = design.margins.strip_end_m
    section = _section(strip.thickness_m, strip.height_m, design)
    warnings = _warnings(strip)
    layers = strip.count * strip.thickness_m
    glued = strip.pre_glued and strip.count > 1
    # Loose layers each have their own line: the outermost is the longest on the bouts, and
    # all are cut as long as the longest of them.
    lines = (
        [depth + 0.5 * layers]
        if glued
        else [depth + (i + 0.5) * strip.thickness_m for i in range(strip.count)]
    )
    cuts = []
    for half in outline.halves:
        for rim in half.pieces:
            turn = float(rim.turn_to(np.array([rim.length]))[0])
            length = max(rim.length - line * turn for line in lines)
            cuts += [
                StripCut(
                    name=strip.name,
                    hand=rim.hand,
                    piece=rim.name,
                    edge=edge,
                    length_m=length,
                    cut_length_m=length + added[rim.hand, rim.name] + 2.0 * over,
                    count=strip.count,
                    section=section,
                    mitre_rad=mitre(half),
                    warnings=warnings,
                )
                for edge in EDGES
            ]
    longest = max(cuts, key=lambda cut: cut.cut_length_m)
    spare = StripCut(
        name=f"{strip.name}, spare",
        hand="either",
        piece="main",
        edge="either",
        length_m=longest.length_m,
        cut_length_m=longest.cut_length_m,
        count=strip.count,
        section=section,
        warnings=warnings,
    )
    return [*cuts, spare]


def _linings(
    lining: Lining, design: Design, outline: Outline, sides: tuple[SidePattern, ...]
) -> list[StripCut]:
    """Linings on the side's inside between the blocks."""
    over = design.margins.strip_end_m
    thickness = {(side.rim.hand, side.rim.name): side.thickness_m for side in sides}
    cuts = []
    for half in outline.halves:
        stretches = between_blocks(half, design.ends, thickness[half.hand, "main"])
        for rim, stretch in zip(half.pieces, stretches, strict=True):
            inside = thickness[rim.hand, rim.name]
            start, end = np.array(stretch) - inside * rim.turn_to(np.array(stretch))
            length = float(end - start)
            if not length > 0.0:
                raise GeometryError(
                    f"no room for a lining between the blocks of the {rim.hand} side",
                    "blocks narrower than the body",
                    "check the widths of neck and tail block",
                )
            cuts += [
                StripCut(
                    name=f"{lining.kind} lining",
                    hand=rim.hand,
                    piece=rim.name,
                    edge=edge,
                    length_m=length,
                    cut_length_m=length + 2.0 * over,
                    count=1,
                    section=_section(lining.thickness_m, lining.height_m, design),
                    mitre_rad=mitre(half),
                )
                for edge in EDGES
            ]
    return cuts


def _check_fit(sides: tuple[SidePattern, ...], depth: float) -> None:
    """Refuse strips that lie deeper than the radius of the tightest convex bend."""
    for side in sides if depth > 0.0 else ():
        sharpest = float(side.rim.at(side.edge_top[:, 0]).curvature.max())
        if depth * sharpest >= 1.0:
            raise GeometryError(
                f"bindings and purflings {depth * 1e3:.1f} mm deep on the {side.rim.hand} side, "
                f"which bends to {1e3 / sharpest:.1f} mm radius",
                f"less than {1e3 / sharpest:.1f} mm of them there",
                "make the strips thinner or the bend rounder",
            )


def _warnings(strip: Strip) -> tuple[str, ...]:
    if not strip.pre_glued:
        return ()
    return (
        f"{strip.name} is glued up before bending: its joints can open in the heat; bend the "
        "layers loose and glue them in the rebate, or try a spare first",
    )


def _section(thickness: float, height: float, design: Design) -> str:
    show = design.show
    return f"{length_text(thickness, show, fine=True)} × {length_text(height, show)}"
