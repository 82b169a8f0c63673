"""Whole plans of the given drawings beside what they were drawn from (`truth.json`).

The drawings and the truth were made for this project by someone else; lengths, radii and
widths there are the drawing program's own figures.
"""

import json
from pathlib import Path

import pytest

from rimwright.desk.opening import DrawingAnswers, open_design
from rimwright.plan import make_plan

CASES = Path(__file__).parents[1] / "cases"
TRUTH = json.loads((CASES / "truth.json").read_text())
SOURCE = "truth.json of the given drawings"

#: File, truth, tolerance of lengths (mm, or share), of radii (share), answers.
DRAWN = [
    ("wren.svg", "wren", 0.01, 0.005),
    ("wren-drawn.dxf", "wren", 0.05, 0.02),
    ("plover.svg", "plover", 0.01, 0.005),
    ("plover-drawn.dxf", "plover", 0.05, 0.02),
]
TRACED = ["curlew-traced.dxf", "curlew.png"]


def planned(name, **answers):
    design = open_design(CASES / name, DrawingAnswers(thickness="2.1mm", **answers))
    document = make_plan(design).document
    return document, {(side["hand"], side["piece"]): side for side in document["sides"]}


@pytest.fixture(scope="module", params=DRAWN, ids=[row[0] for row in DRAWN])
def drawn(request):
    name, model, length_mm, radius_share = request.param
    return name, TRUTH[model], *planned(name), length_mm, radius_share


def test_lengths(drawn, held_against):
    name, truth, _, sides, length_mm, _ = drawn
    rows = [("bass", "main", "bass_outer_length_mm"), ("treble", "main", "treble_outer_length_mm")]
    if "treble_return_outer_length_mm" in truth:
        rows.append(("treble", "return", "treble_return_outer_length_mm"))
    for hand, piece, key in rows:
        held_against(
            f"{name}: {hand} {piece}, outer length",
            source=SOURCE,
            printed=truth[key],
            ours=sides[hand, piece]["length_outer_m"] * 1e3,
            tolerance=length_mm,
            unit="mm",
            why="arcs in the file to 0.0001 mm" if length_mm == 0.01 else "arcs redrawn as splines",
        )


def test_radii(drawn, held_against):
    name, truth, _, sides, _, share = drawn
    rows = [
        ("bass", "main", "concave", "bass_min_concave_radius_mm"),
        ("bass", "main", "convex", "bass_min_convex_radius_mm"),
        ("treble", "main", "concave", "treble_min_concave_radius_mm"),
        ("treble", "main", "convex", "treble_min_convex_radius_mm"),
    ]
    if "treble_return_concave_radius_mm" in truth:
        rows.append(("treble", "return", "concave", "treble_return_concave_radius_mm"))
    for hand, piece, bend, key in rows:
        held_against(
            f"{name}: {hand} {piece}, smallest {bend} radius",
            source=SOURCE,
            printed=truth[key],
            ours=sides[hand, piece][f"min_radius_{bend}_m"] * 1e3,
            tolerance=share * truth[key],
            unit="mm",
            why="exact arcs" if share == 0.005 else "a spline's curvature strays along an arc",
        )


def test_widths_and_length(drawn, held_against):
    name, truth, document, _, length_mm, _ = drawn
    rows = [
        ("length", truth["body_length_mm"]),
        *((f"width_{place}", truth["widths_mm"][place]) for place in ("lower", "waist", "upper")),
    ]
    for key, printed in rows:
        held_against(
            f"{name}: {key.replace('_', ' ')}",
            source=SOURCE,
            printed=printed,
            ours=document["outline"][f"{key}_m"] * 1e3,
            tolerance=2 * length_mm,
            unit="mm",
            why="two halves, each as exact as the lengths",
        )


def test_the_corner_at_the_tip(drawn, held_against):
    name, truth, _, sides, _, _ = drawn
    if "corner_at_tip_deg" not in truth:
        pytest.skip("no pointed cutaway")
    mitre = sides["treble", "main"]["mitre_rad"]
    held_against(
        f"{name}: turn of the outline at the tip",
        source=SOURCE,
        printed=truth["corner_at_tip_deg"],
        ours=180.0 - 2.0 * mitre * 180.0 / 3.141592653589793,
        tolerance=0.5,
        unit="deg",
        why="half a degree is what a mitre is cut to",
    )


def test_what_stands_beside_the_outline_is_left(drawn):
    _, truth, document, _, _, _ = drawn
    left = [one for one in document["outline"]["findings"] if not one["taken"]]
    # The centreline in both drawings, and the sound hole of the Plover.
    assert len(left) == (2 if "corner_at_tip_deg" in truth else 1)
    assert all(one["why"] for one in left)


@pytest.fixture(scope="module", params=TRACED)
def traced(request):
    answers = {"body_length": "330mm"} if request.param.endswith(".dxf") else {}
    return request.param, *planned(request.param, **answers)


def test_traced_lengths_and_widths(traced, held_against):
    name, document, sides = traced
    truth = TRUTH["curlew"]
    for hand in ("bass", "treble"):
        held_against(
            f"{name}: {hand} outer length",
            source=SOURCE,
            printed=truth[f"{hand}_outer_length_mm"],
            ours=sides[hand, "main"]["length_outer_m"] * 1e3,
            tolerance=0.0015 * truth[f"{hand}_outer_length_mm"],
            unit="mm",
            why="pixels of a bitmap, 0.15 % asked",
        )
    for place in ("lower", "waist", "upper"):
        held_against(
            f"{name}: {place} width",
            source=SOURCE,
            printed=truth["widths_mm"][place],
            ours=document["outline"][f"width_{place}_m"] * 1e3,
            tolerance=0.4,
            unit="mm",
            why="one and a half pixels of the coarser scan",
        )


def test_traced_radii_and_their_ranges(traced, held_against):
    name, _, sides = traced
    for hand in ("bass", "treble"):
        for bend in ("convex", "concave"):
            truth = TRUTH["curlew"][f"{hand}_min_{bend}_radius_mm"]
            side = sides[hand, "main"]
            middle = side[f"min_radius_{bend}_m"] * 1e3
            low, high = (1e3 * end for end in side[f"min_radius_{bend}_range_m"])
            held_against(
                f"{name}: {hand} smallest {bend} radius over 20 mm",
                source=SOURCE,
                printed=truth,
                ours=middle,
                tolerance=0.12 * truth,
                unit="mm",
                why="curvature of a noisy line, 12 % asked",
            )
            assert low <= truth <= high
            assert high - low <= 0.35 * middle
