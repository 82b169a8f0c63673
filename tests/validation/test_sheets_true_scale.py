"""The sheets measured from outside: DXF by ezdxf's auditor, PDF pages by PDFium, codes by OpenCV.

Sources: the DXF reference as ezdxf 1.4 implements it (its auditor); the PDF pages as PDFium
renders them, at a known resolution; QR codes (ISO/IEC 18004) as OpenCV reads them.
"""

from __future__ import annotations

import io
from collections.abc import Callable
from pathlib import Path

import cv2
import ezdxf
import numpy as np
import numpy.typing as npt
import pypdfium2
import pytest
from ezdxf.path import make_path

from rimwright.curves.chain import Chain
from rimwright.instrument.design import Design, Drawing, Ends, OutlineSource, Plate, Plates, Sides
from rimwright.plan import Plan, make_plan
from rimwright.sheets.labels import label_code, plan_labels
from rimwright.sheets.run_sheet import plan_code_words
from rimwright.sheets.tiles import OVERLAP
from rimwright.sheets.write import sheets

CASES = Path(__file__).parents[1] / "cases"
DPI = 254
#: Pixels in a millimetre; an edge of a line is found within half a pixel, 0.05 mm.
PIXEL = DPI / 25.4

Image = npt.NDArray[np.uint8]
Held = Callable[..., None]


def _plan(case: str, **changes: object) -> Plan:
    return make_plan(
        Design(
            name=case.split(".", maxsplit=1)[0].capitalize(),
            outline=OutlineSource(source=Drawing(path=CASES / case)),
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
            **changes,  # type: ignore[arg-type]
        )
    )


@pytest.fixture(scope="module")
def wren() -> Plan:
    return _plan("wren.svg")


@pytest.fixture(scope="module")
def plover() -> Plan:
    return _plan("plover.svg", show="inch", player="left")


@pytest.fixture(scope="module")
def wren_files(wren: Plan) -> dict[str, bytes | str]:
    return dict(sheets(wren, "a4", "25 November 2026"))


@pytest.fixture(scope="module")
def plover_files(plover: Plan) -> dict[str, bytes | str]:
    return dict(sheets(plover, "letter", "25 November 2026"))


def _measure(points: npt.NDArray[np.float64]) -> tuple[float, npt.NDArray[np.float64]]:
    """Area and (width, height) of a closed line."""
    x, y = points.T
    area = 0.5 * abs(float(np.dot(x, np.roll(y, 1)) - np.dot(y, np.roll(x, 1))))
    return area, np.ptp(points, axis=0)


def _of_chain(chain: Chain) -> tuple[float, npt.NDArray[np.float64]]:
    return _measure(1e3 * chain.points(1e-8))


def _loops(text: str) -> list[tuple[float, npt.NDArray[np.float64]]]:
    """Area and extents of every closed line on the cutting layer, largest first. [mm]"""
    document = ezdxf.read(io.StringIO(text))
    assert document.dxfversion == "AC1024"
    assert document.audit().errors == []
    scale = {4: 1.0, 1: 25.4}[document.header["$INSUNITS"]]
    found = []
    for entity in document.modelspace().query('LWPOLYLINE[layer=="OUTLINE"]'):
        assert entity.closed
        # Flattened ten times finer than the tolerance it is held to.
        rows = [(p.x, p.y) for p in make_path(entity).flattening(1e-5 / scale)]
        found.append(_measure(scale * np.array(rows)))
    return sorted(found, key=lambda loop: -loop[0])


@pytest.mark.parametrize("case", ["wren", "plover"])
def test_dxf_parts_are_as_large_as_the_plans(
    case: str, request: pytest.FixtureRequest, held_against: Held
) -> None:
    plan: Plan = request.getfixturevalue(case)
    files = request.getfixturevalue(f"{case}_files")
    worst = 0.0
    for part in plan.tooling.parts:
        loops = _loops(files[f"dxf/{part.name}.dxf"])
        assert len(loops) == 1 + len(part.holes)
        area, size = _of_chain(part.outline)
        worst = max(worst, float(np.abs(loops[0][1] - size).max()))
        # A line 0.01 mm astray all round would change the area by this much.
        assert loops[0][0] == pytest.approx(area, abs=0.01 * 2 * part.outline.length * 1e3)
    held_against(
        f"greatest error of a part's extents in the DXF, {plan.design.name}",
        source="DXF read back by ezdxf (auditor without errors)",
        printed=0.0,
        ours=worst,
        tolerance=0.01,
        unit="mm",
        why="the stated tolerance of the files for the machine",
    )


@pytest.mark.parametrize("case", ["wren", "plover"])
def test_dxf_sides_are_as_long_as_the_plans(case: str, request: pytest.FixtureRequest) -> None:
    plan: Plan = request.getfixturevalue(case)
    files = request.getfixturevalue(f"{case}_files")
    for pattern in plan.sides:
        name = "-return" if pattern.rim.name == "return" else ""
        (area, size), *more = _loops(files[f"dxf/side-{pattern.rim.hand}{name}.dxf"])
        assert more == []
        length = 1e3 * (pattern.length_middle_m + pattern.neck_end_m)
        assert size[0] == pytest.approx(length, abs=0.01)
        top, back = pattern.edge_top, pattern.edge_back
        end = pattern.length_middle_m + pattern.neck_end_m
        s = np.linspace(0.0, min(end, pattern.length_middle_m), 20001)
        high = np.interp(s, back[:, 1], back[:, 2]) - np.interp(s, top[:, 1], top[:, 2])
        drawn = 1e6 * float(np.trapezoid(high, s))
        # What the neck end adds lies between no height and the greatest there is.
        added = 1e3 * max(pattern.neck_end_m, 0.0) * 1e3 * float(high.max())
        assert drawn - 0.1 <= area <= drawn + 1.02 * added + 0.1


def _render(data: bytes | str, page: int) -> Image:
    assert isinstance(data, bytes)
    document = pypdfium2.PdfDocument(data)
    bitmap = document[page].render(scale=DPI / 72.0, grayscale=True)
    image = (
        np.array(bitmap.to_numpy())[:, :, 0]
        if bitmap.to_numpy().ndim == 3
        else np.array(bitmap.to_numpy())
    )
    document.close()
    return image


def _lines(image: Image, low: float, high: float) -> list[float]:
    """Middles of upright lines that run from `low` to `high` above the page's foot. [mm]"""
    height = image.shape[0] / PIXEL
    band = image[round((height - high) * PIXEL) : round((height - low) * PIXEL)]
    dark = (band < 128).mean(axis=0) > 0.97
    edges = np.flatnonzero(np.diff(np.concatenate([[0], dark.astype(int), [0]])))
    return [float(a + b) / 2 / PIXEL for a, b in zip(edges[::2], edges[1::2], strict=True)]


@pytest.mark.parametrize(
    ("case", "name", "side"),
    [
        ("wren", "patterns.pdf", 100.0),
        ("wren", "patterns-a4.pdf", 100.0),
        ("plover", "patterns-letter.pdf", 101.6),
    ],
)
def test_the_check_square_is_true_on_every_page(
    case: str, name: str, side: float, request: pytest.FixtureRequest, held_against: Held
) -> None:
    files = request.getfixturevalue(f"{case}_files")
    plan: Plan = request.getfixturevalue(case)
    document = pypdfium2.PdfDocument(files[name])
    worst = 0.0
    for number in range(len(document)):
        words = document[number].get_textpage().get_text_range()
        for said in ("check square", plan.code, "25 November 2026", plan.design.name):
            assert said in words, (number, said)
    document.close()
    for number in (0, 3, 10):
        image = _render(files[name], number)
        # Turned to the left, the page's left edge is its foot.
        for turned in (image, np.rot90(image, 1)):
            found = _lines(turned, 12.0, 104.0)
            pairs = [abs(b - a - side) for a in found for b in found if b > a]
            worst = max(worst, min(pairs))
    held_against(
        f"check square on the pages of {name}, {plan.design.name}",
        source="PDF rendered by PDFium at 254 dpi",
        printed=side,
        ours=side + worst,
        tolerance=0.1,
        unit="mm",
        why="one pixel of the rendering",
    )


def test_the_side_is_as_long_over_its_tiles_as_in_the_plan(
    wren: Plan, wren_files: dict[str, bytes | str], held_against: Held
) -> None:
    """The tiles laid as a maker lays them: each frame on the dashed line before it."""
    pattern = wren.sides[1]
    document = pypdfium2.PdfDocument(wren_files["patterns-a4.pdf"])
    titles = [entry.get_title() for entry in document.get_toc()]
    document.close()
    pages = [i for i, title in enumerate(titles) if title.startswith("Wren, treble side, sheet")]
    places: list[float] = []
    for column, page in enumerate(pages):
        image = _render(wren_files["patterns-a4.pdf"], page)
        # A band across the middle of the wood, clear of every word.
        lines = _lines(image, 203.0, 211.0)
        frame = lines[0]
        step = 194.0 - OVERLAP
        places += [x - frame + column * step for x in lines[1:-1]]
    marks = [1e3 * mark.s_middle_m for mark in pattern.marks]
    start = min(places, key=lambda x: sum(min(abs(x + m - p) for p in places) for m in marks))
    errors = [min(abs(start + mark - place) for place in places) for mark in marks]
    held_against(
        "worst place of a mark over four tiles, Wren, treble side",
        source="PDF rendered by PDFium at 254 dpi",
        printed=0.0,
        ours=max(errors),
        tolerance=0.12,
        unit="mm",
        why="one pixel of the rendering, and a round",
    )


@pytest.mark.parametrize("case", ["wren", "plover"])
def test_codes_are_read_by_another_reader(case: str, request: pytest.FixtureRequest) -> None:
    plan: Plan = request.getfixturevalue(case)
    files = request.getfixturevalue(f"{case}_files")
    detector = cv2.QRCodeDetector()
    head, _, _ = detector.detectAndDecode(_render(files["run-sheet.pdf"], 0))
    assert head == plan_code_words(plan)
    page = _render(files["labels.pdf"], 0)
    wanted = [label_code(plan, label) for label in plan_labels(plan)]
    # Cards are 95 by 54 mm, two across, from 8 mm under the top.
    left = 0.5 * (page.shape[1] / PIXEL - 190.0)
    for i, words in enumerate(wanted[:8]):
        x, y = left + 95.0 * (i % 2) + 55.0, 8.0 + 54.0 * (i // 2) + 14.0
        card = page[round(y * PIXEL) : round((y + 39) * PIXEL), round(x * PIXEL) :][
            :, : round(39.5 * PIXEL)
        ]
        # The reader misses a card now and then at one size; nobody holds a telephone so still.
        reads = {
            detector.detectAndDecode(cv2.resize(card, None, fx=size, fy=size))[0]
            for size in (1.0, 0.8, 0.6)
        }
        assert reads - {""} == {words}
        assert "http" not in words
    assert len({*wanted}) == len(wanted)
