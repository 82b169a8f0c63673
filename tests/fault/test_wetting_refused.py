"""Sides and shops that cannot be: one line each."""

import pytest

from rimwright.bending.wetting import wet_side
from rimwright.errors import GeometryError, OutsideValidityError
from rimwright.instrument.design import Wetting

GOOD = {"thickness_m": 2.1e-3, "specific_gravity": 0.55, "room_c": 21.0, "humidity": 0.45}


@pytest.mark.parametrize("thickness", [0.0, -1e-3, 0.05, float("nan")])
def test_thickness(thickness):
    with pytest.raises(GeometryError, match=r"expected 0\.2 to 20 mm"):
        wet_side(Wetting(), **GOOD | {"thickness_m": thickness})


@pytest.mark.parametrize(
    ("name", "value", "words"),
    [
        ("humidity", 1.3, "relative humidity 1.3"),
        ("room_c", 150.0, "temperature 150 °C"),
        ("specific_gravity", 0.0, "specific gravity 0"),
        ("sorptivity_kg_m2_s05", -0.1, "sorptivity -0.1"),
    ],
)
def test_air_and_wood(name, value, words):
    with pytest.raises(OutsideValidityError, match=words):
        wet_side(Wetting(), **GOOD | {name: value})
