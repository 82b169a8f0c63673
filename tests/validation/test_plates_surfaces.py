"""Edges of a side under flat, cylindrical and domed plates, against closed forms.

Sources: elementary geometry (sphere, cylinder, sagitta). Figures for makers from the
project's study of practice: a dish takes 4.4 mm at 200 mm from its axis for 15 ft, 2.6 mm
for 25 ft and 2.2 mm for 30 ft.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import brentq

from rimwright.curves.arc import Arc
from rimwright.curves.chain import Chain
from rimwright.instrument.design import Design, Drawing, Ends, OutlineSource, Plate, Plates, Sides
from rimwright.instrument.outline import Half, Outline, RimPiece
from rimwright.instrument.plates import plate_surfaces
from rimwright.sides.develop import develop_sides

FOOT = 0.3048
Held = Callable[..., None]


def _half(hand: str, first_radius: float, second_radius: float) -> Half:
    """Half of an egg: a quarter of the first radius, then an arc on to the centreline."""
    sign = 1.0 if hand == "treble" else -1.0
    quarter = Arc((0.0, 0.0), sign * np.pi / 2, -sign / first_radius, first_radius * np.pi / 2)
    top = (first_radius, sign * first_radius)
    straight = Arc(top, 0.0, 0.0, first_radius - second_radius)
    near = (top[0] + straight.arc_length, top[1])
    rest = Arc(near, 0.0, -sign / second_radius, second_radius * np.pi / 2)
    end = (near[0] + second_radius, sign * (first_radius - second_radius))
    down = Arc.line(end, (end[0], 0.0))
    pieces = [quarter, straight, rest, down]
    chain = Chain(tuple(piece for piece in pieces if piece.length > 1e-9))
    return Half(hand, RimPiece(hand, "main", chain))


def _body(bass: float, treble: float, radius: float = 0.2) -> Outline:
    """Both halves 2 * radius long, with shoulders of the given radii."""
    return Outline(
        bass=_half("bass", radius, bass),
        treble=_half("treble", radius, treble),
        length_m=2 * radius,
    )


def _plates(top: Plate, back: Plate, tail: float = 0.1, neck: float = 0.085) -> Plates:
    return Plates(top=top, back=back, depth_tail_m=tail, depth_neck_m=neck)


def _design(plates: Plates) -> Design:
    ends = Ends(
        neck_block_width_m=0.056,
        neck_block_length_m=0.05,
        neck_block_kind="bolt-on",
        tail_block_width_m=0.07,
    )
    return Design(
        name="Trial",
        outline=OutlineSource(source=Drawing(path=Path("trial.svg"))),
        plates=plates,
        ends=ends,
        sides=Sides(thickness_m=0.002),
    )


@pytest.mark.parametrize(("feet", "printed_mm"), [(15, 4.4), (25, 2.6), (30, 2.2)])
def test_what_a_dish_takes_at_200_mm(held_against: Held, feet: float, printed_mm: float) -> None:
    dome = Plate(shape="dome", radius_m=feet * FOOT)
    top = plate_surfaces(_plates(dome, Plate()), _body(0.1, 0.1)).top
    # From the crown in the middle of the body to 200 mm beside it.
    z = top.height(np.array([0.2, 0.2]), np.array([0.0, 0.2]))
    drop = float(z[1] - z[0])
    held_against(
        f"fall of a {feet} ft dish at 200 mm from its axis",
        source="sagitta of a circle, elementary geometry",
        printed=1e3 * (feet * FOOT - np.sqrt((feet * FOOT) ** 2 - 0.2**2)),
        ours=drop * 1e3,
        tolerance=1e-9,
        unit="mm",
        why="rounding",
    )
    held_against(
        f"fall of a {feet} ft dish at 200 mm from its axis, as told to makers",
        source="common practice, no source",
        printed=printed_mm,
        ours=drop * 1e3,
        tolerance=0.05,
        unit="mm",
        why="half of the last digit told",
    )


def test_a_round_body_under_a_dome_has_level_edges(held_against: Held) -> None:
    """A circle through tail and neck lies on the sphere at one height: a plane cuts a circle."""
    dome = Plate(shape="dome", radius_m=15 * FOOT)
    for side in develop_sides(_body(0.2, 0.2), _design(_plates(dome, dome, 0.09, 0.09))):
        assert np.abs(side.edge_top[:, 2]).max() < 1e-12
        worst = np.argmax(np.abs(side.edge_back[:, 2] - 0.09))
        held_against(
            f"edge of a round body under a dome, {side.rim.hand} side, the station furthest off",
            source="a plane cuts a sphere in a circle, elementary geometry",
            printed=0.09,
            ours=side.edge_back[worst, 2],
            tolerance=1e-12,
            unit="m",
            why="rounding",
        )


def test_dome_edges_against_a_root_finder(held_against: Held) -> None:
    """Closed form against the sphere's equation solved numerically along each vertical."""
    radius = 15 * FOOT
    design = _design(_plates(Plate(), Plate(shape="dome", radius_m=radius)))
    body = _body(0.1, 0.15)
    # Tail (0, 0, 0.1) and neck (0.4, 0, 0.085): centre on the perpendicular bisector, above.
    chord = np.array([0.4, -0.015])
    half = 0.5 * np.hypot(*chord)
    normal = np.array([chord[1], -chord[0]]) / np.hypot(*chord)
    centre = np.array([0.2, 0.0925]) + normal * np.sqrt(radius**2 - half**2)
    for side in develop_sides(body, design):
        xy = side.rim.at(side.edge_back[:, 0]).position
        found = []
        for (x, y), z in list(zip(xy, side.edge_back[:, 2], strict=True))[::9]:
            solved = brentq(
                lambda depth, x=x, y=y: (
                    (x - centre[0]) ** 2 + y**2 + (depth - centre[1]) ** 2 - radius**2
                ),
                0.0,
                0.5,
                xtol=1e-14,
            )
            found.append((abs(z - solved), solved, z))
        _, solved, z = max(found)
        held_against(
            f"edge under a dome, {side.rim.hand} side, the station furthest off",
            source="equation of the sphere, solved along each vertical",
            printed=solved,
            ours=z,
            tolerance=1e-12,
            unit="m",
            why="rounding; the root is sought to 1e-14 m",
        )
        assert side.edge_back[0, 2] == pytest.approx(0.1, abs=1e-12)
        assert side.edge_back[-1, 2] == pytest.approx(0.085, abs=1e-12)


def test_cylinder_edges_stand_one_radius_from_a_tilted_axis(held_against: Held) -> None:
    radius = 3.0
    plates = _plates(Plate(), Plate(shape="cylinder", radius_m=radius))
    body = _body(0.1, 0.15)
    along = np.array([0.4, 0.0, -0.015]) / np.hypot(0.4, 0.015)
    inwards = np.array([along[2], 0.0, -along[0]])
    on_axis = np.array([0.0, 0.0, 0.1]) + inwards * radius
    for side in develop_sides(body, _design(plates)):
        xy = side.rim.at(side.edge_back[:, 0]).position
        reach = np.column_stack([xy, side.edge_back[:, 2]]) - on_axis
        apart = np.linalg.norm(reach - np.outer(reach @ along, along), axis=1)
        held_against(
            f"{side.rim.hand} edge to a cylinder's axis, the station furthest off",
            source="distance of a point from a line, elementary geometry",
            printed=radius,
            ours=apart[np.argmax(np.abs(apart - radius))],
            tolerance=1e-12,
            unit="m",
            why="rounding",
        )
        assert side.edge_back[:, 2].min() < 0.1  # the edges fall towards the top


def test_flat_plates_have_straight_edges() -> None:
    for side in develop_sides(_body(0.1, 0.1), _design(_plates(Plate(), Plate()))):
        x = side.rim.at(side.edge_back[:, 0]).position[:, 0]
        assert not side.edge_top[:, 2].any()
        assert side.edge_back[:, 2] == pytest.approx(0.1 - 0.015 * x / 0.4, abs=1e-15)


@pytest.mark.parametrize("shape", ["dome", "cylinder"])
@pytest.mark.parametrize("plate", ["top", "back"])
def test_a_plate_flat_from_a_station_has_no_step(shape: str, plate: str) -> None:
    """On both halves, though they are of different width there."""
    body = _body(0.12, 0.16)
    station = 0.33
    arched = Plate(shape=shape, radius_m=6.0, flat_from_m=station)  # type: ignore[arg-type]
    plates = dataclasses.replace(_plates(Plate(), Plate()), **{plate: arched})
    surface = getattr(plate_surfaces(plates, body), plate)
    fall = 1.0 if plate == "top" else -1.0
    for half in body.halves:
        s = np.linspace(0.0, half.main.length, 200_001)
        x, y = half.main.at(s).position.T
        plane = 0.0 * x if plate == "top" else 0.1 - 0.015 * x / 0.4
        above = fall * (surface.height(x, y) - plane)
        beyond = x >= station
        assert np.abs(above[beyond]).max() < 1e-15
        assert abs(above[0]) < 1e-12
        # No step: neighbours 4 µm apart on the line differ by less than a slope of 0.2 gives.
        assert np.abs(np.diff(above)).max() < 1e-6
        # And it is arched behind the station.
        assert np.ptp(above[~beyond]) > 2e-4
