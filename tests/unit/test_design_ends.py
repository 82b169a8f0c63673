"""Neck ends that nobody chose follow the outline; chosen ones stay."""

from dataclasses import replace
from pathlib import Path

import pytest

from rimwright.instrument.design import Cutaway, Drawing, Landmarks
from rimwright.instrument.design_files.bare import design_for_drawing
from rimwright.instrument.design_files.ends import settle_ends
from rimwright.instrument.measures.landmarks import outline_from_landmarks

BODY = Landmarks(
    body_length_m=0.470,
    lower_width_m=0.356,
    lower_station_m=0.118,
    waist_width_m=0.222,
    waist_station_m=0.268,
    upper_width_m=0.268,
    upper_station_m=0.372,
)
CUT = Cutaway(
    kind="rounded", depth_m=0.041, horn_radius_m=0.022, scoop_radius_m=0.034,
    neck_half_width_m=0.026,
)  # fmt: skip
BARE = design_for_drawing(Drawing(path=Path("wren.dxf")))


def test_a_cutaway_half_ends_at_the_flank_of_a_block_of_that_width():
    outline = outline_from_landmarks(replace(BODY, cutaway=CUT))
    ends = settle_ends(BARE, outline).ends
    assert (ends.neck_end_bass, ends.neck_end_treble) == ("centreline", "flank")
    assert ends.neck_block_width_m == pytest.approx(0.052, abs=1e-4)


def test_a_plain_body_stays_as_it_was():
    assert settle_ends(BARE, outline_from_landmarks(BODY)) == BARE


def test_what_was_said_stays():
    said = replace(
        BARE.ends, neck_end_treble="first_touch", neck_ends_assumed=(), neck_block_assumed=False
    )
    outline = outline_from_landmarks(replace(BODY, cutaway=CUT))
    assert settle_ends(replace(BARE, ends=said), outline).ends == said
