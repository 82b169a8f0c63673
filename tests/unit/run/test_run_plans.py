"""What a run follows, from the plans of the Tern Lane shop."""

import copy
import json
from pathlib import Path
from typing import Any

import pytest

from rimwright.bending.schools import limit_c
from rimwright.desk.opening import open_design
from rimwright.desk.run_plans import blanket_words, pieces_of, probe_place, run_plan
from rimwright.errors import DesignError, RunError
from rimwright.instrument.design import Heating
from rimwright.live.heat_of_run import heat_inputs
from rimwright.live.label_codes import check_code, read_code
from rimwright.live.plain import from_plain, to_plain
from rimwright.live.run_plan import ProbePlace, RunPlan
from rimwright.plan import Plan, make_plan
from rimwright.sheets.labels import label_code, plan_labels

TERN_LANE = Path(__file__).parents[3] / "examples" / "tern-lane"
COLD = ["wet", "stand", "stack", "probe", "clamp"]
AFTER = ["unplug", "rest", "release", "inspect"]
BOUTS = ["lower-bout", "upper-bout", "waist-home"]


@pytest.fixture(scope="module")
def plans() -> dict[str, Plan]:
    return {
        name: make_plan(open_design(TERN_LANE / f"{name}.rim.toml"))
        for name in ("wren", "plover", "curlew")
    }


def of(plans: dict[str, Plan], name: str, hand: str, piece: str = "main", **more: Any) -> RunPlan:
    return run_plan(plans[name].document, hand=hand, piece=piece, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("name", "hand", "piece", "bends"),
    [
        ("wren", "bass", "main", ["waist-nearly-home", *BOUTS, "tail"]),
        ("wren", "treble", "main", ["waist-nearly-home", "horn", "scoop", *BOUTS, "tail"]),
        ("plover", "treble", "main", ["waist-nearly-home", *BOUTS, "tail"]),
        ("plover", "treble", "return", ["scoop", "tail"]),
        ("curlew", "bass", "main", ["waist-nearly-home", *BOUTS]),
    ],
)
def test_a_run_has_the_steps_of_its_own_piece(
    plans: dict[str, Plan], name: str, hand: str, piece: str, bends: list[str]
) -> None:
    run = of(plans, name, hand, piece)
    assert [step.key for step in run.steps] == [*COLD, "warm-up", "hold", *bends, *AFTER]
    recipe = {step["key"]: step for step in plans[name].document["recipe"]["steps"]}
    if piece == "main":
        for step in run.steps:
            told = recipe[step.key]
            assert (step.do, step.watch, step.why) == (told["do"], told["watch"], told["why"])
            assert list(step.cautions) == told["cautions"]
            assert step.target_c == told["target_c"]
    assert (run.hand, run.piece, run.plan_code) == (hand, piece, plans[name].code)


def test_pieces_are_those_of_the_plan(plans: dict[str, Plan]) -> None:
    assert pieces_of(plans["plover"].document) == (
        ("bass", "main"), ("treble", "main"), ("treble", "return"),
    )  # fmt: skip
    with pytest.raises(RunError, match=r"found no treble return in the plan of Wren; expected one "
                                       r"of bass main, treble main"):  # fmt: skip
        of(plans, "wren", "treble", "return")


def test_a_return_piece_has_neither_waist_nor_tail(plans: dict[str, Plan]) -> None:
    said = {
        step.key: f"{step.title} {step.do} {step.watch}"
        for step in of(plans, "plover", "treble", "return").steps
    }
    for key in ("stack", "probe", "clamp", "tail"):
        assert "waist" not in said[key].lower(), key
        assert "tail" not in said[key].lower(), key
    assert said["clamp"].count("scoop mark under the scoop ram") == 1
    assert "near the scoop" in said["probe"]
    assert "Clamp the horn tip down" in said["tail"]
    assert "Neck end first, scoop ram, tip last." in said["release"]


def test_waits_and_what_is_overdue(plans: dict[str, Plan]) -> None:
    steps = {step.key: step for step in of(plans, "plover", "bass").steps}
    waits = {key: step.wait_s for key, step in steps.items() if step.wait_s is not None}
    assert waits == {"wet": 60.0, "stand": 600.0, "rest": 86_400.0}
    overdue = {key: step.overdue_s for key, step in steps.items() if step.overdue_s is not None}
    assert overdue["stand"] == 1200.0
    assert overdue["rest"] == 2.0 * 86_400.0
    assert overdue["waist-home"] == 40.0
    assert "wet" not in overdue, "called when it is over, and that is enough"
    assert "hold" not in overdue
    document = changed(plans, "recipe/steps/7/duration_s", {"middle": 60, "low": 60, "high": 60})
    assert document["design"]["wetting"]["method"] == "mist"
    misted = next(step for step in run_plan(document, hand="bass").steps if step.key == "wet")
    assert (misted.usual_s, misted.wait_s) == (60.0, None), "mist needs no time of its own"


def test_targets_heat_and_what_was_expected(plans: dict[str, Plan]) -> None:
    run = of(plans, "curlew", "treble")
    recipe = plans["curlew"].recipe
    assert (run.early_alarm_c, run.target_c, run.limit_c) == (138.0, 149.0, 180.0)
    assert run.control == "dial"
    assert run.show == "inch"
    assert run.predicted.to_target_s.middle == pytest.approx(recipe.warm_up.to_target_s.middle)
    assert run.predicted.hold_fraction.high == pytest.approx(recipe.warm_up.hold_fraction.high)
    assert run.predicted.utilisation == pytest.approx(0.494, abs=0.01)
    inputs = heat_inputs(run)
    plan = plans["curlew"]
    assert inputs.thickness_m == pytest.approx(plan.sides[1].thickness_m)
    assert inputs.target_c == 149.0
    assert inputs.gravity == pytest.approx(recipe.gravity)
    assert inputs.kind == recipe.kind
    assert inputs.wetting == plan.design.wetting
    assert inputs.equipment.probe_above_layer == plan.design.equipment.probe_above_layer
    assert inputs.equipment.layers[0].thickness_m == pytest.approx(0.000254)
    assert inputs.equipment.blanket.power_density_w_m2 == pytest.approx(7750.0155)
    odds = {
        "pieces": [{"hand": "treble", "piece": "main",
                    "chance": {"middle": 0.2, "low": 0.1, "high": 0.3}}]
    }  # fmt: skip
    told = run_plan({**plan.document, "odds": odds}, hand="treble").predicted.crack_chance
    assert told is not None
    assert told.middle == 0.2
    assert run_plan({**plan.document, "odds": odds}, hand="bass").predicted.crack_chance is None


def test_words_in_the_makers_units(plans: dict[str, Plan]) -> None:
    metric, inch = of(plans, "wren", "treble"), of(plans, "curlew", "treble")
    assert metric.stack[0] == "spring steel slat 0.25 mm"
    assert inch.stack[0] == "spring steel slat 0.010″"
    assert ", ".join(metric.stack) in next(s.do for s in metric.steps if s.key == "stack")
    assert ", ".join(inch.stack) in next(s.do for s in inch.steps if s.key == "stack")
    assert metric.blanket == inch.blanket == "914 × 152 mm, 5.0 W/in²"
    assert probe_place(plans["wren"].document) == "between spring steel slat 0.25 mm and blanket"
    for name, plan in plans.items():
        place = probe_place(plan.document)
        step = next(s for s in of(plans, name, "bass").steps if s.key == "probe")
        assert place in step.do
        assert blanket_words(plan.document).endswith("5.0 W/in²")


def test_questions_are_those_of_the_piece(plans: dict[str, Plan]) -> None:
    def keys(*which: str) -> set[str]:
        return {question.key for question in of(plans, *which).questions}

    assert keys("wren", "treble") >= {"tape", "bundle"}
    assert "tape" not in keys("wren", "bass")
    assert not keys("curlew", "bass") & {"tape", "bundle"}
    tape = next(q.words for q in of(plans, "wren", "treble").questions if q.key == "tape")
    assert "tape on the horn, outside face" in tape.lower()
    assert "backing at the scoop, inside face" in tape


def test_probes_and_blanket_as_they_are_named(plans: dict[str, Plan]) -> None:
    run = of(plans, "wren", "bass")
    assert [one.kind for one in run.probes] == ["model"]
    assert run.simulated
    probe = ProbePlace(name="waist", place="at the waist", kind="serial")
    real = of(plans, "wren", "bass", probes=[probe], blanket="the red one")
    assert not real.simulated
    assert real.blanket == "the red one"
    assert of(plans, "wren", "bass", probes=[probe, *run.probes]).simulated


def test_printed_labels_are_answers_to_the_right_run_only(plans: dict[str, Plan]) -> None:
    runs = [
        of(plans, name, hand, piece)
        for name in plans
        for hand, piece in pieces_of(plans[name].document)
    ]
    right = 0
    for plan in plans.values():
        for label in plan_labels(plan):
            code = label_code(plan, label)
            assert read_code(code) is not None
            for run in runs:
                told = check_code(run, code, label.kind)
                fits = (run.plan_code, run.hand, run.piece) == (plan.code, label.hand, label.piece)
                assert (told is None) == fits, told
                right += fits
    assert right == 3 * len(runs), "form, side and slats of every piece"


def test_run_plans_come_back_from_the_journal(plans: dict[str, Plan]) -> None:
    for name, plan in plans.items():
        for hand, piece in pieces_of(plan.document):
            run = of(plans, name, hand, piece, first_use=True)
            assert from_plain(json.loads(json.dumps(to_plain(run)))) == run


def changed(plans: dict[str, Plan], path: str, value: Any) -> dict[str, Any]:
    document = copy.deepcopy(plans["wren"].document)
    at: Any = document
    *before, last = path.split("/")
    for key in before:
        at = at[int(key)] if isinstance(at, list) else at[key]
    if value is None:
        del at[last]
    else:
        at[last] = value
    return document


@pytest.mark.parametrize("document", [None, [], "plan", {}, {"format": "rimwright-plan/2"}, 3.0])
def test_other_formats_are_refused(document: Any) -> None:
    with pytest.raises(RunError, match=r"expected a plan of format 'rimwright-plan/1'; next: run"):
        run_plan(document, hand="bass")


@pytest.mark.parametrize(
    ("path", "value", "message"),
    [
        ("recipe/limit_c", None, r"plan.json, recipe.limit_c: found nothing; expected a number"),
        ("recipe/target_c", float("nan"), r"recipe.target_c: found nan"),
        ("recipe/target_c", 1e9, r"recipe.target_c: found 1000000000.0; expected a number from 30"),
        ("recipe/gravity", True, r"recipe.gravity: found True"),
        ("recipe/steps", {}, r"recipe.steps: found {}; expected a list"),
        ("recipe/steps", [7], r"recipe.steps\[0\]: found 7; expected a table"),
        ("recipe/steps", [], r"a recipe whose steps are not those of a bend"),
        ("recipe/steps/8/phase", "warm", r"steps\[8\].phase: found 'warm'; expected one of cold"),
        ("recipe/steps/8/phase", "hot", r"a recipe whose heat does not stand between"),
        ("recipe/steps/8/key", "wet", r"a recipe whose steps are not those of a bend"),
        ("recipe/steps/8/do", "x" * 5000, r"steps\[8\].do: found 'xxx"),
        ("recipe/steps/8/cautions", "none", r"steps\[8\].cautions: found 'none'"),
        ("recipe/warm_up", None, r"recipe.warm_up: found nothing; expected a table"),
        ("sides", None, r"plan.json, sides: found nothing"),
        ("sides/0/thickness_m", "2 mm", r"sides\[0\].thickness_m: found '2 mm'"),
        ("player", "both", r"plan.json, player: found 'both'; expected one of right, left"),
        ("design/equipment/layers/0/kind", "spring", r"layers\[0\].kind: found 'spring'"),
        ("design/equipment/layers/0/thickness_m", -1.0, r"thickness_m: found -1.0"),
        ("design/equipment/blanket/control", "app", r"blanket.control: found 'app'"),
        ("design/equipment/assumed", "no", r"equipment.assumed: found 'no'; expected true"),
        ("design/wetting/method", "steam", r"wetting.method: found 'steam'"),
    ],
)
def test_plans_that_lack_something_are_refused_in_one_line(
    plans: dict[str, Plan], path: str, value: Any, message: str
) -> None:
    with pytest.raises(RunError, match=message) as refused:
        run_plan(changed(plans, path, value), hand="bass")
    assert "\n" not in str(refused.value)


def test_what_a_later_plan_adds_is_passed_over(plans: dict[str, Plan]) -> None:
    document = changed(plans, "design/equipment/layers/0/colour", "blue")
    document["design"]["equipment"]["fan"] = {"on": True}
    document["recipe"]["steps"][9]["picture"] = "stack.svg"
    assert run_plan(document, hand="bass") == of(plans, "wren", "bass")


@pytest.mark.parametrize("limit", [119.0, 211.0])
def test_a_limit_lies_above_the_target_and_below_the_glow(limit: float) -> None:
    with pytest.raises(DesignError, match=f"a limit of {limit:.0f} °C; expected 120 °C"):
        limit_c(Heating(limit_c=limit), 110.0)


@pytest.mark.parametrize("limit", [120.0, 165.0, 210.0])
def test_a_makers_limit_is_taken(limit: float) -> None:
    assert limit_c(Heating(limit_c=limit), 110.0) == limit


def test_a_limit_in_the_design_file_reaches_the_run(tmp_path: Path) -> None:
    text = (TERN_LANE / "curlew.rim.toml").read_text(encoding="utf-8")
    assert "[heating]" in text
    file = tmp_path / "curlew.rim.toml"
    file.write_text(text.replace("[heating]", '[heating]\nlimit = "330 degF"'), encoding="utf-8")
    run = run_plan(make_plan(open_design(file)).document, hand="bass")
    assert run.limit_c == pytest.approx(165.6, abs=0.1)
