"""Lengths of the three lines, against the drawings this project was given and geometry.

Sources: `tests/cases/truth.json`, what the drawn bodies were drawn from; elementary
geometry (a line d inside a closed convex curve is shorter by 2 pi d, half of it by pi d).
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable
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
Held = Callable[..., None]


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
def test_outer_lengths_of_the_drawn_bodies(held_against: Held, case: str) -> None:
    for side in develop_sides(_outline(case), _design()):
        name = side.rim.hand + ("_return" if side.rim.name == "return" else "")
        printed = TRUTH[case][f"{name}_outer_length_mm"]
        held_against(
            f"{case}, {name.replace('_', ' ')}, outer length of the developed side",
            source="tests/cases/truth.json, what the body was drawn from",
            printed=printed,
            ours=side.length_outer_m * 1e3,
            tolerance=1e-3,
            unit="mm",
            why="what the drawing's own decimals hold",
        )


@pytest.mark.parametrize("case", ["wren", "plover"])
def test_middle_and_inner_line_against_the_parallel_chain(held_against: Held, case: str) -> None:
    # The parallel of an arc is an arc: the chain of them, summed by another route.
    for side in develop_sides(_outline(case), _design()):
        inner = side.rim.inside(THICKNESS).length
        middle = side.rim.inside(0.5 * THICKNESS).length
        lines = (("inner", inner, side.length_inner_m), ("middle", middle, side.length_middle_m))
        for line, summed, ours in lines:
            held_against(
                f"{case}, {side.rim.hand} {side.rim.name}, {line} line",
                source="parallel arcs summed, elementary geometry",
                printed=summed,
                ours=ours,
                tolerance=4e-9,
                unit="m",
                why="joints turn by 1e-6 rad from the drawing's rounding, times 2.1 mm",
            )


def test_half_a_body_differs_by_pi_times_the_thickness(held_against: Held) -> None:
    bass, _ = develop_sides(_outline("wren"), _design(), 0.0022)
    held_against(
        "half a body of 2.2 mm, outside less inside",
        source="pi times the thickness, elementary geometry: half a body turns by 180 degrees",
        printed=np.pi * 2.2,
        ours=(bass.length_outer_m - bass.length_inner_m) * 1e3,
        tolerance=1e-5,
        unit="mm",
        why="rounding of the drawing",
    )


def test_widths_and_radii_of_the_wren(held_against: Held) -> None:
    bass, treble = _outline("wren").halves
    places = {place.name: place for place in features(bass)}
    printed = TRUTH["wren"]["widths_mm"]
    for name, key in (("lower bout", "lower"), ("waist", "waist"), ("upper bout", "upper")):
        held_against(
            f"wren, width of the {name}",
            source="tests/cases/truth.json, what the body was drawn from",
            printed=printed[key],
            ours=abs(places[name].y_m) * 2e3,
            tolerance=1e-4,
            unit="mm",
            why="what the drawing's own decimals hold",
        )
    cut = {place.name: place for place in features(treble)}
    for name, radius in (("horn", 22.0), ("scoop", 34.0)):
        held_against(
            f"wren, radius of the {name}",
            source="tests/cases/truth.json, what the body was drawn from",
            printed=radius,
            ours=1e3 / abs(cut[name].curvature),
            tolerance=1e-3,
            unit="mm",
            why="what the drawing's own decimals hold",
        )
    assert cut["horn"].curvature > 0.0 > cut["scoop"].curvature
    # Both lie in the middle of their arcs: 22 and 34 mm with the sweeps of the drawing.
    length = treble.main.length
    scoop = treble.main.chain.pieces[-1]
    assert cut["scoop"].s_m == pytest.approx(length - 0.5 * scoop.length, abs=1e-6)
    words = place_in_words(treble, treble.main, cut["scoop"].s_m)
    assert words == "scoop, 34 mm radius, 27 mm before the neck end"


def test_corner_of_the_pointed_horn(held_against: Held) -> None:
    # The two pieces enclose 180 - 102.2 degrees, and share it evenly in the mitre.
    printed = TRUTH["plover"]["corner_at_tip_deg"]
    for side in develop_sides(_outline("plover"), _design()):
        if side.rim.hand == "bass":
            assert side.mitre_rad is None
        else:
            assert side.mitre_rad is not None
            held_against(
                f"plover, mitre of the treble {side.rim.name} piece",
                source="half the angle that truth.json's corner leaves, elementary geometry",
                printed=0.5 * (180.0 - printed),
                ours=np.degrees(side.mitre_rad),
                tolerance=1e-4,
                unit="deg",
                why="what the drawing's own decimals hold",
            )


def test_an_ellipse_by_its_elliptic_integral(held_against: Held) -> None:
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
        held_against(
            f"half an ellipse of 300 by 200 mm as the {side.rim.hand} side, outer length",
            source="2 a E(e²), Abramowitz and Stegun 17.3 (from memory)",
            printed=0.5 * perimeter,
            ours=side.length_outer_m,
            tolerance=1e-7,
            unit="m",
            why="a quintic through 401 points stays within 1e-8 m of the ellipse's length",
        )
        held_against(
            f"the same, {side.rim.hand} side of 2.1 mm, outside less inside",
            source="pi times the thickness, elementary geometry",
            printed=np.pi * THICKNESS,
            ours=side.length_outer_m - side.length_inner_m,
            tolerance=1e-6,
            unit="m",
            why="the quintic's curvature, integrated",
        )
