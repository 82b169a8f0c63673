"""Softer wood at the same bend: its tension face is let off, because compression gives way."""

import numpy as np
import pytest

from rimwright.bending.history import FibreHistory
from rimwright.bending.law import DEFAULT_LAW, LAW_NAMES
from rimwright.bending.virtual_many import Timetable, bend_many, conditions

THICKNESS, RADIUS, BEND_S = 0.0021, 0.022, 60.0
MISTED, DRY = (110.0, 0.16), (149.0, 0.05)


def stretched_share(hot_c, moisture, law=None):
    """Of the whole bend t κ, what the outside face is stretched by: a half if nothing flows."""
    time_s = np.linspace(0.0, BEND_S, 201)
    done = bend_many(
        DEFAULT_LAW.vector() if law is None else law,
        thickness_m=np.array([THICKNESS]),
        inside_curvature=np.array([1.0 / RADIUS]),
        timetable=Timetable(time_s, time_s[:, None] / BEND_S, time_s.size),
        conditions=conditions(
            [
                FibreHistory(
                    np.array([0.0, BEND_S]), np.full((2, 1), hot_c), np.full((2, 1), moisture)
                )
            ],
            time_s,
            21,
        ),
        record=True,
    )
    strain, curvature, _ = done.record[0, -1, :, 0]
    return 0.5 + strain / (THICKNESS * curvature)


def test_wetter_at_the_heat_of_a_misted_side():
    shares = [stretched_share(110.0, moisture) for moisture in (0.16, 0.20, 0.25, 0.28)]
    assert shares == sorted(shares, reverse=True)
    assert shares[-1] < shares[0] < 0.5


def test_hotter_at_the_same_moisture():
    for moisture in (0.12, 0.16, 0.20):
        shares = [stretched_share(hot_c, moisture) for hot_c in (120.0, 135.0, 149.0, 160.0)]
        assert shares == sorted(shares, reverse=True)


def test_softened_stretches_less_than_cold_and_dry():
    assert stretched_share(*MISTED) < stretched_share(20.0, 0.08)
    assert stretched_share(*DRY) < stretched_share(20.0, 0.08)


def test_both_schools_let_the_tension_face_off_alike():
    assert stretched_share(*DRY) == pytest.approx(stretched_share(*MISTED), rel=0.15)


def test_a_framework_that_carries_in_tension_draws_the_axis_outwards():
    """The stiffer what lasts in tension, the less the stretched face has to give."""
    shares = []
    for pulled in (0.12, 0.25, 0.35, 0.60):
        law = DEFAULT_LAW.vector()
        law[LAW_NAMES.index("pulled_lasting_share")] = pulled
        shares.append(stretched_share(*MISTED, law=law))
    assert shares == sorted(shares, reverse=True)
    assert shares[-1] < 0.8 * shares[0]
