"""Six drawings this project did not draw, against what each was drawn from.

Source: tests/cases/truth.json and its README (lengths, radii, widths in mm). Tolerances:
an SVG keeps its arcs and four decimals, so 0.01 mm and 0.5 %; through a vector editor arcs
become cubic splines that stray up to 0.03 % of the radius, so 0.05 mm and 2 %; a trace is
good to a part of a pixel along 1.3 m of line (0.15 %), and its smallest radius over 20 mm
of line to 12 %, with the truth inside a range no wider than 35 % of its middle.
"""

import json
import math
from functools import partial
from pathlib import Path

import numpy as np
import pytest

from rimwright.instrument.design import Drawing
from rimwright.instrument.drawings.reading import read_drawing

CASES = Path(__file__).parents[1] / "cases"
SOURCE = "tests/cases/truth.json, what the body was drawn from"
TRUTH = json.loads((CASES / "truth.json").read_text())
DRAWN = [
    ("wren.svg", "wren", 0.01e-3, 0.005),
    ("wren-drawn.dxf", "wren", 0.05e-3, 0.02),
    ("plover.svg", "plover", 0.01e-3, 0.005),
    ("plover-drawn.dxf", "plover", 0.05e-3, 0.02),
]
TRACED = [("curlew-traced.dxf", 0.330), ("curlew.png", None)]


def read(name, body_length_m=None):
    drawing = Drawing(path=CASES / name, body_length_m=body_length_m)
    return read_drawing(drawing, seen_from=None, player="right")


def widths(outline):
    """Width of lower bout, waist and upper bout of the plain half, doubled. [m]"""
    piece = outline.bass.main
    position = piece.at(np.linspace(0.0, piece.length, 20001)).position
    x, y = position[:, 0], 2.0 * np.abs(position[:, 1])
    lower = int(np.argmax(np.where(x < 0.45 * outline.length_m, y, 0.0)))
    upper = int(np.argmax(np.where(x > 0.6 * outline.length_m, y, 0.0)))
    return {"lower": y[lower], "waist": y[lower:upper].min(), "upper": y[upper]}


@pytest.mark.parametrize(("name", "case", "length", "radius"), DRAWN)
def test_drawn_lengths_and_radii(held_against, name, case, length, radius):
    outline, truth = read(name), TRUTH[case]
    kept = "an SVG keeps its arcs" if name.endswith(".svg") else "arcs became cubic splines"
    held = partial(held_against, source=SOURCE, unit="mm", why=kept)
    held(
        f"{name}: length of the body",
        printed=truth["body_length_mm"],
        ours=outline.length_m * 1e3,
        tolerance=length * 1e3,
    )
    for piece in outline.pieces:
        key = piece.hand + ("_return" if piece.name == "return" else "")
        held(
            f"{name}: outer length, {key.replace('_', ' ')}",
            printed=truth[f"{key}_outer_length_mm"],
            ours=piece.length * 1e3,
            tolerance=length * 1e3,
        )
        for convex in (True, False):
            bend = "convex" if convex else "concave"
            printed = truth.get(f"{key}_min_{bend}_radius_mm", truth.get(f"{key}_{bend}_radius_mm"))
            found = piece.tightest(convex=convex)
            assert (found is None) == (printed is None), (key, bend)
            if found is not None:
                held(
                    f"{name}: smallest {bend} radius, {key.replace('_', ' ')}",
                    printed=printed,
                    ours=found[0] * 1e3,
                    tolerance=radius * printed,
                )
    for place, width in widths(outline).items():
        held(
            f"{name}: width, {place}",
            printed=truth["widths_mm"][place],
            ours=width * 1e3,
            tolerance=2 * length * 1e3 + 0.01,
        )


@pytest.mark.parametrize("name", ["plover.svg", "plover-drawn.dxf"])
def test_the_pointed_tip_turns_by_the_corner_it_was_drawn_with(held_against, name):
    treble = read(name).treble
    assert treble.return_piece is not None
    before = treble.main.chain.end().heading[0]
    after = treble.return_piece.chain.start().heading[0]
    turn = abs((math.degrees(after - before) + 180.0) % 360.0 - 180.0)
    held_against(
        f"{name}: corner at the tip",
        source=SOURCE,
        printed=TRUTH["plover"]["corner_at_tip_deg"],
        ours=turn,
        tolerance=0.5,
        unit="deg",
        why="direction at the end of a spline of an editor",
    )


@pytest.mark.parametrize("name", ["plover.svg", "plover-drawn.dxf"])
def test_the_sound_hole_is_left_and_said(name):
    findings = read(name).findings
    assert any(not finding.taken and "sound hole" in finding.why for finding in findings)
    assert any("centre" in f.what + f.why or "straight" in f.why for f in findings if not f.taken)


@pytest.mark.parametrize(
    ("name", "seen", "by"),
    [("wren.svg", "back", "names its"), ("wren-drawn.dxf", "back", "cutaway was taken")],
)
def test_the_side_the_plan_is_seen_from_is_told(name, seen, by):
    said = " ".join(read(name).assumptions)
    assert f"seen from the {seen}" in said
    assert by in said


@pytest.mark.parametrize(("name", "body_length_m"), TRACED)
def test_traced_lengths_widths_and_ranges(held_against, name, body_length_m):
    outline, truth = read(name, body_length_m), TRUTH["curlew"]
    held = partial(held_against, source=SOURCE, unit="mm", why="a part of a pixel along the line")
    held(
        f"{name}: length of the body",
        printed=truth["body_length_mm"],
        ours=outline.length_m * 1e3,
        tolerance=0.0015 * truth["body_length_mm"],
    )
    assert outline.noise_m is not None
    for half in outline.halves:
        assert half.cutaway == "none"
        printed = truth[f"{half.hand}_outer_length_mm"]
        held(
            f"{name}: outer length, {half.hand}",
            printed=printed,
            ours=half.main.length * 1e3,
            tolerance=0.0015 * printed,
        )
        for bend in ("convex", "concave"):
            radius = truth[f"{half.hand}_min_{bend}_radius_mm"] * 1e-3
            found = outline.radius_ranges[half.hand, "main", bend]
            held(
                f"{name}: smallest {bend} radius over 20 mm, {half.hand}",
                printed=radius * 1e3,
                ours=found.middle_m * 1e3,
                tolerance=0.12 * radius * 1e3,
            )
            assert found.low_m <= radius <= found.high_m
            assert found.high_m - found.low_m <= 0.35 * found.middle_m
            assert 0.0 <= found.s_m <= half.main.length
    for place, width in widths(outline).items():
        held(
            f"{name}: width, {place}",
            printed=truth["widths_mm"][place],
            ours=width * 1e3,
            tolerance=0.4,
        )
