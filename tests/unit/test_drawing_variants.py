"""One body drawn in many careless ways: each must come back as the same outline."""

import math
import random
from pathlib import Path

import ezdxf
import numpy as np
import pytest

from rimwright.errors import DrawingError
from rimwright.instrument.design import Drawing
from rimwright.instrument.drawings.outline_from import outline_from
from rimwright.instrument.drawings.reading import read_drawing
from rimwright.instrument.drawings.strokes import Segment
from rimwright.instrument.drawings.svg import read_svg

CASES = Path(__file__).parents[1] / "cases"
BASS_M, TREBLE_M = 0.6949073, 0.6438829
#: A body without cutaway: the bass half twice.
NECK, FLANK = (470.0, 0.0), (454.98237, 27.98728)


def half(name, case="wren"):
    strokes = read_svg(CASES / f"{case}.svg").strokes
    return list(next(s for s in strokes if s.name == name).segments)


def flipped(segments):
    return [Segment((a.start[0], -a.start[1]), (a.end[0], -a.end[1]), -a.bulge) for a in segments]


def backwards(segments):
    return [s.reversed() for s in reversed(segments)]


class Plan:
    """A DXF being drawn, everything placed by one similarity."""

    def __init__(self, turn=0.0, shift=(0.0, 0.0), scale=1.0, mirror=False, units=4):
        self.document = ezdxf.new("R2000", setup=True)
        self.document.header["$INSUNITS"] = units
        self.space = self.document.modelspace()
        self.turn, self.shift, self.scale, self.mirror = turn, shift, scale, mirror

    def at(self, point):
        x, y = point[0], -point[1] if self.mirror else point[1]
        c, s = self.scale * math.cos(self.turn), self.scale * math.sin(self.turn)
        return c * x - s * y + self.shift[0], s * x + c * y + self.shift[1]

    def polyline(self, segments, layer="0", closed=False, space=None):
        sign = -1.0 if self.mirror else 1.0
        rows = [(*self.at(s.start), sign * s.bulge) for s in segments]
        if not closed:
            rows.append((*self.at(segments[-1].end), 0.0))
        (self.space if space is None else space).add_lwpolyline(
            rows, format="xyb", close=closed, dxfattribs={"layer": layer}
        )

    def pieces(self, segments, layer="0", shuffle=None, gap=0.0):
        """LINE and ARC entities, in any order and direction."""
        from ezdxf.math import bulge_to_arc

        sign = -1.0 if self.mirror else 1.0
        dice = random.Random(shuffle)
        segments = list(segments)
        if shuffle is not None:
            dice.shuffle(segments)
        for s in segments:
            nudge = [dice.uniform(-gap, gap) / 2 for _ in range(4)]
            a = (s.start[0] + nudge[0], s.start[1] + nudge[1])
            b = (s.end[0] + nudge[2], s.end[1] + nudge[3])
            a, b = self.at(a), self.at(b)
            if s.is_line:
                self.space.add_line(a, b, dxfattribs={"layer": layer})
            else:
                centre, first, last, radius = bulge_to_arc(a, b, sign * s.bulge)
                self.space.add_arc(
                    centre,
                    radius,
                    math.degrees(first),
                    math.degrees(last),
                    dxfattribs={"layer": layer},
                )

    def line(self, a, b, **attributes):
        self.space.add_line(self.at(a), self.at(b), dxfattribs=attributes)

    def read(self, folder, seen_from=None, player="right", reader=outline_from, **says):
        path = folder / "plan.dxf"
        self.document.saveas(path)
        return reader(Drawing(path=path, **says), seen_from=seen_from, player=player)


def check_wren(outline, tolerance=2e-5):
    assert outline.length_m == pytest.approx(0.47, abs=tolerance)
    assert outline.bass.main.length == pytest.approx(BASS_M, abs=tolerance)
    assert outline.treble.main.length == pytest.approx(TREBLE_M, abs=tolerance)
    assert outline.treble.cutaway == "rounded"
    assert outline.bass.cutaway == "none"
    check_frame(outline)


def check_frame(outline):
    """Tail at the origin, treble at positive y, both halves from the tail on."""
    for piece in (outline.bass.main, outline.treble.main):
        assert np.abs(piece.chain.start().position).max() < 3e-4
        middle = piece.at(np.array([piece.length / 2])).position[0, 1]
        assert (middle > 0) == (piece.hand == "treble")


def check_plain(outline, tolerance=2e-5):
    assert outline.length_m == pytest.approx(0.47, abs=tolerance)
    for one in outline.halves:
        assert one.main.length == pytest.approx(BASS_M, abs=tolerance)
        assert one.cutaway == "none"
    check_frame(outline)


POSES = {
    "as drawn": {},
    "neck up": {"turn": math.pi / 2},
    "neck down": {"turn": -math.pi / 2, "shift": (900.0, -40.0)},
    "neck left": {"turn": math.pi},
    "a little turned and far off": {"turn": 0.03, "shift": (12345.6, -7890.1)},
    "askew": {"turn": 0.7},
    "flipped": {"mirror": True},
    "in inches": {"scale": 1 / 25.4, "units": 1},
    "in metres": {"scale": 1e-3, "units": 6},
}


@pytest.mark.parametrize("pose", POSES.values(), ids=POSES.keys())
@pytest.mark.parametrize("centreline", [True, False], ids=["centreline", "none"])
def test_loose_pieces_in_any_order_make_the_wren(tmp_path, pose, centreline):
    plan = Plan(**pose)
    plan.pieces(half("bass") + half("treble"), shuffle=3)
    if centreline:
        plan.line((-15, 0), (490, 0))
    outline = plan.read(tmp_path)
    check_wren(outline)
    # Seen from the back when it is not flipped, from the face when it is.
    view = "face" if pose.get("mirror") else "back"
    assert any(f"seen from the {view}" in said for said in outline.assumptions)


@pytest.mark.parametrize("pose", POSES.values(), ids=POSES.keys())
def test_a_closed_polyline_without_centreline_is_cut_where_it_mirrors(tmp_path, pose):
    plan = Plan(**pose)
    plan.polyline(half("bass") + backwards(flipped(half("bass"))), closed=True)
    outline = plan.read(tmp_path)
    check_plain(outline, 1e-5)
    assert outline.assumptions == ()


@pytest.mark.parametrize("gap", [0.01, 0.1, 0.5], ids=str)
def test_small_gaps_are_closed_and_told(tmp_path, gap):
    plan = Plan()
    plan.pieces(half("bass") + half("treble"), shuffle=5, gap=gap)
    plan.line((-15, 0), (490, 0), layer="centre line")
    outline = plan.read(tmp_path)
    check_wren(outline, 2e-3 * gap + 1e-5)
    assert any("gaps" in finding.what for finding in outline.findings)


@pytest.mark.parametrize("name", ["bass", "treble"])
@pytest.mark.parametrize("line", [None, (-10, 480), (0, 470)], ids=str)
def test_one_half_is_mirrored_and_told(tmp_path, name, line):
    plan = Plan(turn=0.4)
    segments = half("bass")
    plan.pieces(segments if name == "bass" else flipped(segments), shuffle=1)
    if line:
        plan.line((line[0], 0), (line[1], 0))
    outline = plan.read(tmp_path)
    check_plain(outline)
    assert any("mirrored" in said for said in outline.assumptions)


def test_a_half_closed_by_its_centreline_is_a_half(tmp_path):
    plan = Plan()
    plan.polyline([*half("bass"), Segment(NECK, (0.0, 0.0))], closed=True)
    outline = plan.read(tmp_path)
    check_plain(outline)
    assert any("mirrored" in said for said in outline.assumptions)


def test_a_half_with_cutaway_ends_at_its_flank(tmp_path):
    plan = Plan()
    plan.pieces(half("treble"))
    plan.line((-10, 0), (480, 0))
    outline = plan.read(tmp_path)
    assert outline.treble.main.length == pytest.approx(TREBLE_M, abs=2e-5)
    assert outline.treble.cutaway == "rounded"


def test_halves_on_layers_of_their_own_that_do_not_touch(tmp_path):
    plan = Plan()
    for name, segments in (("bass", half("bass")), ("treble", half("treble"))):
        a = segments[0].start
        near = [Segment((a[0] + 0.01, a[1] + (0.8 if name == "treble" else -0.8)), segments[0].end,
                        segments[0].bulge), *segments[1:]]  # fmt: skip
        plan.polyline(near, layer=name)
    plan.line((-10, 0), (480, 0), layer="axis")
    outline = plan.read(tmp_path)
    check_wren(outline, 1.2e-3)


def flat_neck(width=40.0):
    """A plain half that runs flat across the block: cut at y = -width/2, then straight."""
    segments = half("bass")
    last = segments[-1].piece()
    s = np.linspace(0, last.length, 20001)
    y = last.at(s).position[:, 1]
    stop = s[np.argmin(np.abs(y + width / 2))]
    part = last.between(0.0, float(stop))
    end = part.at(np.array([part.length])).position[0]
    corner = (float(end[0]), float(end[1]))
    bulge = math.tan(part.turn / 4)
    return [*segments[:-1], Segment(segments[-1].start, corner, bulge)], corner


def test_a_flat_across_the_neck_block_is_no_horn(tmp_path):
    segments, corner = flat_neck()
    side = [*segments, Segment(corner, (corner[0], 0.0))]
    plan = Plan()
    plan.polyline(side + backwards(flipped(side)), closed=True)
    outline = plan.read(tmp_path)
    assert outline.length_m == pytest.approx(corner[0] * 1e-3, abs=1e-6)
    for one in outline.halves:
        assert one.cutaway == "none"
        assert one.return_piece is None
        assert one.main.length == pytest.approx(sum(s.piece().length for s in side) * 1e-3)


def test_an_outline_open_across_the_block_ends_at_both_flanks(tmp_path):
    segments, corner = flat_neck(60.0)
    plan = Plan(turn=math.pi / 2)
    plan.pieces(segments + flipped(segments), shuffle=2)
    outline = plan.read(tmp_path)
    assert outline.length_m == pytest.approx(corner[0] * 1e-3, abs=1e-6)
    length = sum(s.piece().length for s in segments) * 1e-3
    assert [one.main.length for one in outline.halves] == pytest.approx([length, length])
    assert outline.bass.main.chain.end().position[0, 1] == pytest.approx(-0.03, abs=1e-5)


def test_a_cutaway_closed_across_the_block_ends_at_the_flank(tmp_path):
    plan = Plan()
    loop = [*backwards(half("bass")), *half("treble"), Segment(FLANK, (470.0, FLANK[1])),
            Segment((470.0, FLANK[1]), NECK)]  # fmt: skip
    plan.polyline(loop, closed=True)
    outline = plan.read(tmp_path)
    # The scoop runs on along the block's flank; the line across the block is left.
    along = (470.0 - FLANK[0]) * 1e-3
    assert outline.treble.main.length == pytest.approx(TREBLE_M + along, abs=2e-5)
    assert outline.bass.main.length == pytest.approx(BASS_M, abs=2e-5)
    assert outline.length_m == pytest.approx(0.47, abs=2e-5)


def test_a_neck_slot_and_heel_drawn_with_the_outline_are_left(tmp_path):
    segments, corner = flat_neck(50.0)
    # The neck stands out of the body as part of the same loop.
    side = [*segments, Segment(corner, (corner[0] + 90.0, corner[1]))]
    tip = Segment(side[-1].end, (side[-1].end[0], -side[-1].end[1]))
    plan = Plan()
    plan.polyline([*side, tip, *backwards(flipped(side))], closed=True)
    outline = plan.read(tmp_path)
    length = sum(s.piece().length for s in segments) * 1e-3
    assert [one.main.length for one in outline.halves] == pytest.approx([length, length], abs=1e-6)
    assert outline.length_m == pytest.approx(corner[0] * 1e-3, abs=1e-6)


def test_the_pointed_cutaway_in_one_loop_has_its_corner(tmp_path):
    plan = Plan(turn=-math.pi / 2)
    loop = [*backwards(half("bass", "plover")), *half("treble", "plover"),
            *half("treble-return", "plover")]  # fmt: skip
    plan.polyline([*loop, Segment(loop[-1].end, loop[0].start)], closed=True)
    outline = plan.read(tmp_path)
    treble = outline.treble
    assert treble.cutaway == "pointed"
    assert treble.return_piece is not None
    assert treble.main.length == pytest.approx(0.4118266, abs=1e-6)
    assert treble.return_piece.length == pytest.approx(0.0838936, abs=1e-6)
    turn = treble.return_piece.chain.start().heading - treble.main.chain.end().heading
    assert abs(math.degrees(turn[0]) % 360) in (
        pytest.approx(102.2, abs=0.05),
        pytest.approx(360 - 102.2, abs=0.05),
    )


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
