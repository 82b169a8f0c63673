"""Lengths of the three lines, against the drawings this project was given and geometry.

Sources: `tests/cases/truth.json`, what the drawn bodies were drawn from; elementary
geometry (a line d inside a closed convex curve is shorter by 2 pi d, half of it by pi d).
"""

from __future__ import annotations

import json
import re
from pathlib import Path

import numpy as np
import pytest

from rimwright.curves.arc import Arc
from rimwright.curves.chain import Chain
from rimwright.instrument.design import Design, Drawing, Ends, OutlineSource, Plate, Plates, Sides
from rimwright.instrument.outline import Half, Outline, RimPiece
from rimwright.instrument.stations import features, place_in_words
from rimwright.sides.develop import develop_sides

CASES = Path(__file__).parents[1] / "cases"
TRUTH = json.loads((CASES / "truth.json").read_text(encoding="utf-8"))
THICKNESS = 0.0021


def _chain(path: str) -> Chain:
    """An SVG path of one M and many A, in mm with y down, in body metres."""
    numbers = [float(text) for text in re.findall(r"-?\d+\.?\d*", path)]
    here = (numbers[0] * 1e-3, -numbers[1] * 1e-3)
    arcs = []
    for i in range(2, len(numbers), 7):
        radius, _, _, _, sweep, x, y = numbers[i : i + 7]
        there = (x * 1e-3, -y * 1e-3)
        chord = np.hypot(there[0] - here[0], there[1] - here[1])
        turn = 2.0 * np.arcsin(0.5 * chord / (radius * 1e-3)) * (-1.0 if sweep else 1.0)
        arcs.append(Arc.bulge(here, there, float(np.tan(0.25 * turn))))
        here = there
    return Chain(tuple(arcs))


def _outline(case: str) -> Outline:
    text = (CASES / f"{case}.svg").read_text(encoding="utf-8")
    paths = dict(re.findall(r'<path id="(bass|treble|treble-return)" d="([^"]+)"', text))
    bass = Half("bass", RimPiece("bass", "main", _chain(paths["bass"])))
    back = paths.get("treble-return")
    treble = Half(
        "treble",
        RimPiece("treble", "main", _chain(paths["treble"])),
        RimPiece("treble", "return", _chain(back)) if back else None,
        "pointed" if back else "rounded",
    )
    return Outline(bass=bass, treble=treble, length_m=TRUTH[case]["body_length_mm"] * 1e-3)


def _design(**sides: object) -> Design:
    return Design(
        name="Trial",
        outline=OutlineSource(source=Drawing(path=Path("trial.svg"))),
        plates=Plates(top=Plate(), back=Plate(), depth_tail_m=0.1, depth_neck_m=0.085),
        ends=Ends(
            neck_block_width_m=0.056,
            neck_block_length_m=0.05,
            neck_block_kind="bolt-on",
            tail_block_width_m=0.07,
        ),
        sides=Sides(thickness_m=THICKNESS, **sides),
    )


@pytest.mark.parametrize("case", ["wren", "plover"])
def test_outer_lengths_of_the_drawn_bodies(case: str) -> None:
    # Path coordinates are printed to 1e-5 mm, so 0.001 mm is what the drawing itself holds.
    for side in develop_sides(_outline(case), _design()):
        name = side.rim.hand + ("_return" if side.rim.name == "return" else "")
        printed = TRUTH[case][f"{name}_outer_length_mm"]
        assert side.length_outer_m * 1e3 == pytest.approx(printed, abs=1e-3)


@pytest.mark.parametrize("case", ["wren", "plover"])
def test_middle_and_inner_line_against_the_parallel_chain(case: str) -> None:
    # The parallel of an arc is an arc: the chain of them, summed by another route.
    for side in develop_sides(_outline(case), _design()):
        inner = side.rim.inside(THICKNESS).length
        middle = side.rim.inside(0.5 * THICKNESS).length
        # Joints turn by up to 1e-6 rad from the rounding of the drawing, times 2.1 mm.
        assert side.length_inner_m == pytest.approx(inner, abs=4e-9)
        assert side.length_middle_m == pytest.approx(middle, abs=4e-9)


def test_half_a_body_differs_by_pi_times_the_thickness() -> None:
    # 6.9 mm at 2.2 mm, elementary geometry: half a body turns by 180 degrees.
    bass, _ = develop_sides(_outline("wren"), _design(), 0.0022)
    assert bass.length_outer_m - bass.length_inner_m == pytest.approx(np.pi * 0.0022, abs=1e-8)
    assert round((bass.length_outer_m - bass.length_inner_m) * 1e3, 1) == 6.9


def test_widths_and_radii_of_the_wren() -> None:
    bass, treble = _outline("wren").halves
    places = {place.name: place for place in features(bass)}
    printed = TRUTH["wren"]["widths_mm"]
    for name, key in (("lower bout", "lower"), ("waist", "waist"), ("upper bout", "upper")):
        assert abs(places[name].y_m) * 2e3 == pytest.approx(printed[key], abs=1e-4)
    cut = {place.name: place for place in features(treble)}
    assert 1e3 / cut["horn"].curvature == pytest.approx(22.0, abs=1e-3)
    assert -1e3 / cut["scoop"].curvature == pytest.approx(34.0, abs=1e-3)
    # Both lie in the middle of their arcs: 22 and 34 mm with the sweeps of the drawing.
    length = treble.main.length
    scoop = treble.main.chain.pieces[-1]
    assert cut["scoop"].s_m == pytest.approx(length - 0.5 * scoop.length, abs=1e-6)
    words = place_in_words(treble, treble.main, cut["scoop"].s_m)
    assert words == "scoop, 34 mm radius, 27 mm before the neck end"


def test_corner_of_the_pointed_horn() -> None:
    # The two pieces enclose 180 - 102.2 degrees, and share it evenly in the mitre.
    printed = TRUTH["plover"]["corner_at_tip_deg"]
    for side in develop_sides(_outline("plover"), _design()):
        if side.rim.hand == "bass":
            assert side.mitre_rad is None
        else:
            assert side.mitre_rad is not None
            assert np.degrees(side.mitre_rad) == pytest.approx(0.5 * (180.0 - printed), abs=1e-4)


def test_an_ellipse_by_its_elliptic_integral() -> None:
    """Half an ellipse of 300 x 200 mm: 4 a E(e²) / 2 (Abramowitz and Stegun 17.3)."""
    from scipy.interpolate import make_interp_spline
    from scipy.special import ellipe

    from rimwright.curves.spline import Spline

    a, b = 0.15, 0.10
    angle = np.linspace(np.pi, 0.0, 401)
    points = np.column_stack([a * np.cos(angle), b * np.sin(angle)])
    fit = make_interp_spline(angle[::-1], points[::-1] + np.array([a, 0.0]), k=5)
    treble = Chain((Spline(fit.t, np.asarray(fit.c), 5).reversed(),))
    halves = [
        Half("bass", RimPiece("bass", "main", treble.mirrored())),
        Half("treble", RimPiece("treble", "main", treble)),
    ]
    outline = Outline(bass=halves[0], treble=halves[1], length_m=2 * a)
    perimeter = 4.0 * a * float(ellipe(1.0 - (b / a) ** 2))
    for side in develop_sides(outline, _design()):
        # A quintic through 401 points stays within 1e-8 m of the ellipse's length.
        assert side.length_outer_m == pytest.approx(0.5 * perimeter, abs=1e-7)
        difference = side.length_outer_m - side.length_inner_m
        assert difference == pytest.approx(np.pi * THICKNESS, abs=1e-6)
