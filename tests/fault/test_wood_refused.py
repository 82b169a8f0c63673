"""Woods, materials and relations asked for what is not there: one line each."""

import math

import pytest

from rimwright.equipment.materials import material
from rimwright.errors import DesignError, OutsideValidityError, RimwrightError, UnknownNameError
from rimwright.wood.catalogue import find, own_wood
from rimwright.wood.relations import density, equilibrium_moisture, specific_heat


def one_line(error: RimwrightError) -> str:
    assert "\n" not in str(error)
    return str(error)


def test_unknown_wood_names_the_closest():
    with pytest.raises(UnknownNameError) as caught:
        find("indain rosewod")
    assert "perhaps indian rosewood" in one_line(caught.value)
    assert "run `rimwright woods`" in str(caught.value)


@pytest.mark.parametrize("name", ["", "   ", "x" * 5000, "\n", "∅"])
def test_nonsense_names(name):
    with pytest.raises(UnknownNameError) as caught:
        find(name)
    one_line(caught.value)


@pytest.mark.parametrize(
    ("table", "says"),
    [
        ({}, "no class"),
        ({"like": "oka"}, "no wood named 'oka'"),
        ({"class": "hardish"}, "class 'hardish'"),
        ({"like": "koa", "moe": 3}, "key 'moe'"),
        ({"like": "koa", "moe_gpa": "11 GPa"}, "moe_gpa = '11 GPa'"),
        ({"like": "koa", "moe_gpa": -1}, "moe_gpa = -1"),
        ({"like": "koa", "moe_gpa": True}, "moe_gpa = True"),
        ({"like": "koa", "moe_gpa": math.nan}, "moe_gpa = nan"),
        ({"like": "koa", "oily": "no"}, "oily = 'no'"),
        ({"like": 3}, "like = 3"),
    ],
)
def test_own_wood_that_cannot_be(table, says):
    with pytest.raises((DesignError, UnknownNameError)) as caught:
        own_wood("shop wood", table)
    assert says in one_line(caught.value)


def test_unknown_material_and_temper():
    with pytest.raises(UnknownNameError, match="spring steel"):
        material("sprung steel")
    with pytest.raises(UnknownNameError, match="blue tempered, annealed"):
        material("spring steel", "half hard")


@pytest.mark.parametrize(
    ("ask", "says"),
    [
        (lambda: equilibrium_moisture(150.0, 0.4), "temperature 150"),
        (lambda: equilibrium_moisture(20.0, 0.99), "relative humidity 0.99"),
        (lambda: equilibrium_moisture(20.0, math.nan), "relative humidity nan"),
        (lambda: specific_heat(0.4, 20.0), "moisture 0.4"),
        (lambda: specific_heat(0.1, 200.0), "temperature 200"),
        (lambda: density(0.6, -0.1), "moisture -0.1"),
    ],
)
def test_relations_outside_their_range(ask, says):
    with pytest.raises(OutsideValidityError) as caught:
        ask()
    assert says in one_line(caught.value)
