"""The odds of the Tern Lane models: sense, sameness, and what they are computed from."""

from __future__ import annotations

import json
import pickle
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from rimwright.bending.heat_inputs import HeatInputs
from rimwright.bending.odds import odds_of, tasks_of
from rimwright.bending.odds_blocks import Outcome, Task, in_line, run_task
from rimwright.bending.odds_case import OddsCase, Sweep
from rimwright.bending.odds_changes import ways
from rimwright.bending.odds_heat import heat_grid, heat_nodes, side_histories
from rimwright.bending.odds_inputs import VARIES, block_draw, paired_draws
from rimwright.bending.odds_results import Odds
from rimwright.bending.virtual_many import conditions
from rimwright.desk.odds import case_of_plan, odds_for_plan, varied, with_odds
from rimwright.desk.odds_words import chance_text, odds_line, odds_text
from rimwright.desk.opening import open_design
from rimwright.desk.spreading import on_threads
from rimwright.document import dump
from rimwright.plan import Plan, make_plan
from rimwright.wood.catalogue import find

TERN_LANE = Path(__file__).resolve().parents[2] / "examples" / "tern-lane"
SMALL = Sweep(samples=64, size=4, stations=64, steps=(120, 24, 4))


@pytest.fixture(scope="module")
def wren() -> Plan:
    return make_plan(open_design(TERN_LANE / "wren.rim.toml"))


@pytest.fixture(scope="module")
def case(wren: Plan) -> OddsCase:
    return case_of_plan(wren, SMALL)


@pytest.fixture(scope="module")
def found(wren: Plan, case: OddsCase) -> Odds:
    return odds_of([(case, wren.outline, "Indian rosewood")])[0]


def test_the_cutaway_side_cracks_at_the_horn(found: Odds) -> None:
    bass, treble = found.pieces
    assert treble.chance.middle > 10.0 * bass.chance.middle
    assert treble.places[0].words.startswith("horn")
    assert treble.places[0].share > 0.8
    assert found.chance.low <= found.chance.middle <= found.chance.high
    assert found.chance.confidence_low < found.chance.middle < found.chance.confidence_high
    # Cracks counted one by one agree with the mean of chances within what counting allows.
    assert abs(found.counted.cracked / found.counted.of - found.chance.middle) < 0.12


def test_a_side_springs_open(found: Odds) -> None:
    for place in found.pieces[0].springback:
        assert 0.0 < place.low_m < place.middle_m < place.high_m


def test_thinner_helps_and_at_the_tight_bends_nearly_as_much(found: Odds) -> None:
    changes = {one.key: one for one in found.changes}
    thinner, alone = changes["thinner"], changes["thinner-at-tight-bends"]
    assert thinner.confidence_high < 0.0
    assert 0.6 * thinner.effect > alone.effect >= 1.2 * thinner.effect
    assert [one.effect for one in found.changes] == sorted(one.effect for one in found.changes)
    assert found.best is not None
    assert found.best.effect == min(one.effect for one in found.changes)


def test_a_change_alone_has_the_odds_of_a_design_with_it(wren: Plan, found: Odds) -> None:
    zones = tuple(
        replace(zone, thickness_m=zone.thickness_m - 0.127e-3) for zone in wren.design.sides.thinned
    )
    thickness = wren.sides[0].thickness_m - 0.127e-3
    sides = replace(wren.design.sides, thickness_m=thickness, thinned=zones)
    thinner = make_plan(replace(wren.design, sides=sides))
    fresh = odds_of([(case_of_plan(thinner, SMALL), thinner.outline, "")], shares=False)[0]
    told = next(one for one in found.changes if one.key == "thinner")
    # Their forms and heat-up differ a little, the draws do not.
    assert fresh.chance.middle == pytest.approx(told.chance, abs=0.012)


def test_capacity_matters_and_shares_add_up(found: Odds) -> None:
    shares = {one.name: one for one in found.shares}
    assert set(shares) == {*VARIES, "softening"}
    assert found.shares[0].total >= found.shares[-1].total
    assert {one.name for one in found.shares[:2]} == {"capacity", "softening"}
    assert sum(one.first for one in found.shares) < 1.3
    for one in found.shares:
        assert one.total_low <= one.total <= one.total_high
        assert one.total > -1e-12


def test_the_same_whoever_computes_it(wren: Plan, case: OddsCase, found: Odds) -> None:
    def backwards(cases: list[OddsCase], tasks: list[Task]) -> list[Outcome]:
        # A worker elsewhere has a copy, and another order.
        copies = pickle.loads(pickle.dumps(cases))
        done = {task: run_task(copies[task.case], task) for task in reversed(tasks)}
        return [done[task] for task in tasks]

    for mapper in (on_threads(1), on_threads(3), backwards):
        again = odds_of([(case, wren.outline, "Indian rosewood")], mapper=mapper)[0]
        assert dump(again.plain()) == dump(found.plain())


def test_another_seed_gives_another_answer(wren: Plan, case: OddsCase, found: Odds) -> None:
    other = odds_of([(replace(case, seed=2), wren.outline, "")], shares=False, changes=False)[0]
    assert other.chance.middle != found.chance.middle
    assert abs(other.chance.middle - found.chance.middle) < 0.15


def test_blocks_do_not_depend_on_each_other(case: OddsCase) -> None:
    tasks = tasks_of(0, case.blocks)
    assert len({(task.kind, task.block) for task in tasks}) == len(tasks)
    alone = run_task(case, Task(0, "sides", 5))
    among = list(in_line([case], tasks[:6]))[5]
    np.testing.assert_array_equal(alone.arrays["chance"], among.arrays["chance"])


def test_draws_are_fair() -> None:
    varies = np.concatenate([block_draw(1, block, 32, 16).varies for block in range(32)])
    assert np.abs(varies.mean(axis=0)).max() < 0.03
    assert np.abs(varies.std(axis=0) - 1.0).max() < 0.05
    draw = block_draw(1, 3, 32, 16)
    assert np.ptp(draw.unknown, axis=0).max() == 0.0
    one, other = paired_draws(1, 0, 512)
    swapped = one.with_column("curl", other)
    np.testing.assert_array_equal(swapped.of("curl"), other.of("curl"))
    np.testing.assert_array_equal(swapped.of("moisture"), one.of("moisture"))
    assert abs(float(np.corrcoef(one.of("curl"), other.of("curl"))[0, 1])) < 0.15


def test_heat_between_the_nodes_is_that_of_a_run_of_its_own() -> None:
    inputs = HeatInputs(thickness_m=0.0021, bend_s=560.0, fibres=11)
    time_s = np.linspace(0.0, 300.0, 61)
    grid = heat_grid(heat_nodes(inputs, 3.0, 90_000.0), time_s)
    between = grid.read(np.array([-1.6, 0.5, 1.7]), np.array([0.7, -1.1, 0.0]))
    for i, (water, heat) in enumerate(((-1.6, 0.7), (0.5, -1.1), (1.7, 0.0))):
        own = side_histories(inputs, water=water, shifts_k=(3.0 * heat,), until_s=90_000.0)[0]
        assert own is not None
        read = conditions([own], time_s, 11)
        assert np.abs(between.temperature_c[i] - read.temperature_c[0]).max() < 1.0
        assert np.abs(between.moisture[i] - read.moisture[0]).max() < 0.01


def test_changes_keep_to_what_can_be() -> None:
    wood = find("Indian rosewood")
    design = open_design(TERN_LANE / "wren.rim.toml")
    keys = {one.key for one in ways(design, target_c=110.0, wood=wood)}
    assert {"thinner", "wetter", "hotter", "slower", "school-nearly-dry"} <= keys
    assert "hotter" not in {one.key for one in ways(design, target_c=170.0, wood=wood)}
    thin = replace(design, sides=replace(design.sides, thickness_m=0.0014))
    assert "thinner" not in {one.key for one in ways(thin, target_c=110.0, wood=wood)}


def test_a_plan_has_its_odds_in_words_and_document(wren: Plan) -> None:
    odds = odds_for_plan(wren, samples=64)
    assert odds is not None
    assert odds_line(odds).startswith("Odds: chance of a crack ")
    assert odds.best is not None
    assert odds.best.words in odds_line(odds)
    plan = with_odds(wren, odds)
    assert plan.code == wren.code
    assert json.loads(dump(plan.document))["odds"]["chance"]["middle"] == pytest.approx(
        odds.chance.middle, abs=1e-9
    )


def test_no_wood_no_odds(wren: Plan) -> None:
    bare = replace(wren, design=replace(wren.design, sides=replace(wren.design.sides, wood=None)))
    assert odds_for_plan(bare) is None
    assert with_odds(bare, None) is bare


def test_models_by_woods_by_schools(wren: Plan) -> None:
    designs = varied([wren.design], ["koa", "sugar maple"], ["misted", "nearly dry"])
    assert [(one.sides.wood, one.heating.school) for one in designs] == [
        ("koa", "misted"),
        ("koa", "nearly_dry"),
        ("sugar maple", "misted"),
        ("sugar maple", "nearly_dry"),
    ]
    assert len({one.name for one in designs}) == 2


def test_words_for_the_terminal(found: Odds) -> None:
    text = odds_text(found, "metric")
    assert chance_text(found.chance) in text
    assert "What to change" in text
    assert all(change.words in text for change in found.changes)


def test_plots_are_drawn(found: Odds) -> None:
    from rimwright.sheets.odds_plots import changes_plot, utilisation_plot

    for plot in (utilisation_plot(found, "inch"), changes_plot(found)):
        assert plot.startswith(b"\x89PNG")
        assert len(plot) > 10_000
