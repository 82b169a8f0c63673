"""Outlines by tangent arcs, against the drawings whose arcs are known."""

import json
import math
import re
from pathlib import Path

import numpy as np
import pytest

from rimwright.errors import GeometryError
from rimwright.instrument.design import ArcList, ArcStep
from rimwright.instrument.measures.arcs import outline_from_arcs

CASES = Path(__file__).parents[1] / "cases"
TRUTH = json.loads((CASES / "truth.json").read_text())


def steps(drawing: str, path: str) -> tuple[ArcStep, ...]:
    """Radius and sweep of each SVG arc of a path."""
    text = (CASES / drawing).read_text()
    (data,) = re.findall(rf'id="{path}" d="([^"]*)"', text)
    start, *arcs = data.replace("M", "").split("A")
    at = np.array([float(v) for v in start.split()])
    convex = None
    found = []
    for arc in arcs:
        radius, _, _, _, sweep, x, y = (float(v) for v in arc.split())
        end = np.array([x, y])
        turn = 2.0 * math.asin(np.hypot(*(end - at)) / 2.0 / radius)
        convex = sweep if convex is None else convex
        sign = 1.0 if sweep == convex else -1.0
        found.append(ArcStep(radius_m=sign * radius * 1e-3, sweep_rad=turn))
        at = end
    return tuple(found)


def plover() -> ArcList:
    main = steps("plover.svg", "treble")
    (back,) = steps("plover.svg", "treble-return")
    corner = math.radians(TRUTH["plover"]["corner_at_tip_deg"])
    turned = ArcStep(radius_m=-back.radius_m, sweep_rad=back.sweep_rad, corner_rad=corner)
    return ArcList(bass=steps("plover.svg", "bass"), treble=(*main, turned))


def test_wren_by_its_arcs_has_the_lengths_it_was_drawn_with():
    outline = outline_from_arcs(
        ArcList(bass=steps("wren.svg", "bass"), treble=steps("wren.svg", "treble"))
    )
    truth = TRUTH["wren"]
    # The drawing is rounded to 1e-5 mm, and the closing says so by its own change.
    assert outline.bass.main.length * 1e3 == pytest.approx(truth["bass_outer_length_mm"], abs=1e-3)
    assert outline.treble.main.length * 1e3 == pytest.approx(
        truth["treble_outer_length_mm"], abs=1e-3
    )
    assert outline.length_m == pytest.approx(0.470, abs=1e-6)
    assert outline.bass.cutaway == "none"
    assert outline.treble.cutaway == "rounded"
    end = outline.treble.main.chain.end().position[0]
    assert end * 1e3 == pytest.approx([454.98237, 27.98728], abs=1e-3)


def test_plover_has_a_return_piece_from_its_corner():
    outline = outline_from_arcs(plover())
    truth = TRUTH["plover"]
    treble = outline.treble
    assert treble.cutaway == "pointed"
    assert treble.main.length * 1e3 == pytest.approx(truth["treble_outer_length_mm"], abs=1e-3)
    assert treble.return_piece is not None
    back = treble.return_piece.length
    assert back * 1e3 == pytest.approx(truth["treble_return_outer_length_mm"], abs=1e-3)
    # The treble side lies at positive y and its scoop is concave.
    assert treble.main.chain.at(np.array([0.1])).position[0, 1] > 0.05
    assert treble.return_piece.at(np.array([0.01])).curvature[0] == pytest.approx(-1 / 0.038)


def test_a_half_that_misses_by_little_is_closed_and_says_so():
    half = (
        ArcStep(radius_m=0.1, sweep_rad=math.radians(89.5)),
        ArcStep(radius_m=None, length_m=0.05),
        ArcStep(radius_m=0.1, sweep_rad=math.radians(90)),
    )
    outline = outline_from_arcs(ArcList(bass=half))
    end = outline.bass.main.chain.end().position[0]
    assert abs(end[1]) < 1e-9
    (said,) = outline.assumptions
    # The missing half degree comes back, spread over both arcs.
    assert "bass half ended 1.3 mm short" in said
    change = float(said.split("sweeps by ")[1].split("°")[0])
    assert 0.2 < change < 0.5


def test_closing_keeps_an_end_straight_across_and_spreads_the_change():
    sweeps = [35.0, 55.2, 47.9, 48.1, 25.0, 25.0, 50.0, 40.0]
    radii = [243.15, 90.37, 76.54, -124.87, -110.98, 135.65, 77.4, 165.45]
    half = tuple(
        ArcStep(radius_m=r * 1e-3, sweep_rad=math.radians(a))
        for r, a in zip(radii, sweeps, strict=True)
    )
    outline = outline_from_arcs(ArcList(bass=half))
    turned = sum(s * a for s, a in zip(np.sign(radii), sweeps, strict=True))
    assert np.degrees(outline.bass.main.turn_to(np.array([9.0]))[0]) == pytest.approx(turned)
    changes = [
        math.degrees(arc.length / abs(r) * 1e3) - a
        for arc, r, a in zip(outline.bass.main.chain.pieces, radii, sweeps, strict=True)
    ]
    assert 0.0 < max(map(abs, changes)) < 1.0
    # No single arc is bent to mend the whole: the least sum of squares spreads the change.
    assert np.count_nonzero(np.abs(changes) > 1e-4) >= 5


@pytest.mark.parametrize(
    ("half", "words"),
    [
        ((), "no arcs"),
        ((ArcStep(radius_m=0.1, sweep_rad=2.5),), r"59.8 mm short of the centreline, at x = 180.1"),
        ((ArcStep(radius_m=0.1, sweep_rad=3.5),), "35.1 mm across the centreline"),
        ((ArcStep(radius_m=0.0, sweep_rad=3.0),), "arc 1 with radius 0"),
        ((ArcStep(radius_m=math.nan, sweep_rad=3.0),), "no number"),
        ((ArcStep(radius_m=0.1),), "arc 1 without a sweep"),
        ((ArcStep(radius_m=0.1, sweep_rad=1.0, length_m=0.1),), "arc 1 without a sweep that can"),
        ((ArcStep(radius_m=0.1, sweep_rad=-1.0),), "arc 1 without a sweep that can be"),
        ((ArcStep(radius_m=0.1, sweep_rad=7.0),), "arc 1 without a sweep that can be"),
        ((ArcStep(radius_m=None),), "straight 1 without a length"),
        ((ArcStep(radius_m=0.1, sweep_rad=3.0, corner_rad=1.0),), "corner at the tail"),
        (
            (
                ArcStep(radius_m=0.1, sweep_rad=3.0),
                ArcStep(radius_m=-0.05, sweep_rad=6.0),
                ArcStep(radius_m=0.1, sweep_rad=6.0),
            ),
            "cross",
        ),
    ],
)
def test_arcs_that_cannot_be_are_refused_in_one_line(half, words):
    with pytest.raises(GeometryError, match=words) as refused:
        outline_from_arcs(ArcList(bass=half))
    assert "outline by arcs, bass half" in str(refused.value)
    assert "\n" not in str(refused.value)


def test_a_treble_half_that_ends_elsewhere_than_the_bass_is_refused():
    bass = (ArcStep(radius_m=0.1, sweep_rad=math.pi),)
    treble = (ArcStep(radius_m=0.095, sweep_rad=math.pi),)
    with pytest.raises(GeometryError, match=r"10\.0 mm short of the other half"):
        outline_from_arcs(ArcList(bass=bass, treble=treble))
