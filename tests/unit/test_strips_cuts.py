"""Bindings, purflings and linings cut to their own lines."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from rimwright.curves.arc import Arc
from rimwright.curves.chain import Chain
from rimwright.errors import GeometryError
from rimwright.instrument.design import (
    Design,
    Drawing,
    Ends,
    Lining,
    OutlineSource,
    Plate,
    Plates,
    Sides,
    Strip,
)
from rimwright.instrument.outline import Half, Outline, RimPiece
from rimwright.sides.develop import develop_sides
from rimwright.sides.pattern import StripCut
from rimwright.sides.strips import strip_cuts

R = 0.2
BINDING = Strip(name="binding", wood=None, thickness_m=0.0016, height_m=0.006)
PURFLING = Strip(
    name="purfling", wood=None, thickness_m=0.0005, height_m=0.0015, count=3, place="inside"
)


def _round_body(*, pointed: bool = False) -> Outline:
    """A circle of 200 mm radius; pointed: its treble half in two pieces with a corner."""

    def arc(sign: float, part: float) -> Chain:
        return Chain((Arc((0.0, 0.0), sign * np.pi / 2, -sign / R, R * np.pi * part),))

    bass = Half("bass", RimPiece("bass", "main", arc(-1.0, 1.0)))
    if not pointed:
        return Outline(
            bass=bass,
            treble=Half("treble", RimPiece("treble", "main", arc(1.0, 1.0))),
            length_m=0.4,
        )
    main = arc(1.0, 0.75)
    end = main.end()
    tip = (float(end.position[0, 0]), float(end.position[0, 1]))
    back = Chain((Arc(tip, float(end.heading[0]) - np.radians(100), 1 / 0.06, 0.09),))
    treble = Half(
        "treble",
        RimPiece("treble", "main", main),
        RimPiece("treble", "return", back),
        "pointed",
    )
    return Outline(bass=bass, treble=treble, length_m=0.4)


def _design(*strips: Strip, lining: Lining | None = None, neck: str = "centreline") -> Design:
    return Design(
        name="Trial",
        show="metric",
        outline=OutlineSource(source=Drawing(path=Path("trial.svg"))),
        plates=Plates(top=Plate(), back=Plate(), depth_tail_m=0.1, depth_neck_m=0.08),
        ends=Ends(
            neck_block_width_m=0.06,
            neck_block_length_m=0.05,
            neck_block_kind="bolt-on",
            tail_block_width_m=0.08,
            neck_end_bass=neck,  # type: ignore[arg-type]
        ),
        sides=Sides(thickness_m=0.002),
        strips=strips,
        lining=lining,
    )


def _cuts(design: Design, outline: Outline) -> tuple[StripCut, ...]:
    return strip_cuts(design, outline, develop_sides(outline, design))


def test_four_strips_and_a_spare_on_their_own_line() -> None:
    *four, spare = _cuts(_design(BINDING), _round_body())
    assert [(cut.hand, cut.edge) for cut in four] == [
        ("bass", "top"),
        ("bass", "back"),
        ("treble", "top"),
        ("treble", "back"),
    ]
    for cut in four:
        # Half a circle through the binding's own middle.
        assert cut.length_m == pytest.approx(np.pi * (R - 0.0008))
        assert cut.cut_length_m == pytest.approx(cut.length_m + 0.05)
        assert cut.section == "1.60 mm × 6.0 mm"
    assert spare.name == "binding, spare"
    assert spare.length_m == pytest.approx(four[0].length_m)


def test_purflings_follow_inside_the_binding_whatever_the_order_given() -> None:
    cuts = _cuts(_design(PURFLING, BINDING), _round_body())
    purfling = next(cut for cut in cuts if cut.name == "purfling")
    # Three loose layers from 1.6 mm inwards, all as long as the outermost.
    assert purfling.length_m == pytest.approx(np.pi * (R - 0.0016 - 0.00025))
    assert purfling.count == 3
    assert not purfling.warnings


def test_a_glued_up_strip_bends_on_its_middle_and_is_warned_of() -> None:
    glued = Strip(
        name="purfling",
        wood=None,
        thickness_m=0.0005,
        height_m=0.0015,
        count=3,
        place="inside",
        pre_glued=True,
    )
    cuts = _cuts(_design(BINDING, glued), _round_body())
    purfling = next(cut for cut in cuts if cut.name == "purfling")
    assert purfling.length_m == pytest.approx(np.pi * (R - 0.0016 - 0.00075))
    assert "joints can open in the heat" in purfling.warnings[0]


def test_a_strip_beside_the_side_lies_flush_with_it() -> None:
    beside = Strip(name="side line", wood=None, thickness_m=0.001, height_m=0.001, place="beside")
    cuts = _cuts(_design(BINDING, beside), _round_body())
    line = next(cut for cut in cuts if cut.name == "side line")
    assert line.length_m == pytest.approx(np.pi * (R - 0.0005))


def test_a_strip_reaches_as_far_over_the_block_as_its_side() -> None:
    across = _cuts(_design(BINDING, neck="across_block"), _round_body())
    added = (R - 0.001) * np.arcsin(0.03 / R)
    assert across[0].cut_length_m - across[0].length_m == pytest.approx(0.05 + added, abs=1e-8)
    assert across[2].cut_length_m - across[2].length_m == pytest.approx(0.05)
    assert across[-1].cut_length_m == across[0].cut_length_m


def test_linings_lie_on_the_inside_between_the_blocks() -> None:
    cuts = _cuts(_design(lining=Lining()), _round_body())
    inner = R - 0.002
    angle = np.pi - np.arcsin(0.04 / inner) - np.arcsin(0.03 / inner)
    assert [cut.length_m for cut in cuts] == pytest.approx([inner * angle] * 4, abs=1e-7)
    assert cuts[0].name == "kerfed lining"


def test_a_pointed_horn_has_return_strips_with_the_mitre() -> None:
    cuts = _cuts(_design(BINDING, lining=Lining()), _round_body(pointed=True))
    treble = [cut for cut in cuts if cut.hand == "treble" and cut.name == "binding"]
    assert [(cut.piece, cut.edge) for cut in treble] == [
        ("main", "top"),
        ("main", "back"),
        ("return", "top"),
        ("return", "back"),
    ]
    assert all(cut.mitre_rad == pytest.approx(np.radians(40.0)) for cut in treble)
    assert all(cut.mitre_rad is None for cut in cuts if cut.hand == "bass")
    # Concave all along: the binding, half its thickness inside, is longer than the outline.
    assert treble[2].length_m == pytest.approx(0.09 * (1 + 0.0008 / 0.06))


def test_strips_deeper_than_a_bend_are_refused() -> None:
    thick = Strip(name="slab", wood=None, thickness_m=0.21, height_m=0.006)
    with pytest.raises(GeometryError, match=r"210\.0 mm deep on the bass side"):
        _cuts(_design(thick), _round_body())
