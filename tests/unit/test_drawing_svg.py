"""SVG as editors write it: transforms, units, groups, shapes, uses."""

import math
from pathlib import Path

import pytest

from rimwright.errors import DrawingError
from rimwright.instrument.design import Drawing
from rimwright.instrument.drawings.outline_from import outline_from
from rimwright.instrument.drawings.svg import read_svg

CASES = Path(__file__).parents[1] / "cases"
TEXT = (CASES / "wren.svg").read_text()
BASS, TREBLE = (line.split(' d="')[1].split('"')[0] for line in TEXT.splitlines()[2:4])
BASS_M, TREBLE_M = 0.6949073, 0.6438829


def svg(folder, body, head='width="510mm" height="396mm" viewBox="-20 -198 510 396"'):
    path = folder / "plan.svg"
    space = (
        'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
        'xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape"'
    )
    path.write_text(f"<svg {space} {head}>{body}</svg>")
    return path


def read(path, **says):
    return outline_from(Drawing(path=path, **says), seen_from=None, player="right")


def halves(extra=""):
    return f'<path d="{BASS}" {extra}/><path d="{TREBLE}" {extra}/>'


def check(outline, tolerance=1e-6, scale=1.0):
    assert outline.length_m == pytest.approx(0.47 * scale, abs=tolerance)
    assert outline.bass.main.length == pytest.approx(BASS_M * scale, abs=tolerance)
    assert outline.treble.main.length == pytest.approx(TREBLE_M * scale, abs=tolerance)


@pytest.mark.parametrize(
    "transform",
    [
        "",
        "translate(30 -12)",
        "rotate(-90)",
        "rotate(12.5) translate(100,4)",
        "scale(-1 1)",
        "matrix(0 1 1 0 5 5)",
    ],
)
def test_transforms_keep_arcs_exact(tmp_path, transform):
    outline = read(svg(tmp_path, f'<g transform="{transform}">{halves()}</g>'))
    check(outline)
    assert outline.treble.main.tightest(convex=False)[0] == pytest.approx(0.034, rel=1e-6)


@pytest.mark.parametrize(
    ("head", "scale"),
    [
        ('width="51cm" height="39.6cm" viewBox="-20 -198 510 396"', 1.0),
        ('width="10in" height="20in" viewBox="0 0 254 508"', 1.0),
        ('width="1020mm" height="792mm" viewBox="-20 -198 510 396"', 2.0),
        ('width="510pt" height="396pt" viewBox="-20 -198 510 396"', 0.0254 / 72 * 1000),
    ],
)
def test_the_unit_is_sheet_over_view(tmp_path, head, scale):
    check(read(svg(tmp_path, halves(), head)), scale=scale, tolerance=2e-6)


def test_a_picture_without_size_is_refused_unless_its_pixels_make_a_body(tmp_path):
    path = svg(tmp_path, halves(), 'viewBox="-20 -198 510 396"')
    with pytest.raises(DrawingError, match="124 × 94 mm in px"):
        read(path)
    check(read(path, unit_m=1e-3))
    check(read(path, body_length_m=0.47))
    pixels = svg(tmp_path, f'<g transform="scale({96 / 25.4})">{halves()}</g>', 'width="2000"')
    outline = read(pixels)
    check(outline)
    assert "CSS pixels" in outline.assumptions[0]


def test_groups_labels_uses_and_hidden_things(tmp_path):
    body = f"""
    <defs><path id="side" d="{BASS}"/></defs>
    <g inkscape:groupmode="layer" inkscape:label="mould" display="none"><circle r="180"/></g>
    <g inkscape:groupmode="layer" inkscape:label="body outline">
      <use xlink:href="#side"/><use xlink:href="#side" transform="scale(1 -1)"/></g>
    <g inkscape:label="board"><rect x="-19" y="-190" width="500" height="380" rx="60"/></g>
    <ellipse cx="320" rx="48" ry="40"/><text x="3" y="3">WREN</text>
    <polyline points="0,0 100,40 200,0"/><line x1="-10" y1="0" x2="480" y2="0"/>"""
    outline = read(svg(tmp_path, body))
    assert [one.main.length for one in outline.halves] == pytest.approx([BASS_M, BASS_M], abs=1e-6)
    assert any("body outline" in f.what for f in outline.findings if f.taken)
    assert not any("mould" in f.what for f in outline.findings)  # it is not shown
    only = read(svg(tmp_path, body), layer="body outline")
    assert only.length_m == pytest.approx(0.47, abs=1e-6)
    picked = read(svg(tmp_path, halves('class="a"') + f'<path id="b" d="{BASS}"/>'), select=("b",))
    assert picked.treble.main.length == pytest.approx(BASS_M, abs=1e-6)


def test_an_ellipse_keeps_its_perimeter(tmp_path):
    from scipy.special import ellipe

    path = svg(tmp_path, '<ellipse cx="10" cy="5" rx="180" ry="125" transform="rotate(20)"/>')
    (stroke,) = read_svg(path).strokes
    length = sum(s.piece().length for s in stroke.segments)
    assert length == pytest.approx(4 * 180 * ellipe(1 - (125 / 180) ** 2), rel=1e-9)
    (round_one,) = read_svg(svg(tmp_path, '<circle r="50"/>')).strokes
    assert sum(s.piece().length for s in round_one.segments) == pytest.approx(100 * math.pi)
    assert all(s.spline is None for s in round_one.segments)


def test_bezier_corners_and_stalled_handles(tmp_path):
    from rimwright.curves.spline import Spline

    (line,) = read_svg(svg(tmp_path, '<path d="M0 0 C 0 0 50 25 100 50"/>')).strokes
    assert line.segments[0].is_line
    (stalled,) = read_svg(svg(tmp_path, '<path d="M0 0 C 0 0 50 60 100 0"/>')).strokes
    piece = stalled.segments[0].piece()
    assert isinstance(piece, Spline)
    assert max(map(abs, piece.curvature_range())) < 10.0
