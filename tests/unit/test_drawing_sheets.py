"""The outline among everything else of a sheet, its units, hands and ends, and overrules."""

import math

import numpy as np
import pytest

from drawn import (
    BASS_M,
    NECK,
    TREBLE_M,
    Plan,
    backwards,
    check_frame,
    check_plain,
    check_wren,
    flipped,
    half,
)
from rimwright.errors import DrawingError
from rimwright.instrument.drawings.reading import read_drawing
from rimwright.instrument.drawings.strokes import Segment


def crowd(plan):
    """What lies beside an outline on a real plan."""
    plan.space.add_circle(plan.at((320, 0)), 50 * plan.scale)
    plan.space.add_circle(plan.at((320, 0)), 55 * plan.scale)
    for x0, x1, y0, y1 in ((-60, 620, -260, 260), (420, 620, -260, -220)):
        corners = [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]
        for a, b in zip(corners, corners[1:] + corners[:1], strict=True):
            plan.line(a, b, layer="sheet")
    plan.line((60, -80), (300, 90), layer="bracing")
    plan.line((60, 80), (300, -90), layer="bracing")
    plan.line((118, -178), (118, 178))
    plan.line((360, -60), (360, 60))
    plan.space.add_text("WREN", dxfattribs={"height": 8}).set_placement(plan.at((430, -240)))
    dim = plan.space.add_linear_dim(base=plan.at((0, 230)), p1=plan.at((0, 0)), p2=plan.at(NECK))
    dim.render()
    plan.polyline([Segment((470, -28), (860, -24)), Segment((860, -24), (860, 24)),
                   Segment((860, 24), (470, 28))], layer="neck")  # fmt: skip
    plan.space.add_spline([plan.at(p) for p in [(100, -60), (150, -20), (220, -30), (260, -70)]])


@pytest.mark.parametrize("centreline", [True, False], ids=["centreline", "none"])
def test_the_body_is_found_among_everything_else(tmp_path, centreline):
    plan = Plan(turn=math.pi / 2, shift=(50.0, 30.0))
    crowd(plan)
    plan.pieces(half("bass") + half("treble"), shuffle=7)
    plan.pieces(half("bass"))  # the same lines once more on top
    if centreline:
        plan.line((0, 0), (470, 0), layer="0", linetype="CENTER")
    outline = plan.read(tmp_path)
    check_wren(outline)
    told = " ".join(f"{f.what}: {f.why}" for f in outline.findings)
    assert "on top of others" in told
    assert "sound hole" in told
    assert "DIMENSION" in told


def test_the_outline_is_told_from_the_mould_by_name_and_overruled_by_layer(tmp_path):
    from rimwright.curves.chain import Chain

    plan = Plan()
    plan.pieces(half("bass") + flipped(half("bass")), layer="body outline")
    proud = Chain(tuple(s.piece() for s in half("bass"))).offset(-6.0)
    ends = [p.at(np.array([0.0, p.length])).position for p in proud.pieces]
    mould = [
        Segment(tuple(e[0].tolist()), tuple(e[1].tolist()), math.tan(p.turn / 4))
        for e, p in zip(ends, proud.pieces, strict=True)
    ]
    plan.pieces(mould + flipped(mould), layer="mould")
    outline = plan.read(tmp_path)
    check_plain(outline)
    assert any("mould" in f.what and not f.taken for f in outline.findings)
    wide = plan.read(tmp_path, layer="mould")
    assert wide.length_m == pytest.approx(0.482, abs=1e-4)
    with pytest.raises(DrawingError, match="one of the layers 'body outline', 'mould'"):
        plan.read(tmp_path, layer="rim")


def test_select_by_handle_takes_those_entities_alone(tmp_path):
    plan = Plan()
    plan.polyline(half("bass") + backwards(flipped(half("bass"))), closed=True)
    handle = plan.space[0].dxf.handle
    big = Plan(scale=1.3)
    big.space = plan.space
    big.polyline(half("bass") + backwards(flipped(half("bass"))), closed=True)
    assert plan.read(tmp_path).length_m == pytest.approx(0.611)
    check_plain(plan.read(tmp_path, select=(handle,)))


def test_an_outline_in_nested_scaled_mirrored_blocks(tmp_path):
    plan = Plan()
    inner = plan.document.blocks.new("half")
    Plan.polyline(plan, half("bass"), space=inner)
    outer = plan.document.blocks.new("body")
    outer.add_blockref("half", (0, 0))
    outer.add_blockref("half", (0, 0), dxfattribs={"yscale": -1.0})
    plan.space.add_blockref(
        "body",
        (300, 200),
        dxfattribs={"xscale": 0.5, "yscale": 0.5, "rotation": 30, "layer": "rim"},
    )
    outline = plan.read(tmp_path)
    assert outline.length_m == pytest.approx(0.235)
    assert outline.bass.main.length == pytest.approx(BASS_M / 2, abs=1e-6)


def test_splines_polygons_and_old_polylines(tmp_path):
    from rimwright.curves.chain import Chain

    points = Chain(tuple(s.piece() for s in half("bass"))).points(1e-3)
    every = [*points.tolist(), *(points[-2:0:-1] * [1, -1]).tolist()]
    for draw in ("add_lwpolyline", "add_polyline2d"):
        plan = Plan()
        getattr(plan.space, draw)(every, close=True)
        outline = plan.read(tmp_path, reader=read_drawing)
        check_plain(outline, 2e-4)
        assert outline.noise_m is not None
    plan = Plan()
    fit = plan.space.add_spline(points.tolist())
    assert fit is not None
    plan.line((-10, 0), (480, 0))
    check_plain(plan.read(tmp_path), 2e-4)


def test_no_unit_is_refused_with_the_sizes(tmp_path):
    plan = Plan(units=0)
    plan.pieces(half("bass") + half("treble"))
    with pytest.raises(DrawingError, match=r"470 × 356 mm in mm.*--body-length 330mm"):
        plan.read(tmp_path)
    check_wren(plan.read(tmp_path, unit_m=1e-3, unit_name="mm"))
    check_wren(plan.read(tmp_path, body_length_m=0.47))
    doubled = plan.read(tmp_path, dots_per_inch=25.4)
    check_wren(doubled)


def test_a_unit_that_makes_no_body_is_refused(tmp_path):
    plan = Plan(units=1)
    plan.pieces(half("bass") + half("treble"))
    with pytest.raises(DrawingError, match=r"a body 11\.9 m long by the file's unit .inch"):
        plan.read(tmp_path)


@pytest.mark.parametrize(
    ("seen_from", "player", "says", "told"),
    [
        ("back", "right", {}, None),
        ("face", "left", {}, None),
        ("face", "right", {}, "though a plan seen from the face"),
        (None, "left", {}, "seen from the face"),
        (None, "right", {}, "seen from the back"),
    ],
)
def test_the_cutaway_is_the_treble_and_the_side_seen_is_told(
    tmp_path, seen_from, player, says, told
):
    plan = Plan()
    plan.pieces(half("bass") + half("treble"))
    outline = plan.read(tmp_path, seen_from=seen_from, player=player, **says)
    check_wren(outline)
    assert (told is None) == (outline.assumptions == ())
    if told:
        assert told in outline.assumptions[0]


def test_a_cutaway_on_the_bass_side_if_told_so(tmp_path):
    plan = Plan()
    plan.pieces(half("bass") + half("treble"))
    outline = plan.read(tmp_path, cutaway_side="bass")
    assert outline.bass.cutaway == "rounded"
    assert outline.bass.main.length == pytest.approx(TREBLE_M, abs=2e-5)
    check_frame(outline)


def test_the_tail_can_be_overruled(tmp_path):
    plan = Plan()
    plan.polyline(half("bass") + backwards(flipped(half("bass"))), closed=True)
    outline = plan.read(tmp_path, tail="right")
    width = [abs(outline.bass.main.at(np.array([s])).position[0, 1]) for s in (0.15, 0.5)]
    assert width[0] < width[1]


def test_nothing_like_a_body_is_refused(tmp_path):
    plan = Plan()
    crowd(plan)
    with pytest.raises(DrawingError, match="no line shaped like a body"):
        plan.read(tmp_path)
