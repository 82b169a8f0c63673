"""Sides that cannot be: one line for the maker, no traceback."""

from __future__ import annotations

import dataclasses
from pathlib import Path

import numpy as np
import pytest

from rimwright.curves.arc import Arc
from rimwright.curves.chain import Chain
from rimwright.errors import RimwrightError
from rimwright.instrument.design import Design, Drawing, Ends, OutlineSource, Plate, Plates, Sides
from rimwright.instrument.outline import Half, Outline, RimPiece
from rimwright.sides.develop import develop_sides


def _outline(radius: float = 0.2) -> Outline:
    halves = [
        Half(
            hand,  # type: ignore[arg-type]
            RimPiece(
                hand,  # type: ignore[arg-type]
                "main",
                Chain((Arc((0.0, 0.0), sign * np.pi / 2, -sign / radius, radius * np.pi),)),
            ),
        )
        for hand, sign in (("bass", -1.0), ("treble", 1.0))
    ]
    return Outline(bass=halves[0], treble=halves[1], length_m=2 * radius)


DESIGN = Design(
    name="Trial",
    outline=OutlineSource(source=Drawing(path=Path("trial.svg"))),
    plates=Plates(top=Plate(), back=Plate(), depth_tail_m=0.1, depth_neck_m=0.08),
    ends=Ends(
        neck_block_width_m=0.06,
        neck_block_length_m=0.05,
        neck_block_kind="bolt-on",
        tail_block_width_m=0.08,
    ),
    sides=Sides(thickness_m=0.002),
)


def _plates(**more: object) -> Plates:
    return dataclasses.replace(DESIGN.plates, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("plates", "words"),
    [
        (_plates(top=Plate(shape="dome")), "found a dome top without a radius"),
        (_plates(back=Plate(shape="cylinder", radius_m=-1.0)), "a cylinder back without a radius"),
        (_plates(back=Plate(shape="dome", radius_m=0.15)), "dish of 150 mm .* more than 20"),
        (_plates(back=Plate(shape="cylinder", radius_m=0.15)), "cylinder of 150 mm .* reaches"),
        (
            _plates(top=Plate(shape="dome", radius_m=5.0, flat_from_m=0.5)),
            "flat from 500 mm on a body 400 mm long",
        ),
        (_plates(depth_neck_m=0.004, depth_is="over_plates"), "a rim -1.0 mm high at one end"),
        (
            _plates(back=Plate(shape="cylinder", radius_m=0.21), depth_neck_m=0.05),
            "plates that meet .* along the bass side",
        ),
    ],
)
def test_plates_that_cannot_be(plates: Plates, words: str) -> None:
    with pytest.raises(RimwrightError, match=words) as caught:
        develop_sides(_outline(), dataclasses.replace(DESIGN, plates=plates))
    assert "\n" not in str(caught.value)
    assert "next: " in str(caught.value)


@pytest.mark.parametrize(
    ("thickness", "words"),
    [
        (0.0, "a side 0.00 mm thick"),
        (-0.002, "a side -2.00 mm thick"),
        (float("nan"), "a side nan mm thick"),
        (0.25, "a bend of 200.0 mm radius in a side 250.00 mm thick"),
    ],
)
def test_thickness_that_cannot_be(thickness: float, words: str) -> None:
    with pytest.raises(RimwrightError, match=words):
        develop_sides(_outline(), DESIGN, thickness)


def test_no_thickness_at_all_asks_for_one() -> None:
    design = dataclasses.replace(DESIGN, sides=Sides())
    with pytest.raises(RimwrightError, match="name the wood and ask for advice"):
        develop_sides(_outline(), design)
