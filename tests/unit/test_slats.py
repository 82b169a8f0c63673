"""Slats and blanket: sizes on their own lines, and what the tight bends ask of them."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from rimwright.curves.arc import Arc
from rimwright.curves.chain import Chain
from rimwright.equipment.stack import Blanket, Equipment, Layer
from rimwright.instrument.design import Design, Drawing, Ends, OutlineSource, Plate, Plates
from rimwright.instrument.outline import Half, Outline, RimPiece
from rimwright.tooling.bundle import SideSize
from rimwright.tooling.design_tooling import design_tooling

SIZE = SideSize(thickness_m=0.0021, width_m=0.110)
DESIGN = Design(
    name="Wren",
    outline=OutlineSource(source=Drawing(path=Path("wren.svg"))),
    plates=Plates(top=Plate(), back=Plate(), depth_tail_m=0.1, depth_neck_m=0.1),
    ends=Ends(
        neck_block_width_m=0.05,
        neck_block_length_m=0.05,
        neck_block_kind="plain",
        tail_block_width_m=0.05,
    ),
)


def tooling(radius: float = 0.14, size: SideSize = SIZE, **equipment):
    """Of a round body: both halves half circles."""
    line = Chain((Arc((0.0, 0.0), -np.pi / 2, 1.0 / radius, radius * np.pi),))
    outline = Outline(
        bass=Half("bass", RimPiece("bass", "main", line)),
        treble=Half("treble", RimPiece("treble", "main", line.mirrored())),
        length_m=2.0 * radius,
    )
    design = replace(DESIGN, equipment=replace(Equipment(), **equipment))
    return design_tooling(outline, design, {(h, "main"): size for h in ("bass", "treble")})


def bass(made, name: str):
    return next(s for s in made.slats if s.hand == "bass" and s.name.startswith(name))


def test_lengths_lie_on_each_layers_own_line():
    made = tooling()
    # Half a circle on the layer's own radius, 20 mm trim and 50 mm handle at each end.
    for name, inside in (("slat 1", 0.0021 + 0.0001 + 0.000125), ("slat 2", -0.000225),
                         ("slat 3", -0.0001 - 0.00025 - 0.0016 - 0.000125)):  # fmt: skip
        expected = np.pi * (0.14 - inside) + 0.040 + 0.100
        assert bass(made, name).length_m == pytest.approx(expected, abs=1e-9)
        assert bass(made, name).asked_radius_m == pytest.approx(0.14 - inside, abs=1e-9)
    blanket = bass(made, "blanket")
    assert blanket.length_m == pytest.approx(np.pi * (0.14 + 0.00115) + 0.040, abs=1e-9)
    # The blanket's inner face is the tighter one.
    assert blanket.asked_radius_m == pytest.approx(0.14 + 0.00035, abs=1e-9)


def test_the_neck_end_lengthens_the_slats():
    longer = tooling(size=replace(SIZE, neck_end_m=0.028))
    assert bass(longer, "slat 1").length_m - bass(tooling(), "slat 1").length_m == pytest.approx(
        0.028
    )


def test_slats_are_as_wide_as_the_side_unless_the_shop_says():
    assert bass(tooling(), "slat 1").width_m == pytest.approx(0.110)
    narrow = list(Equipment().layers)
    narrow[0] = replace(narrow[0], width_m=0.080)
    made = tooling(layers=tuple(narrow))
    assert bass(made, "slat 1").width_m == pytest.approx(0.080)
    assert any("narrower than the side (110.0 mm)" in words for words in made.warnings)
    assert not any("narrower" in words for words in tooling().warnings)


def test_a_slat_past_its_radius_takes_a_set_and_says_how_thin_would_do():
    made = tooling(radius=0.015, size=replace(SIZE, thickness_m=0.001))
    slat = bass(made, "slat 1")
    assert not slat.bears_it
    assert slat.words.startswith("Takes a set: 13.8 mm at the lower bout")
    assert any(slat.words in words for words in made.warnings)
    # The thinner one it names does spring back.
    thin = tuple(
        replace(layer, thickness_m=0.00014) if layer.kind == "slat" else layer
        for layer in Equipment().layers
    )
    assert "0.15 mm" in slat.words
    assert bass(
        tooling(radius=0.015, size=replace(SIZE, thickness_m=0.001), layers=thin), "slat 1"
    ).bears_it


def test_a_slat_on_the_edge_of_its_temper_says_so():
    slat = bass(tooling(radius=0.0220), "slat 1")
    assert slat.words.startswith("On the edge: 19.7 mm")
    assert bass(tooling(radius=0.0220), "slat 3").bears_it


def test_a_blanket_under_its_limit_is_refused_in_words():
    tight = Blanket(least_radius_m=0.150)
    made = tooling(blanket=tight)
    assert not bass(made, "blanket").bears_it
    assert any("under its limit of 150.0 mm" in words for words in made.warnings)
    assert bass(tooling(), "blanket").bears_it


def test_a_blanket_too_small_is_named():
    made = tooling(blanket=Blanket(length_m=0.40, width_m=0.100))
    assert any("400.0 mm long where the side needs 483.4 mm" in words for words in made.warnings)
    assert any("100.0 mm wide where the side needs 110.0 mm" in words for words in made.warnings)
    assert not any("cold" in words for words in tooling().warnings)


def test_the_release_warning_names_hands_strap_and_clamp():
    made = tooling()
    words = next(w for w in made.warnings if "last clamp" in w)
    assert "second pair of hands" in words
    assert "strap" in words
    assert "slowly" in words
    energy = sum(s.energy_j for s in made.slats if s.hand == "bass" and s.energy_j)
    assert f"{energy:.1f} J" in words


def test_soft_slats_that_have_set_store_little_and_need_no_warning():
    soft = tuple(
        Layer(kind="slat", material="aluminium", thickness_m=0.0003, temper="annealed")
        if layer.kind == "slat"
        else layer
        for layer in Equipment().layers
    )
    made = tooling(layers=soft)
    assert not any("last clamp" in words for words in made.warnings)
    assert bass(made, "slat 1").energy_j < 0.5 * bass(tooling(), "slat 1").energy_j


def test_energy_falls_with_the_cube_of_thickness():
    thin = tuple(
        replace(layer, thickness_m=0.000125) if layer.kind == "slat" else layer
        for layer in Equipment().layers
    )
    ratio = bass(tooling(), "slat 1").energy_j / bass(tooling(layers=thin), "slat 1").energy_j
    assert ratio == pytest.approx(8.0, rel=2e-3)
