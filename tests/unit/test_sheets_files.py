"""The files of a plan: names, layers, weights, hands, assumed parts, whole or not at all."""

import io
import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

import ezdxf
import numpy as np
import pytest
import trimesh

from measured import ROUNDED, WREN
from rimwright.errors import GeometryError, OutputError
from rimwright.instrument.design import (
    Design,
    Ends,
    OutlineSource,
    Plate,
    Plates,
    Sides,
)
from rimwright.plan import Plan, make_plan
from rimwright.sheets.drawing import DASHES, PENS, Drawing, Text, line
from rimwright.sheets.dxf import dxf_text
from rimwright.sheets.mesh import stl_bytes
from rimwright.sheets.part import part_drawing
from rimwright.sheets.svg import svg_text
from rimwright.sheets.write import sheets, write_sheets


@pytest.fixture(scope="module")
def plan() -> Plan:
    return make_plan(
        Design(
            name="Wren",
            outline=OutlineSource(source=replace(WREN, cutaway=ROUNDED)),
            plates=Plates(
                top=Plate(),
                back=Plate(shape="dome", radius_m=4.572),
                depth_tail_m=0.100,
                depth_neck_m=0.085,
            ),
            ends=Ends(
                neck_block_width_m=0.056,
                neck_block_length_m=0.060,
                neck_block_kind="dovetail",
                tail_block_width_m=0.070,
                neck_end_treble="flank",
            ),
            sides=Sides(wood="koa", thickness_m=0.0021),
        )
    )


@pytest.fixture(scope="module")
def content(plan: Plan) -> dict[str, bytes | str]:
    return dict(sheets(plan, "a4", "25 November 2026"))


def test_every_kind_of_sheet_is_there(plan: Plan, content: dict[str, bytes | str]) -> None:
    for name in ("run-sheet.pdf", "patterns.pdf", "patterns-a4.pdf", "wood.pdf", "labels.pdf"):
        data = content[name]
        assert isinstance(data, bytes)
        assert data.startswith(b"%PDF-")
    for stem in ("side-bass", "side-treble", *(part.name for part in plan.tooling.parts)):
        assert f"dxf/{stem}.dxf" in content
        assert f"svg/{stem}.svg" in content
    solids = {name for name in content if name.startswith("stl/")}
    assert "stl/ram-scoop-treble.stl" in solids
    assert not any("form" in name or "mould" in name for name in solids)


def test_equal_plans_give_equal_files(plan: Plan, content: dict[str, bytes | str]) -> None:
    again = dict(sheets(plan, "a4", "25 November 2026"))
    assert [name for name in content if content[name] != again[name]] == []


def test_files_are_written_into_the_folder(plan: Plan, tmp_path: Path) -> None:
    written = write_sheets(plan, tmp_path / "out", date_text="25 November 2026")
    assert all(path.is_file() for path in written)
    assert sorted(written) == sorted(p for p in (tmp_path / "out").rglob("*") if p.is_file())
    assert (tmp_path / "out" / "patterns-a4.pdf") in written


def test_inches_print_on_letter(plan: Plan) -> None:
    inch = replace(plan, design=replace(plan.design, show="inch"))
    names = _names(inch)
    assert "patterns-letter.pdf" in names


def _names(plan: Plan) -> list[str]:
    paper = "letter" if plan.design.show == "inch" else "a4"
    found: Iterator[tuple[str, bytes | str]] = sheets(plan, paper, "")  # type: ignore[arg-type]
    return [name for name, _ in found]


def test_a_file_in_the_way_is_one_line(plan: Plan, tmp_path: Path) -> None:
    (tmp_path / "out").write_text("a file")
    with pytest.raises(OutputError, match="expected a folder"):
        write_sheets(plan, tmp_path / "out")


def test_a_line_weighs_the_same_in_dxf_and_svg() -> None:
    drawing = Drawing("weights", tuple(line((0, i), (9, i), pen) for i, pen in enumerate(PENS)))
    document = ezdxf.read(io.StringIO(dxf_text(drawing, "metric")))
    groups = ElementTree.fromstring(svg_text(drawing)).iter("{http://www.w3.org/2000/svg}g")
    svg = {group.get("id"): group for group in groups}
    for pen in PENS:
        layer = document.layers.get(pen.layer)
        assert layer.dxf.lineweight == round(100 * pen.weight)
        assert float(svg[pen.layer].get("stroke-width", "0")) == pen.weight
        assert (layer.dxf.linetype == "Continuous") is not DASHES[pen.style]
        assert (svg[pen.layer].get("stroke-dasharray") is None) is (pen.style == "solid")
    assert len({layer.dxf.color for layer in document.layers if layer.dxf.name != "0"}) >= len(PENS)


def test_svg_is_at_true_size(content: dict[str, bytes | str]) -> None:
    for name, text in content.items():
        if name.endswith(".svg"):
            root = ElementTree.fromstring(str(text))
            width, height = (
                float(str(root.get(k)).removesuffix("mm")) for k in ("width", "height")
            )
            box = [float(v) for v in str(root.get("viewBox")).split()]
            assert (width, height) == (box[2], box[3]), name
    assert " A" in str(content["svg/side-bass.svg"]) or " A" in str(content["svg/mould-joint.svg"])


def test_svg_words_are_escaped() -> None:
    text = svg_text(Drawing("a < b & c", (Text((0, 0), "R < 22 & more", 2.5),)))
    root = ElementTree.fromstring(text)
    assert any(e.text == "R < 22 & more" for e in root.iter("{http://www.w3.org/2000/svg}text"))


def test_an_assumed_part_says_so_everywhere(plan: Plan, content: dict[str, bytes | str]) -> None:
    part = plan.tooling.part("form-bass")
    assert part.assumed
    for name in ("dxf/form-bass.dxf", "svg/form-bass.svg"):
        assert re.search(r"ASSUMED stack, 0\.\d\d mm thick", str(content[name]))
    measured = part_drawing(plan, replace(part, assumed=False, notes=()))
    assert not any("ASSUMED" in s.words for s in measured.shapes if isinstance(s, Text))


def test_only_what_is_cut_lies_on_the_outline_layer(
    plan: Plan, content: dict[str, bytes | str]
) -> None:
    for part in plan.tooling.parts:
        document = ezdxf.read(io.StringIO(str(content[f"dxf/{part.name}.dxf"])))
        cut = document.modelspace().query('*[layer=="OUTLINE"]')
        assert len(cut) == 1 + len(part.holes)
        assert all(entity.dxftype() == "LWPOLYLINE" and entity.closed for entity in cut)


def test_solids_are_watertight_and_as_large_as_the_part(plan: Plan) -> None:
    for name in ("ram-waist-bass", "ram-scoop-treble", "caul-horn-treble"):
        part = plan.tooling.part(name)
        solids = []
        for player in ("right", "left"):
            design = replace(plan.design, player=player)  # type: ignore[arg-type]
            data = stl_bytes(part, design)
            solids.append(trimesh.load(io.BytesIO(data), file_type="stl"))
        points = 1e3 * part.outline.points(1e-6)
        x, y = points.T
        area = 0.5 * abs(np.dot(x, np.roll(y, 1)) - np.dot(y, np.roll(x, 1)))
        for solid in solids:
            assert solid.is_watertight
            assert solid.is_winding_consistent
            assert solid.volume == pytest.approx(1e3 * part.depth_m * area, rel=1e-3)
        right, left = (solid.bounds for solid in solids)
        assert np.allclose(right[:, 1], -left[::-1, 1], atol=1e-4)
        assert np.allclose(right[:, [0, 2]], left[:, [0, 2]], atol=1e-4)
        assert right[:, 0] == pytest.approx([x.min(), x.max()], abs=0.03)


def test_an_outline_that_crosses_itself_makes_no_solid(plan: Plan) -> None:
    part = plan.tooling.part("ram-waist-bass")
    ends = part.outline.points(1e-5)
    from rimwright.curves.arc import Arc
    from rimwright.curves.chain import Chain

    a, b, c, d = (tuple(map(float, ends[i])) for i in (0, len(ends) // 4, len(ends) // 2, -9))
    bow = Chain(tuple(Arc.line(p, q) for p, q in ((a, c), (c, b), (b, d), (d, a))))  # type: ignore[arg-type]
    with pytest.raises(GeometryError, match="crosses itself"):
        stl_bytes(replace(part, outline=bow), plan.design)


def test_a_refused_solid_leaves_nothing_behind(plan: Plan, tmp_path: Path) -> None:
    ram = plan.tooling.part("ram-waist-bass")
    half = len(ram.outline.pieces) // 2
    pieces = ram.outline.pieces
    # The same strokes in an order that crosses.
    crossed = replace(ram, outline=type(ram.outline)(pieces[half::-1] + pieces[half + 1 :]))
    parts = tuple(crossed if part is ram else part for part in plan.tooling.parts)
    broken = replace(plan, tooling=replace(plan.tooling, parts=parts))
    with pytest.raises(GeometryError, match="ram-waist-bass"):
        write_sheets(broken, tmp_path / "out")
    assert not (tmp_path / "out").exists()
