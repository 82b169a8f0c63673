"""The heat run: books that close, what should be slower or softer, histories, what-ifs."""

from dataclasses import replace

import numpy as np
import pytest

from rimwright.bending.heat import heat_run
from rimwright.bending.heat_changes import what_ifs
from rimwright.bending.heat_inputs import W_M2_PER_W_IN2, HeatInputs, case_of
from rimwright.bending.heat_solve import solve
from rimwright.bending.heat_words import scorch_warnings
from rimwright.bending.wetting import wet_side
from rimwright.equipment.stack import Equipment, Layer
from rimwright.instrument.design import Wetting

DRY, SOAK = Wetting(method="dry"), Wetting(method="soak", duration_s=1200.0)


def inputs(power_w_in2=5.0, **changed):
    usual = Equipment()
    blanket = replace(usual.blanket, power_density_w_m2=power_w_in2 * W_M2_PER_W_IN2)
    changed.setdefault("equipment", replace(usual, blanket=blanket))
    return HeatInputs(thickness_m=changed.pop("thickness_m", 0.0021), gravity=0.7, **changed)


@pytest.fixture(scope="module")
def misted():
    return heat_run(inputs(rest_s=86_400.0))


HOT = {"target_c": 160.0, "early_alarm_c": 149.0}


@pytest.mark.parametrize(
    "changed",
    [
        {},
        {"wetting": SOAK, "rest_s": 86_400.0},
        dict(wetting=SOAK, **HOT),
        dict(wetting=DRY, **HOT),
        {"control": "thermostat"},
        {"control": "share", "share": 0.6},
        {
            "control": "schedule",
            "schedule": ((0.0, 1.0), (90.0, 0.3), (400.0, 0.0)),
            "bend_s": 900.0,
        },
        {"thickness_m": 0.0005},
        {"thickness_m": 0.012, "power_w_in2": 10.0},
    ],
)
def test_the_books_of_heat_close(changed):
    solved = solve(case_of(inputs(**changed)))
    # The promise is a thousandth; what is left is Newton's tolerance.
    assert abs(solved.imbalance) < 1e-5
    assert solved.heat_in_j_m2 > 0.0
    assert np.all(np.diff(solved.time_s) > 0.0)


@pytest.mark.parametrize(
    "changed", [dict(wetting=SOAK, **HOT), {"wetting": SOAK, "rest_s": 86_400.0}]
)
def test_water_that_leaves_is_the_steam_that_cost_heat(changed):
    case = case_of(inputs(**changed))
    solved = solve(case)
    gone = (solved.moisture[0] - solved.moisture[-1]) @ case.cells.width[
        case.cells.first : case.cells.last
    ]
    gone_kg_m2 = 1000.0 * case.gravity * float(gone)
    # Latent heat is 2.1 to 2.5 MJ/kg here, and what the water held goes with it: bound water
    # up to 6 kJ/(kg K) by the handbook's specific heat, over at most 140 K.
    assert 2.1e6 < solved.steam_j_m2 / gone_kg_m2 < 2.4e6 + 6e3 * 140.0


def test_moisture_stays_physical():
    for changed in (
        dict(wetting=SOAK, **HOT),
        {"wetting": DRY, "target_c": 190.0, "early_alarm_c": 180.0},
    ):
        solved = solve(case_of(inputs(power_w_in2=7.5, **changed)))
        assert solved.moisture.min() > -1e-4
        assert solved.moisture.max() < 1.0


@pytest.mark.parametrize(
    ("slower", "faster"),
    [
        ({"power_w_in2": 4.0}, {"power_w_in2": 7.5}),
        (dict(wetting=SOAK, **HOT), dict(wetting=DRY, **HOT)),
        ({"thickness_m": 0.003}, {"thickness_m": 0.0015}),
        ({"target_c": 120.0}, {"target_c": 105.0}),
    ],
)
def test_what_should_be_slower_is(slower, faster):
    assert solve(case_of(inputs(**slower))).target_s > solve(case_of(inputs(**faster))).target_s


def test_the_probe_lands_on_the_target_and_is_held_there(misted):
    at_target = misted.at(misted.to_target_s.middle, misted.probe_c)
    assert at_target == pytest.approx(110.0, abs=0.05)
    later = (misted.time_s > misted.to_target_s.middle + 60.0) & (misted.time_s <= misted.off_s)
    assert np.all(np.abs(misted.probe_c[later] - 110.0) < 1.0)


def test_a_thermostat_swings_about_what_a_steady_hand_holds(misted):
    run = heat_run(inputs(control="thermostat"))
    held = (run.time_s > run.to_target_s.middle + 30.0) & (run.time_s <= run.off_s)
    assert 1.0 < np.ptp(run.probe_c[held]) < 20.0
    assert run.hold_fraction.middle == pytest.approx(misted.hold_fraction.middle, abs=0.08)


def test_the_share_that_holds_does_hold(misted):
    share = misted.hold_fraction.middle
    solved = solve(case_of(inputs(control="share", share=share)))
    held = (solved.time_s > solved.target_s + 60.0) & (solved.time_s <= solved.off_s)
    assert np.all(np.abs(solved.probe_c[held] - 110.0) < 6.0)


def test_ranges_hold_their_middles(misted):
    for value in (
        misted.to_early_alarm_s, misted.to_target_s, misted.hold_fraction,
        misted.core_at_target_c, misted.softness_in_bend_k, misted.core_softness_in_bend_k,
    ):  # fmt: skip
        assert value.low < value.middle < value.high


def test_faces_and_core_are_in_order(misted):
    i = int(np.searchsorted(misted.time_s, misted.to_target_s.middle))
    assert misted.inside_face_c[i] < misted.core_c[i] < misted.outside_face_c[i] < misted.probe_c[i]


def test_the_history_is_what_the_bend_is_computed_from(misted):
    history = misted.history
    assert history.temperature_c.shape == (misted.time_s.size, 11)
    assert history.moisture.shape == history.temperature_c.shape
    assert history.time_s[-1] == pytest.approx(misted.off_s + 86_400.0)
    # By the end of the rest the side is at the room's warmth and has lost water.
    assert np.all(np.abs(history.temperature_c[-1] - 21.0) < 1.0)
    assert history.moisture[-1].mean() < history.moisture[0].mean()
    assert history.moisture.min() >= 0.0


def test_few_fibres_are_means_of_more_cells():
    few = heat_run(inputs(fibres=3))
    many = heat_run(inputs(fibres=12))
    at = few.to_target_s.middle
    coarse = [few.at(at, few.history.temperature_c[:, i]) for i in range(3)]
    fine = [many.at(at, many.history.temperature_c[:, i]) for i in range(12)]
    assert coarse == pytest.approx(np.array(fine).reshape(3, 4).mean(axis=1), abs=0.5)


def test_a_profile_is_taken_as_it_is():
    profile = wet_side(
        Wetting(), thickness_m=0.0021, specific_gravity=0.7, room_c=21.0, humidity=0.45, fibres=7
    )
    case = case_of(inputs(profile=profile))
    water = profile.moisture.mean() + 2.0 * profile.film_kg_m2 / (700.0 * 0.0021)
    assert case.moisture.mean() == pytest.approx(water)


def test_more_cells_change_little():
    coarse, fine = (heat_run(inputs(fibres=n)) for n in (11, 44))
    assert coarse.to_target_s.middle == pytest.approx(fine.to_target_s.middle, abs=1.5)
    difference = coarse.softness_in_bend_k.middle - fine.softness_in_bend_k.middle
    assert abs(difference) < 1.0


def test_a_drier_face_loses_its_softness_and_soft_seconds_say_so():
    run = heat_run(inputs(wetting=Wetting(method="dip"), **HOT))
    under = run.time_s <= run.off_s + 1e-6
    seconds = np.diff(run.time_s, prepend=0.0)[under]
    assert run.soft_for_s == pytest.approx(seconds @ (run.softness_k[under] >= 0.0))
    assert run.soft_for_s.max() > 60.0


def test_soft_since_is_when_the_core_last_was_firm():
    run = heat_run(inputs(power_w_in2=10.0, wetting=DRY, target_c=190.0, early_alarm_c=150.0))
    assert run.core_soft_since_s is not None
    core = run.softness_k[:, 5]
    after = (run.time_s >= run.core_soft_since_s) & (run.time_s <= run.off_s)
    assert np.all(core[after] >= 0.0)
    before = int(np.searchsorted(run.time_s, run.core_soft_since_s)) - 1
    assert core[before] < 0.0


def test_a_face_that_scorches_over_a_cold_core_is_told():
    time = np.linspace(0.0, 400.0, 401)
    hot, cool = np.full(401, 190.0), np.full(401, 120.0)
    (line,) = scorch_warnings(time, {"outside": hot, "inside": cool}, np.full(401, -12.0))
    # 190 °C is five above the temperature that scorches in 300 s: 212 s.
    assert "outside face begins to scorch 3 min 30 s" in line
    assert "12 °C short of softening" in line
    (line,) = scorch_warnings(time, {"outside": hot}, np.full(401, 3.0))
    assert "short of" not in line
    assert scorch_warnings(time, {"outside": cool}, np.full(401, -12.0)) == ()


def test_what_ifs_move_the_right_way():
    by = {one.change: one for one in what_ifs(inputs())}
    base = by["as it is"]
    assert by["a room 10 °C (18 °F) colder"].to_target_s > base.to_target_s
    assert by["a blanket of 75% of the power"].to_target_s > 1.2 * base.to_target_s
    assert by["a dipped side"].core_softness_in_bend_k > base.core_softness_in_bend_k
    assert by["layers that lie badly on each other"].core_at_target_c < base.core_at_target_c
    assert by["the probe at the wood's inside face"].core_at_target_c > 110.0


def test_a_change_that_never_gets_there_says_never():
    weak = next(one for one in what_ifs(inputs(2.4)) if "75%" in one.change)
    assert weak.to_target_s is None


def test_a_covered_stack_holds_with_less():
    usual = Equipment()
    cover = Layer(kind="cover", material="silicone", thickness_m=0.006)
    covered = replace(usual, layers=(*usual.layers, cover))
    bare, wrapped = (heat_run(inputs(equipment=one)) for one in (usual, covered))
    assert wrapped.hold_fraction.middle < bare.hold_fraction.middle


def test_the_same_inputs_give_the_same_bits():
    first, second = (solve(case_of(inputs(wetting=SOAK))) for _ in range(2))
    assert np.array_equal(first.probe_c, second.probe_c)
    assert np.array_equal(first.moisture, second.moisture)
