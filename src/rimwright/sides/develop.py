"""Sides laid out flat: edges, lengths, marks and blank of every piece."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from rimwright.curves.piece import FloatArray
from rimwright.errors import DesignError, FoldedOffsetError, GeometryError
from rimwright.instrument.design import Design
from rimwright.instrument.ends import NeckCut, neck_cut
from rimwright.instrument.outline import Half, Hand, Outline, PieceName, RimFrame, RimPiece
from rimwright.instrument.plates import PlateSurfaces, plate_surfaces
from rimwright.sides.blank import blank_points, board_warnings, lay_on_board, least_turn
from rimwright.sides.marks import marks_at, places_to_mark
from rimwright.sides.pattern import Blank, SidePattern, Zone

#: Greatest distance between two points of an edge on the outer line. [m]
EDGE_STEP = 0.0048

#: One thickness for all pieces, or one for each by hand and piece. [m]
Thickness = float | Mapping[tuple[Hand, PieceName], float]


def develop_sides(
    outline: Outline, design: Design, thickness_m: Thickness | None = None
) -> tuple[SidePattern, ...]:
    """Every piece of both sides as a flat pattern: bass first, main before return.

    Parameters
    ----------
    outline : Outline
        The outside of the finished rim.
    design : Design
        For plates, ends, allowances and the boards in hand.
    thickness_m : float or mapping, optional
        At bending; one for all, or by ``(hand, piece)``. Default: the design's. [m]

    Returns
    -------
    tuple of SidePattern
        With `rotate_on_board` both main pieces are turned by the same angle on mirrored
        boards, the one that makes a pair of equal boards narrowest, so that the grain still
        matches at the tail seam.

    Raises
    ------
    DesignError
        If no thickness is given.
    GeometryError
        If plates, depths or thickness do not go with the outline.
    """
    given = design.sides.thickness_m if thickness_m is None else thickness_m
    if given is None:
        raise DesignError(
            "sides without a thickness",
            "a thickness at bending",
            "give one such as '2.1 mm', or name the wood and ask for advice",
        )
    patterns = []
    for half in outline.halves:
        for rim in half.pieces:
            thick = given if isinstance(given, float | int) else given[rim.hand, rim.name]
            patterns.append(_pattern(rim, half, design, outline, float(thick)))
    if design.sides.rotate_on_board:
        both = least_turn(np.vstack([_points(one) for one in patterns if one.rim.name == "main"]))
        patterns = [
            _turned(one, both if one.rim.name == "main" else None, design) for one in patterns
        ]
    return tuple(_checked(one, design) for one in patterns)


def develop(
    rim: RimPiece,
    half: Half,
    design: Design,
    outline: Outline,
    thickness_m: float,
    *,
    zones: tuple[Zone, ...] = (),
) -> SidePattern:
    """One piece of side as a flat pattern.

    The outer line is the outline itself; middle and inner line run half the thickness and
    the whole thickness inside it. Along any shape the line `d` inside is shorter by `d`
    times the turn, so that all three lengths are exact. Both ends are cut square to the
    side. The edges are where the outside of the side meets the plates' surfaces. Sanding
    after the side has left the mould comes off its outside and moves none of these lines.

    Parameters
    ----------
    rim : RimPiece
        The piece to develop.
    half : Half
        The half it belongs to.
    design : Design
        For plates, ends, allowances and the boards in hand.
    outline : Outline
        The whole outline, for the plates and the neck.
    thickness_m : float
        At bending. [m]
    zones : tuple of Zone, optional
        Zones whose limits are marked.

    Raises
    ------
    GeometryError
        If the thickness is not positive, a bend is tighter than it allows, or the plates
        meet inside the rim.
    """
    side = _pattern(rim, half, design, outline, thickness_m, zones=zones)
    if design.sides.rotate_on_board:
        side = _turned(side, None, design)
    return _checked(side, design)


def _pattern(
    rim: RimPiece,
    half: Half,
    design: Design,
    outline: Outline,
    thickness_m: float,
    *,
    zones: tuple[Zone, ...] = (),
) -> SidePattern:
    """The pattern with its plane of the top's edge along the grain, no board looked at."""
    if not thickness_m > 0.0:
        raise GeometryError(
            f"a side {thickness_m * 1e3:.2f} mm thick", "a thickness above 0", "check the thickness"
        )
    surfaces = plate_surfaces(design.plates, outline)
    places = places_to_mark(rim, half, zones)
    s = _stations(rim, np.array([place.s_m for place in places]))
    frame = rim.at(s)
    turn = rim.turn_of(frame)
    middle = s - 0.5 * thickness_m * turn
    top, back = _edges(rim, surfaces, s, frame, thickness_m)
    cut = _end_of(rim, half, outline, design, thickness_m)
    proud = design.sides.proud_m
    edge_top, edge_back = (np.column_stack([s, middle, z]) for z in (top, back))
    edge_top_proud, edge_back_proud = (
        np.column_stack([s, middle, z]) for z in (top - proud, back + proud)
    )
    length_middle = float(middle[-1])
    return SidePattern(
        rim=rim,
        thickness_m=thickness_m,
        length_outer_m=rim.length,
        length_middle_m=length_middle,
        length_inner_m=float(rim.length - thickness_m * turn[-1]),
        neck_end_m=cut.neck_end_m,
        neck_end_words=cut.words,
        edge_top=edge_top,
        edge_back=edge_back,
        edge_top_proud=edge_top_proud,
        edge_back_proud=edge_back_proud,
        proud_m=proud,
        marks=marks_at(places, s, turn, back - top, thickness_m),
        blank=_lay(
            blank_points(edge_top, edge_back, length_middle, cut.neck_end_m),
            0.0,
            length_middle + cut.neck_end_m,
            rim,
            design,
        ),
        mitre_rad=mitre(half),
        warnings=cut.warnings,
    )


def with_zones(
    side: SidePattern, zones: tuple[Zone, ...], design: Design, outline: Outline
) -> SidePattern:
    """The same pattern with the limits of these zones among its marks and edge points."""
    half = outline.bass if side.rim.hand == "bass" else outline.treble
    again = develop(side.rim, half, design, outline, side.thickness_m, zones=zones)
    return replace(again, blank=side.blank, warnings=side.warnings)


def mitre(half: Half) -> float | None:
    """Angle between each piece's length and its end face at a pointed horn. [rad]

    Half the angle the two pieces enclose at the tip, so that their faces meet; None
    without a point.
    """
    if half.return_piece is None:
        return None
    before = float(half.main.chain.end().heading[0])
    after = float(half.return_piece.chain.start().heading[0])
    corner = abs((after - before + np.pi) % (2.0 * np.pi) - np.pi)
    return float(0.5 * (np.pi - corner))


def _stations(rim: RimPiece, marks: FloatArray) -> FloatArray:
    """Outer-line stations of the edges: evenly close, with every mark exactly."""
    count = int(np.ceil(rim.length / EDGE_STEP))
    even = np.linspace(0.0, rim.length, max(count, 2) + 1)
    exact = np.clip(marks, 0.0, rim.length)
    # An even station that all but falls on a mark would only make a sliver.
    away = np.abs(even[:, None] - exact[None, :]).min(axis=1) > 1e-6
    return np.unique(np.concatenate([even[away], exact]))


def _edges(
    rim: RimPiece, surfaces: PlateSurfaces, s: FloatArray, frame: RimFrame, thickness: float
) -> tuple[FloatArray, FloatArray]:
    """z of the top's and the back's edge at each station, once both are sound."""
    sharpest = float(frame.curvature.max())
    if sharpest * thickness >= 1.0:
        raise FoldedOffsetError(
            f"a bend of {1e3 / sharpest:.1f} mm radius in a side {thickness * 1e3:.2f} mm thick",
            f"a radius above {thickness * 1e3:.2f} mm, the smallest possible",
            "make the bend rounder or the side thinner",
        )
    x, y = frame.position.T
    top, back = surfaces.top.height(x, y), surfaces.back.height(x, y)
    lowest = int(np.argmin(back - top))
    if back[lowest] <= top[lowest]:
        raise GeometryError(
            f"plates that meet {s[lowest] * 1e3:.0f} mm along the {rim.hand} side",
            "a rim higher than nothing all along",
            "check depths and dish radii",
        )
    return top, back


def _end_of(
    rim: RimPiece, half: Half, outline: Outline, design: Design, thickness: float
) -> NeckCut:
    if rim.name == half.pieces[-1].name:
        return neck_cut(half, outline, design.ends, thickness, design.show)
    angle = mitre(half) or 0.0
    return NeckCut(
        neck_end_m=0.0, words=f"ends at the horn's tip, mitred at {np.degrees(angle):.1f}°"
    )


def _points(side: SidePattern) -> FloatArray:
    return blank_points(side.edge_top, side.edge_back, side.length_middle_m, side.neck_end_m)


def _lay(points: FloatArray, turn: float, length: float, rim: RimPiece, design: Design) -> Blank:
    ends = design.ends
    return lay_on_board(
        points,
        turn,
        length_m=length,
        trims_m=(ends.trim_tail_m if rim.name == "main" else ends.trim_neck_m, ends.trim_neck_m),
        proud_m=design.sides.proud_m,
        edge_m=design.margins.blank_edge_m,
    )


def _turned(side: SidePattern, turn: float | None, design: Design) -> SidePattern:
    """The pattern turned on its board by `turn`, or by what makes its own board narrowest."""
    points = _points(side)
    length = side.length_middle_m + side.neck_end_m
    turn = least_turn(points) if turn is None else turn
    return replace(side, blank=_lay(points, turn, length, side.rim, design))


def _checked(side: SidePattern, design: Design) -> SidePattern:
    """The pattern with a warning for every way the board in hand is too small."""
    whose = f"{side.rim.hand} {'side' if side.rim.name == 'main' else 'return piece'}"
    sides = design.sides
    found = board_warnings(
        side.blank, sides.board_length_m, sides.board_width_m, whose, design.show
    )
    return replace(side, warnings=side.warnings + found)
