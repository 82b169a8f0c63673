"""Drawings that do not hold the whole body at full size say so instead of being read."""

import ezdxf
import numpy as np
import pytest
from PIL import Image, ImageDraw

from rimwright.errors import DrawingError, PictureError
from rimwright.instrument.design import Drawing
from rimwright.instrument.drawings.picture import read_picture
from rimwright.instrument.drawings.reading import read_drawing


def oval(folder, box, size=(900, 700), straight=()):
    picture = Image.new("L", size, 255)
    pen = ImageDraw.Draw(picture)
    pen.ellipse(box, outline=30, width=4)
    for line in straight:
        pen.line(line, fill=30, width=3)
    picture.save(folder / "scan.png", dpi=(100, 100))
    return folder / "scan.png"


def test_a_body_cut_off_by_the_picture_is_refused(tmp_path):
    with pytest.raises(PictureError, match="runs off the picture at its lower and right edge"):
        read_picture(oval(tmp_path, (100, 100, 1000, 800)))
    with pytest.raises(PictureError, match="runs off the picture at its lower edge"):
        read_picture(oval(tmp_path, (100, 100, 800, 760)))


def test_a_half_at_the_edge_and_a_long_centreline_are_no_crop(tmp_path):
    half = read_picture(oval(tmp_path, (100, 200, 800, 1200)))
    assert half.strokes
    whole = read_picture(oval(tmp_path, (100, 100, 800, 600), straight=[(0, 350, 899, 352)]))
    assert len(whole.strokes) >= 2


def test_an_outline_in_paper_space_alone_is_told(tmp_path):
    document = ezdxf.new("R2000", setup=True)
    turn = np.linspace(0.0, 6.0, 30)
    points = np.column_stack([200.0 * np.cos(turn), 140.0 * np.sin(turn)]).tolist()
    document.layout("Layout1").add_lwpolyline(points)
    document.saveas(tmp_path / "sheet.dxf")
    with pytest.raises(DrawingError, match="1 in paper space on the sheet 'Layout1'"):
        read_drawing(Drawing(path=tmp_path / "sheet.dxf"), seen_from=None, player="right")


@pytest.mark.parametrize("border", [120, 12])
def test_a_drawn_line_on_paper_with_a_dark_surround_is_no_filled_shape(tmp_path, border):
    oval(tmp_path, (100, 100, 800, 600))
    paper = np.asarray(Image.open(tmp_path / "scan.png"))
    dark = np.pad(paper, border, constant_values=30)
    Image.fromarray(dark).save(tmp_path / "table.png", dpi=(100, 100))
    sheet = read_picture(tmp_path / "table.png")
    widths = [np.ptp([s.start[0] for s in one.segments]) for one in sheet.strokes]
    # The middle of the line, not its inner edge (696) nor the paper's (900).
    assert any(abs(width - 697.5) < 1.0 for width in widths)
