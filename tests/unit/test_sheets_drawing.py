"""The drawing model: bounds, left-handed mirrors, names that keep clear of one another."""

import itertools
import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from measured import ROUNDED, WREN
from rimwright.curves.arc import Arc
from rimwright.curves.chain import Chain
from rimwright.instrument.design import (
    Design,
    Ends,
    Landmarks,
    Lining,
    OutlineSource,
    Plate,
    Plates,
    Sides,
    Strip,
)
from rimwright.instrument.design import (
    Drawing as Source,
)
from rimwright.plan import Plan, make_plan
from rimwright.sheets.body import body_drawing
from rimwright.sheets.callouts import Callout, rows_for, stairs
from rimwright.sheets.dimension import BODY
from rimwright.sheets.drawing import (
    FINE,
    OUTLINE,
    Drawing,
    Shape,
    Text,
    arc_centre,
    circle,
)
from rimwright.sheets.drawing import (
    Path as Stroke,
)
from rimwright.sheets.fonts import width
from rimwright.sheets.labels import label_pages
from rimwright.sheets.lay import Lay
from rimwright.sheets.run_sheet import run_sheet_pages
from rimwright.sheets.strip import strip_drawing
from rimwright.sheets.views import body_view
from rimwright.sheets.wood_sheet import wood_pages
from rimwright.sheets.write import part_files
from rimwright.units import length_text

CASES = Path(__file__).parents[1] / "cases"


def design(source: Source | Landmarks, name: str, **changes: object) -> Design:
    made = Design(
        name=name,
        outline=OutlineSource(source=source),
        plates=Plates(
            top=Plate(shape="dome", radius_m=7.62),
            back=Plate(shape="dome", radius_m=4.572),
            depth_tail_m=0.100,
            depth_neck_m=0.085,
        ),
        ends=Ends(
            neck_block_width_m=0.056,
            neck_block_length_m=0.060,
            neck_block_kind="dovetail",
            tail_block_width_m=0.070,
            neck_end_bass="across_block",
            neck_end_treble="flank",
        ),
        sides=Sides(wood="koa", thickness_m=0.0021),
        strips=(Strip(name="binding", wood="koa", thickness_m=0.0018, height_m=0.006),),
        lining=Lining(),
    )
    return replace(made, **changes)  # type: ignore[arg-type]


LANDMARKS = replace(WREN, cutaway=ROUNDED)


@pytest.fixture(scope="module", params=["wren", "wren-left", "plover", "landmarks", "plain"])
def plan(request: pytest.FixtureRequest) -> Plan:
    return make_plan(
        {
            "wren": lambda: design(Source(path=CASES / "wren.svg"), "Wren"),
            "wren-left": lambda: design(Source(path=CASES / "wren.svg"), "Wren", player="left"),
            "plover": lambda: design(Source(path=CASES / "plover.svg"), "Plover", show="inch"),
            "landmarks": lambda: design(LANDMARKS, "Wren"),
            "plain": lambda: design(
                replace(LANDMARKS, cutaway=None),
                "A rather long model name, 14 fret",
                sides=Sides(),
                strips=(),
                lining=None,
                show="inch",
            ),
        }[request.param]()
    )


def test_an_arc_reaches_as_far_as_it_bulges() -> None:
    half = Stroke(((-10.0, 0.0), (10.0, 0.0)), FINE, (1.0, 0.0))
    # Left of the travel lies up; a left turn from left to right bulges down.
    assert half.bounds == pytest.approx((-10.0, -10.0, 10.0, 0.0))
    assert circle((3.0, 4.0), 2.0, FINE).bounds == pytest.approx((1.0, 2.0, 5.0, 6.0))


@given(
    st.floats(-3.0, 3.0).filter(lambda b: abs(b) > 1e-3),
    st.floats(-100, 100),
    st.floats(-100, 100),
)
def test_an_arcs_centre_is_as_far_from_both_ends(bulge: float, x: float, y: float) -> None:
    start, end = (1.0, 2.0), (x, y)
    if math.dist(start, end) < 1e-3:
        return
    centre, radius = arc_centre(start, end, bulge)
    assert math.dist(centre, start) == pytest.approx(radius, rel=1e-6)
    assert math.dist(centre, end) == pytest.approx(radius, rel=1e-6)


def test_arcs_stay_arcs_and_long_ones_are_cut() -> None:
    ring = Chain((Arc((0.1, 0.0), math.pi / 2, 10.0, 0.2 * math.pi),))
    view = body_view(design(LANDMARKS, "Wren"))
    path = view.path(ring, OUTLINE, closed=True)
    assert len(path.points) == 3
    assert path.bounds == pytest.approx((-100.0, -100.0, 100.0, 100.0), abs=1e-6)


def test_left_handed_drawings_are_the_mirror_and_their_words_are_not(plan: Plan) -> None:
    right = body_drawing(replace(plan, design=replace(plan.design, player="right")), 0.25)
    left = body_drawing(replace(plan, design=replace(plan.design, player="left")), 0.25)
    lines = [
        [s for s in one.shapes if isinstance(s, Stroke) and s.pen == OUTLINE]
        for one in (right, left)
    ]
    for a, b in zip(*lines, strict=True):
        assert np.allclose(np.array(a.points) * [1.0, -1.0], np.array(b.points))
    said = [sorted(s.words for s in one.shapes if isinstance(s, Text)) for one in (right, left)]
    assert said[0] == said[1]
    assert "seen from the face" in said[0]
    height = {
        hand: next(
            s.at[1] for s in left.shapes if isinstance(s, Text) and s.words == f"{hand} side"
        )
        for hand in ("bass", "treble")
    }
    assert height["treble"] > height["bass"]


def test_a_plan_seen_from_the_back_says_so_and_is_mirrored() -> None:
    seen = replace(design(LANDMARKS, "Wren").outline, seen_from="back")
    view = body_view(design(LANDMARKS, "Wren", outline=seen))
    assert view.words == "seen from the back"
    assert view.up("treble")


def test_bass_patterns_lie_with_the_top_edge_down(plan: Plan) -> None:
    for pattern in plan.sides:
        lay = Lay(pattern, plan)
        upper = (pattern.rim.hand == "bass") == (plan.design.player == "right")
        assert lay.top_down is upper
        top, back = lay.at(0.1, lay.height(0.1)[0])[1], lay.at(0.1, lay.height(0.1)[1])[1]
        assert (top < back) is upper


@given(st.lists(st.floats(0.0, 300.0), min_size=1, max_size=12))
def test_no_name_crosses_a_line_or_another_name(places: list[float]) -> None:
    names = ("tail seam", "horn", "widest upper bout")
    callouts = [
        Callout(x, 0.0, (names[i % 3], f"wood {x:.1f} mm")) for i, x in enumerate(sorted(places))
    ]
    # Marks nearer than a line's width cannot be told apart on any sheet.
    if any(b.x - a.x < 0.5 for a, b in itertools.pairwise(callouts)):
        return
    for up in (True, False):
        shapes = stairs(callouts, 5.0 if up else -5.0, up=up)
        words = [s for s in shapes if isinstance(s, Text)]
        for text, line in itertools.product(words, (s for s in shapes if isinstance(s, Stroke))):
            (x, y0), (_, y1) = line.points
            left, low, right, high = text.bounds
            low_line, high_line = min(y0, y1), max(y0, y1)
            assert not (left < x < right and low_line < high - 0.8 and high_line > low + 0.8)
        assert not list(_touching(shapes))
    assert max(rows_for(callouts)) < len(callouts)


def _touching(shapes: list[Shape]) -> list[tuple[str, str]]:
    words = [shape for shape in shapes if isinstance(shape, Text)]
    found = []
    for a, b in itertools.combinations(words, 2):
        wide = min(a.bounds[2], b.bounds[2]) - max(a.bounds[0], b.bounds[0])
        high = min(a.bounds[3], b.bounds[3]) - max(a.bounds[1], b.bounds[1])
        # Descenders may reach into the line below.
        if wide > 0.3 and high > 0.25 * BODY:
            found.append((a.words, b.words))
    return found


def test_no_words_lie_on_one_another_on_any_drawing(plan: Plan) -> None:
    strips = [(pattern.rim.name, strip_drawing(plan, pattern)) for pattern in plan.sides]
    for name, drawing in [*part_files(plan), *strips]:
        assert _touching(list(drawing.shapes)) == [], name
    for name, drawing in strips:
        frame = next(s for s in drawing.shapes if isinstance(s, Stroke))
        assert drawing.bounds == pytest.approx(frame.bounds, abs=0.1), name


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_pages_keep_their_words_apart_and_inside(plan: Plan, paper: str) -> None:
    pages = run_sheet_pages(plan, paper, "25 November 2026")  # type: ignore[arg-type]
    pages += wood_pages(plan, paper, "25 November 2026")  # type: ignore[arg-type]
    pages += label_pages(plan, paper, "25 November 2026")  # type: ignore[arg-type]
    for page in pages:
        shapes: list[Shape] = []
        for placed in page.placed:
            shapes += placed.drawing.moved(placed.dx, placed.dy).shapes
        left, bottom, right, top = Drawing("", tuple(shapes)).bounds
        assert left >= 7.0, page.title
        assert bottom >= 6.0, page.title
        assert right <= page.width - 7.0, page.title
        assert top <= page.height - 6.0, page.title
        assert _touching(shapes) == [], page.title


def test_nothing_on_the_run_sheet_is_smaller_than_dusty_glasses_read(plan: Plan) -> None:
    for page in run_sheet_pages(plan, "a4", ""):
        for placed in page.placed:
            sizes = [s.size for s in placed.drawing.shapes if isinstance(s, Text)]
            # Capitals of 2.2 mm are type of about 8.5 points.
            assert min(sizes, default=3.0) >= 2.19


def test_primes_and_fractions_are_in_the_type() -> None:
    missing = width("\uffff", 2.5)
    for sign in "″′⁄×°κ–½→↑↓•·":
        assert width(sign, 2.5) > 0.0
        assert sign == "κ" or width(sign, 10.0) != pytest.approx(missing * 4.0, rel=1e-9), sign


def test_drawn_curves_stay_within_a_hundredth_of_the_plans(plan: Plan) -> None:
    from shapely import LineString, Point

    view = body_view(plan.design)
    for piece in plan.outline.pieces:
        path = view.path(piece.chain, OUTLINE)
        rows: list[tuple[float, float]] = [path.points[0]]
        for start, end, bulge in path.strokes():
            arc = Arc.bulge(start, end, bulge)
            rows += Chain((arc,)).points(1e-4)[1:].tolist()
        line = LineString(rows)
        points = view.points(piece.chain.points(1e-7))
        assert max(line.distance(Point(p)) for p in points[::7]) < 0.01


def test_the_sheet_never_asks_for_a_blanket_to_be_cut(plan: Plan) -> None:
    page = run_sheet_pages(plan, "a4", "")[0]
    words = [
        shape.words
        for placed in page.placed
        for shape in placed.drawing.shapes
        if isinstance(shape, Text)
    ]
    assert "Slats to cut" in words
    assert any(said.startswith("blanket, never cut") for said in words)
    assert not any("blanket to cut" in said for said in words)


def test_every_mark_is_measured_from_both_ends_beside_the_wood(plan: Plan) -> None:
    words = [
        shape.words
        for page in wood_pages(plan, "a4", "")
        for placed in page.placed
        for shape in placed.drawing.shapes
        if isinstance(shape, Text)
    ]
    for pattern in plan.sides:
        for mark in pattern.marks:
            for length in (mark.s_middle_m, mark.from_far_end_m):
                assert length_text(length, plan.design.show) in words
