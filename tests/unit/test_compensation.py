"""A form that allows for spring-back: round trips, bounds, places, and what the maker gets."""

import json
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from pathlib import Path

import ezdxf
import numpy as np
import pytest
from typer.testing import CliRunner

from rimwright.bending.compensation import FormPiece
from rimwright.bending.compensation_limits import LEAST_TOOL_M, limits_of
from rimwright.bending.compensation_line import compensated_rim
from rimwright.bending.parameters import DEFAULT
from rimwright.bending.release import released_outline
from rimwright.bending.virtual_bend import BendRun, virtual_bend
from rimwright.bending.virtual_side import side_job
from rimwright.cli.main import app
from rimwright.desk.bending import bend_design
from rimwright.desk.forming import Formed, form_design, form_document, form_text, write_form
from rimwright.instrument.design import Design
from rimwright.instrument.design_files.load import load_design
from rimwright.plan import Plan, make_plan
from rimwright.tooling.bundle import Job, SideSize
from rimwright.wood.catalogue import find

TERN_LANE = Path(__file__).parents[2] / "examples" / "tern-lane"
MODELS = ("wren", "curlew", "plover")


@cache
def model(name: str) -> Design:
    return load_design(TERN_LANE / f"{name}.rim.toml")


@cache
def formed(name: str) -> Formed:
    return form_design(model(name))


def fresh(plan: Plan, form: FormPiece) -> BendRun:
    """A virtual bend of its own on the line that was drawn, with the rams that were drawn."""
    piece = form.job.piece
    wood = find(plan.design.sides.wood, plan.design.own_woods)
    job = side_job(
        plan.design,
        outline=plan.outline,
        side=piece.pattern,
        recipe=plan.recipe,
        tooling=plan.tooling,
        wood=wood,
        parameters=DEFAULT,
    )
    # A joint has a station on either side: the first is read before it.
    before = np.append(np.diff(piece.s) < 1e-7, False)
    outer = form.rim.at(form.s_form - 1e-7 * before).curvature
    return virtual_bend(
        job.piece,
        job.heat.history,
        job.timetable,
        DEFAULT,
        wood,
        form_curvature=outer / (1.0 - piece.thickness * outer),
        capacity=job.capacity,
        equipment=plan.design.equipment,
    )


def off_the_mould(run: BendRun) -> np.ndarray:
    meant = run.piece.rim.at(run.piece.s).position
    return np.hypot(*(run.released_line - meant).T)


@pytest.mark.parametrize("name", MODELS)
def test_a_side_bent_on_the_form_comes_off_on_the_mould(name: str) -> None:
    plan = formed(name).plan
    free = 0
    for form in formed(name).forms.pieces:
        again = fresh(plan, form)
        if form.bounds:
            apart = np.hypot(*(again.released_line - form.run.released_line).T)
            assert apart.max() < 0.05e-3
            assert off_the_mould(again).max() == pytest.approx(form.left_m, abs=0.05e-3)
        else:
            free += 1
            assert off_the_mould(again).max() < 0.2e-3
            assert form.left_m < 0.2e-3
    assert free >= 1


@pytest.mark.parametrize("name", MODELS)
def test_the_form_as_drawn_would_have_left_centimetres(name: str) -> None:
    for form, plain in zip(formed(name).forms.pieces, formed(name).plain, strict=True):
        assert form.left_m < 0.1 * off_the_mould(plain).max()


@pytest.mark.parametrize("name", MODELS)
def test_the_wood_keeps_its_length_and_its_start(name: str) -> None:
    for form in formed(name).forms.pieces:
        drawn, piece = form.job.piece.rim, form.job.piece
        t = piece.pattern.thickness_m
        if np.ptp(piece.thickness) == 0.0:
            wood = [
                rim.length - 0.5 * t * float(rim.turn_to(np.array([rim.length]))[0])
                for rim in (drawn, form.rim)
            ]
            assert wood[1] == pytest.approx(wood[0], abs=2e-5)
        assert form.rim.chain.start().position == pytest.approx(drawn.chain.start().position)
        on_form = released_outline(
            drawn,
            piece.s,
            thickness_m=piece.thickness,
            middle_curvature=form.run.home_curvature,
        )
        assert np.hypot(*(on_form - form.rim.at(form.s_form).position).T).max() < 0.05e-3


def test_the_tooling_follows_the_form_and_the_mould_the_rim() -> None:
    as_drawn, plan = make_plan(model("curlew")), formed("curlew").plan
    before, after = (
        {part.name: part.outline.points(1e-4) for part in one.tooling.parts}
        for one in (as_drawn, plan)
    )
    assert set(before) == set(after)
    for name in before:
        same = before[name].shape == after[name].shape and np.allclose(before[name], after[name])
        assert same == name.startswith(("mould", "spreader")), name
    # The form's working line is the exact parallel of the line on the form.
    bass = plan.compensation.outline.bass.main
    inside = bass.inside(plan.sides[0].thickness_m + plan.tooling.part("form-bass").stack_m)
    working = plan.tooling.part("form-bass").working
    share = np.linspace(0.0, 1.0, 50)
    apart = working.at(share * working.length).position - inside.at(share * inside.length).position
    assert np.abs(apart).max() < 1e-9
    # Rams and form keep their place: the waist lies where it is drawn.
    waists = [
        next(ram for ram in one.tooling.rams if ram.name == "ram-waist-bass")
        for one in (as_drawn, plan)
    ]
    assert waists[1].x_m == pytest.approx(waists[0].x_m, abs=0.5e-3)
    assert waists[1].travel_m > waists[0].travel_m


def test_marks_on_the_form_are_those_of_the_wood() -> None:
    plan = formed("curlew").plan
    form = plan.compensation.pieces[0]
    ticks = dict(plan.tooling.part("form-bass").marks)
    drawn = dict(make_plan(model("curlew")).tooling.part("form-bass").marks)
    assert ticks.keys() == drawn.keys()
    bout = next(one for one in form.overbends if one.name == "lower bout")
    s_form = np.interp([bout.s_outer_m], form.job.piece.s, form.s_form)
    on_form = plan.compensation.outline.bass.main.at(s_form).position[0]
    # The tick starts on the working line, square inwards from that place.
    assert np.hypot(*(ticks["widest lower bout"][0] - on_form)) == pytest.approx(
        plan.tooling.part("form-bass").stack_m + plan.sides[0].thickness_m, abs=2e-3
    )


@pytest.mark.parametrize("name", MODELS)
def test_overbends_are_told_with_their_ranges(name: str) -> None:
    for form in formed(name).forms.pieces:
        held = {one.place for one in form.bounds}
        assert form.overbends
        for one in form.overbends:
            assert one.radius_m.low <= one.radius_m.middle <= one.radius_m.high
            assert one.overbend_m.low <= one.overbend_m.middle <= one.overbend_m.high
            if one.name not in held:
                assert one.radius_m.middle < one.drawn_radius_m
                assert 0.0 < one.overbend_m.low < one.overbend_m.high < 0.010
        last = form.run.gaps[-1].gap_m
        assert last.low < last.middle < last.high


THICK = 0.0026


@cache
def brittle() -> Formed:
    wren = model("wren")
    return form_design(
        replace(
            wren,
            sides=replace(
                wren.sides,
                wood="wenge",
                thickness_m=THICK,
                finished_thickness_m=None,
                thinned=(),
                figure="strong",
            ),
        )
    )


def test_wood_is_never_bent_past_its_margin_to_cancel_spring_back() -> None:
    plan = brittle().plan
    treble = brittle().forms.pieces[-1]
    assert {one.limit.kind for one in treble.bounds} == {"wood"}
    assert {one.place for one in treble.bounds} >= {"horn", "scoop"}
    margin = plan.design.margins.strain
    for form, plain in zip(brittle().forms.pieces, brittle().plain, strict=True):
        allowed = np.maximum(margin, plain.utilisation.max(axis=0))
        assert np.all(form.run.utilisation.max(axis=0) <= allowed + 1e-6)
        again = fresh(plan, form)
        assert off_the_mould(again).max() == pytest.approx(form.left_m, abs=0.05e-3)
    assert treble.left_m > 0.2e-3
    told = "\n".join(plan.tooling.warnings)
    assert "wood: 85% of what it bears stops it at the horn" in told
    assert "thin the side there" in told


def test_the_virtual_bend_s_own_strain_is_held_too() -> None:
    wren = model("wren")
    # A wood that bears so little that its bend check would still let it pass at a margin of 1.
    tight = replace(wren, margins=replace(wren.margins, strain=0.33))
    for form, plain in zip(form_design(tight).forms.pieces, formed("wren").plain, strict=True):
        allowed = np.maximum(0.33, plain.utilisation.max(axis=0))
        assert np.all(form.run.utilisation.max(axis=0) <= allowed + 2e-3)
        assert any(one.limit.kind == "wood" for one in form.bounds)


def with_layers(design: Design, change: Callable[[int, object], object]) -> Design:
    layers = tuple(change(i, layer) for i, layer in enumerate(design.equipment.layers))
    return replace(design, equipment=replace(design.equipment, layers=layers))


def test_a_thick_slat_stops_the_form_where_it_would_take_a_set() -> None:
    thick = with_layers(
        model("wren"), lambda i, one: replace(one, thickness_m=0.0012) if i == 0 else one
    )
    done = form_design(thick)
    for form in done.forms.pieces:
        assert {one.limit.kind for one in form.bounds} == {"slat"}
        assert "lower bout" in {one.place for one in form.bounds}
        assert off_the_mould(fresh(done.plan, form)).max() == pytest.approx(form.left_m, abs=5e-5)
    assert "use a thinner slat" in form_text(done)


def test_a_binding_is_spared_too() -> None:
    plover = model("plover")
    (binding, *others) = plover.strips
    # So thick that the scoop is about all it bears.
    thick = replace(plover, strips=(replace(binding, thickness_m=0.0037), *others))
    form = form_design(thick).forms.pieces[-1]
    assert "strip" in {one.limit.kind for one in form.bounds}
    drawn, bent = form.job.layers()[0], form.layers()[0]
    margin = plover.margins.strain
    # Bounded by the bend check, told by the virtual bend: they are some per cent apart.
    assert drawn.utilisation <= bent.utilisation < max(margin, drawn.utilisation) + 0.04


def test_a_stiff_blanket_stops_it_too() -> None:
    wren = model("wren")
    blanket = replace(wren.equipment.blanket, least_radius_m=0.085)
    done = form_design(replace(wren, equipment=replace(wren.equipment, blanket=blanket)))
    kinds = {one.limit.kind for form in done.forms.pieces for one in form.bounds}
    assert "blanket" in kinds


def test_no_bound_is_passed_and_what_is_past_it_as_drawn_stays() -> None:
    form = formed("wren").forms.pieces[-1]
    piece, design = form.job.piece, form.job.design
    job = Job.of(piece.rim, SideSize(thickness_m=THICK, width_m=0.1), design)
    limits = limits_of(job, piece, DEFAULT, form.job.capacity, 0.85)
    outer = piece.rim.at(piece.s).curvature
    drawn = outer / (1.0 - piece.thickness * outer)
    assert np.all(limits.low <= drawn + 1e-9)
    assert np.all(limits.high >= drawn - 1e-9)
    assert np.all(form.inside_curvature <= limits.high + 1e-9)


def test_the_nose_of_a_form_keeps_a_radius_a_tool_can_cut() -> None:
    wren = model("wren")
    # Wrap so thick that the form's nose at the horn is nearly the sharpest.
    inside = 0.022 - 0.0022 - LEAST_TOOL_M - 0.0001
    padded = with_layers(
        wren,
        lambda i, one: (
            replace(one, kind="wrap", material="paper", temper="", thickness_m=inside)
            if i == 0
            else replace(one, thickness_m=1e-6)
            if one.kind == "wrap"
            else one
        ),
    )
    form = formed("wren").forms.pieces[-1]
    rim = form.job.piece.rim
    job = Job.of(rim, SideSize(thickness_m=0.0022, width_m=0.1), replace(
        padded, sides=replace(padded.sides, finished_thickness_m=None)
    ))  # fmt: skip
    limits = limits_of(job, form.job.piece, DEFAULT, None, 0.85)
    horn = int(np.argmax(form.job.piece.curvature))
    assert limits.told[limits.high_by[horn]].kind == "form"
    outer = limits.high[horn] / (1.0 + form.job.piece.thickness[horn] * limits.high[horn])
    assert 1.0 / outer - job.form_distance_m == pytest.approx(LEAST_TOOL_M, abs=2e-4)


def test_a_recipe_without_rest_is_overbent_further() -> None:
    curlew = model("curlew")
    hasty = form_design(replace(curlew, heating=replace(curlew.heating, rest_s=0.0)))
    for form, rested in zip(hasty.forms.pieces, formed("curlew").forms.pieces, strict=True):
        assert form.left_m < 0.2e-3
        for quick, slow in zip(form.overbends, rested.overbends, strict=True):
            assert quick.radius_m.middle < slow.radius_m.middle


def test_a_form_that_is_the_outline_is_the_outline() -> None:
    piece = formed("plover").forms.pieces[0].job.piece
    outer = piece.rim.at(piece.s).curvature
    inside = outer / (1.0 - piece.thickness * outer)
    rim, at = compensated_rim(
        piece.rim, piece.s, thickness_m=piece.thickness, inside_curvature=inside
    )
    assert rim is piece.rim
    assert np.array_equal(at, piece.s)


def test_bend_on_a_compensated_design_uses_its_form() -> None:
    bent = bend_design(replace(model("curlew"), form="compensated"))
    assert off_the_mould(bent.runs[0]).max() < 0.2e-3


def test_the_design_file_asks_for_it(tmp_path: Path) -> None:
    text = (TERN_LANE / "curlew.rim.toml").read_text(encoding="utf-8")
    path = tmp_path / "curlew.rim.toml"
    path.write_text(text + '\n[tooling]\nform = "compensated"\n', encoding="utf-8")
    assert load_design(path).form == "compensated"
    assert model("curlew").form == "as drawn"
    plan = make_plan(load_design(path))
    assert plan.compensation is not None
    assert plan.tooling.part("form-bass").title.endswith("compensated")
    assert make_plan(model("curlew")).compensation is None


@pytest.mark.parametrize("name", MODELS)
def test_words_and_data_say_the_same(name: str) -> None:
    done = formed(name)
    text, document = form_text(done), form_document(done)
    json.dumps(document, allow_nan=False)
    assert done.plan.code in text
    for piece in document["pieces"]:
        assert len(piece["left"]) == len(piece["left_by_form_as_drawn"])
        for one in piece["overbend"]:
            assert one["name"] in text
            assert one["form_radius_m"]["low"] <= one["form_radius_m"]["high"]
    assert ("A bound acts" in text) == any(piece["bounds"] for piece in document["pieces"])


def test_the_folder_holds_parts_plots_and_data(tmp_path: Path) -> None:
    done = formed("plover")
    write_form(done, tmp_path / "forms")
    names = {str(path.relative_to(tmp_path / "forms")) for path in tmp_path.rglob("*.*")}
    assert {"form.json", "form.pdf", "form-a4.pdf", "form-released-treble-return.png"} <= names
    assert {"dxf/form-bass.dxf", "svg/ram-waist-bass.svg"} <= names
    assert not any("mould" in name for name in names)
    drawing = ezdxf.readfile(tmp_path / "forms" / "dxf" / "form-bass.dxf")
    assert not drawing.audit().errors
    words = " ".join(text.dxf.text for text in drawing.modelspace().query("TEXT"))
    assert "compensated" in words


def test_the_command_answers_in_words_and_json() -> None:
    file = str(TERN_LANE / "plover.rim.toml")
    told = CliRunner().invoke(app, ["form", file])
    assert told.exit_code == 0
    assert "Form's own radius" in told.stdout
    data = CliRunner().invoke(app, ["form", file, "--json"])
    assert json.loads(data.stdout)["format"] == "rimwright-form/1"
