"""A side that was misted, dipped or soaked: where the water is when the heat begins."""

import numpy as np
import pytest

from rimwright.bending import wetting as room
from rimwright.bending.wetting import FILM_KG_M2, wet_side
from rimwright.instrument.design import Wetting
from rimwright.wood.relations import equilibrium_moisture
from rimwright.wood.transport import SORPTIVITY, greatest_moisture

WALNUT = {"thickness_m": 2.1e-3, "specific_gravity": 0.55, "room_c": 21.0, "humidity": 0.45}
WAYS = (
    Wetting(method="mist"),
    Wetting(method="dip"),
    Wetting(method="soak", duration_s=1200.0),
    Wetting(method="soak", duration_s=86_400.0, stand_s=3600.0),
    Wetting(method="mist", stand_s=0.0),
)


def _mass(profile) -> float:
    """Water gained by the fibres, of both faces. [kg/m²]"""
    start = float(equilibrium_moisture(WALNUT["room_c"], WALNUT["humidity"]))
    dry = 1000.0 * WALNUT["specific_gravity"] * WALNUT["thickness_m"]
    return dry * (profile.mean - start)


@pytest.mark.parametrize("wetting", WAYS)
def test_the_fibres_hold_what_was_taken_up(wetting):
    profile = wet_side(wetting, **WALNUT)
    assert _mass(profile) == pytest.approx(profile.taken_up_kg_m2, abs=1e-12)


@pytest.mark.parametrize("film", [0.01, 0.05, 0.2])
def test_no_water_is_lost_or_made_while_it_stands(film):
    profile = wet_side(Wetting(), **WALNUT, film_kg_m2=film)
    assert 2 * profile.film_kg_m2 + _mass(profile) == pytest.approx(2 * film, rel=1e-9)


def test_a_misted_side_of_ten_minutes_is_wet_outside_and_dry_at_the_core():
    """15 to 20 % on the mean, which softens near 230 °F."""
    profile = wet_side(Wetting(), **WALNUT)
    assert 0.15 < profile.mean < 0.20
    assert profile.moisture[0] > 0.28
    assert profile.moisture[5] < 0.09
    np.testing.assert_allclose(profile.moisture, profile.moisture[::-1], rtol=1e-12)
    np.testing.assert_allclose(np.diff(profile.x_m), 2.1e-3 / 11)


def test_a_dry_side_has_settled_in_the_shop():
    profile = wet_side(Wetting(method="dry"), **WALNUT)
    assert profile.moisture == pytest.approx(float(equilibrium_moisture(21.0, 0.45)), abs=1e-12)
    assert profile.film_kg_m2 == 0.0


def test_standing_longer_evens_the_water_out():
    spread = [
        np.ptp(wet_side(Wetting(stand_s=stand), **WALNUT).moisture)
        for stand in (600.0, 3600.0, 86_400.0)
    ]
    assert spread[0] > spread[1] > spread[2]
    assert spread[2] < 0.005


def test_a_long_soak_fills_the_wood_and_no_more():
    full = float(greatest_moisture(0.55))
    profile = wet_side(WAYS[3], **WALNUT, sorptivity_kg_m2_s05=0.02)
    assert profile.moisture == pytest.approx(full, abs=1e-9)
    assert profile.film_kg_m2 == pytest.approx(FILM_KG_M2["soak"].middle)


def test_oily_wood_drinks_less_than_diffuse_porous():
    oily, porous = (
        wet_side(WAYS[2], **WALNUT, sorptivity_kg_m2_s05=SORPTIVITY[kind].middle).taken_up_kg_m2
        for kind in ("dense oily", "diffuse-porous")
    )
    assert oily < 0.5 * porous


@pytest.mark.parametrize("wetting", WAYS[:4])
def test_the_default_grid_is_fine_enough(wetting, monkeypatch):
    coarse = wet_side(wetting, **WALNUT).moisture
    monkeypatch.setattr(room, "_SLICES_PER_FIBRE", 40)
    monkeypatch.setattr(room, "_STEPS", 600)
    np.testing.assert_allclose(coarse, wet_side(wetting, **WALNUT).moisture, atol=0.0005)


def test_a_stay_of_no_time_leaves_the_water_where_it_is():
    wetting = Wetting(method="dip", duration_s=65536.0, stand_s=1e-9)
    assert np.all(np.isfinite(wet_side(wetting, **WALNUT).moisture))
