"""The list of woods and of the stack's materials: complete, sourced, found by any name."""

import time

import pytest

from rimwright.equipment.materials import material
from rimwright.sources import SOURCES, Provenance
from rimwright.wood import catalogue
from rimwright.wood.catalogue import all_woods, find, own_wood


def test_at_least_24_woods_each_with_sources():
    woods = all_woods()
    assert len(woods) >= 24
    for wood in woods:
        assert wood.values, wood.name
        for row in wood.values:
            assert row.source in SOURCES, (wood.name, row.source)
            assert row.reached in ("read", "memory")
            assert row.confidence in ("high", "medium", "low")
            assert row.low <= row.value <= row.high


def test_no_value_belongs_to_a_wood_that_is_not_listed():
    listed = {wood.name for wood in all_woods()}
    assert {row["wood"] for row in catalogue._table("values.csv")} <= listed


def test_names_and_aliases_are_unique():
    spellings = [
        spelling.lower() for wood in all_woods() for spelling in {wood.name, *wood.aliases}
    ]
    doubled = {spelling for spelling in spellings if spellings.count(spelling) > 1}
    assert not doubled


@pytest.mark.parametrize(
    ("name", "is_wood"),
    [
        ("Indian Rosewood", "Indian rosewood"),
        ("  east  indian rosewood ", "Indian rosewood"),
        ("sycamore", "European maple"),
        ("Acacia koa", "koa"),
        ("maple", "sugar maple"),
    ],
)
def test_found_by_any_spelling(name, is_wood):
    assert find(name).name == is_wood


def test_conflicts_are_kept_as_the_range():
    stiffness = find("wenge").value("moe 12 %")
    assert (stiffness.low, stiffness.high) == (16.4, 21.05)
    assert "2 figures" in stiffness.note


def test_gravity_is_derived_or_assumed_where_none_is_published_at_12_percent():
    assert find("black walnut").gravity_12.provenance is Provenance.PUBLISHED
    assert find("mahogany").gravity_12.provenance is Provenance.DERIVED
    elm = find("wych elm").gravity_12
    assert elm.provenance is Provenance.ASSUMED
    assert elm.low < elm.middle < elm.high


def test_rosewoods_and_cocobolo_are_told_as_sensitisers():
    for name in ("Indian rosewood", "Brazilian rosewood", "cocobolo"):
        assert "strong sensitiser" in find(name).sensitiser
    assert find("black cherry").sensitiser == ""


def test_loading_is_fast():
    best = 1.0
    for _ in range(5):
        all_woods.cache_clear()
        start = time.perf_counter()
        all_woods()
        best = min(best, time.perf_counter() - start)
    assert best < 0.010


def test_own_wood_comes_before_the_list():
    own = {"koa": {"class": "diffuse-porous", "gravity_12": 0.6, "oily": False}}
    wood = find("Koa", own)
    assert wood.gravity_12.provenance is Provenance.MEASURED
    assert wood.density_kg_m3 == pytest.approx(672.0)


def test_own_wood_borrows_what_it_leaves_out():
    told = {"like": "european ash", "moe_gpa": 9.0, "source": "three strips, spring 2026"}
    shop = own_wood("attic ash", told)
    assert "three strips" in shop.value("moe 12 %").note
    assert shop.value("moe 12 %").middle == 9.0
    assert shop.unsupported_radius == find("European ash").unsupported_radius


def test_materials_of_the_default_stack():
    from rimwright.equipment.stack import Equipment

    for layer in Equipment().layers:
        if layer.kind != "side":
            of = material(layer.material, layer.temper)
            assert of.density_kg_m3.source in SOURCES
            assert of.specific_heat_j_kg_k.middle > 0


def test_least_radius_goes_with_thickness_and_temper():
    hard, soft = material("stainless", "half hard"), material("Stainless Steel", "annealed")
    assert hard.least_radius_m(0.0005) == pytest.approx(2 * hard.least_radius_m(0.00025))
    assert soft.least_radius_m(0.00025) > 3 * hard.least_radius_m(0.00025)
    assert material("paper").least_radius_m(0.0001) is None
