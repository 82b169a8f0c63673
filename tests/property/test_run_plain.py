"""A run's plan through JSON and back, to the last bit."""

import json
from typing import Any

import hypothesis.strategies as st
import pytest
from hypothesis import given, settings

from counts import times
from rimwright.errors import RunError
from rimwright.live.plain import from_plain, to_plain
from rimwright.live.run_plan import Predicted, ProbePlace, Question, Ranged, RunPlan, RunStep
from running import short_plan

NUMBERS = st.floats(allow_nan=False, allow_infinity=False)
TEXT = st.text(max_size=30)
PLAIN = st.recursive(
    st.none() | st.booleans() | st.integers() | NUMBERS | TEXT,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(TEXT, inner, max_size=3),
    max_leaves=8,
)
RANGED = st.builds(Ranged, middle=NUMBERS, low=NUMBERS, high=NUMBERS)
CURVE = st.lists(NUMBERS, max_size=5).map(tuple)
PREDICTED = st.builds(
    Predicted, to_early_alarm_s=RANGED, to_target_s=RANGED, hold_fraction=RANGED, time_s=CURVE,
    probe_c=CURVE, probe_low_c=CURVE, probe_high_c=CURVE, utilisation=st.none() | NUMBERS,
    crack_chance=st.none() | RANGED,
)  # fmt: skip
STEP = st.builds(
    RunStep, key=TEXT, title=TEXT, do=TEXT, watch=TEXT, why=TEXT,
    cautions=st.lists(TEXT, max_size=3).map(tuple), target_c=st.none() | NUMBERS,
    usual_s=st.none() | NUMBERS, overdue_s=st.none() | NUMBERS, wait_s=st.none() | NUMBERS,
    phase=st.sampled_from(("cold", "hot", "after")),
)  # fmt: skip
QUESTION = st.builds(
    Question, key=TEXT, words=TEXT, blocking=st.booleans(),
    expected_kind=st.sampled_from(("", "form", "side")),
)  # fmt: skip
PROBE = st.builds(ProbePlace, name=TEXT, place=TEXT, kind=TEXT)


def several(one: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    return st.lists(one, max_size=3).map(tuple)


PLANS = st.builds(
    RunPlan, model=TEXT, plan_code=TEXT, player=st.sampled_from(("right", "left")),
    show=st.sampled_from(("metric", "inch")), hand=st.sampled_from(("bass", "treble")),
    piece=st.sampled_from(("main", "return")), steps=several(STEP), questions=several(QUESTION),
    early_alarm_c=NUMBERS, target_c=NUMBERS, limit_c=NUMBERS,
    control=st.sampled_from(("dial", "thermostat", "controller")), predicted=PREDICTED,
    probes=several(PROBE), stack=several(TEXT), heat=st.dictionaries(TEXT, PLAIN, max_size=4),
    simulated=st.booleans(), blanket=TEXT, speed=NUMBERS,
)  # fmt: skip


@settings(max_examples=times(100), deadline=None)
@given(plan=PLANS)
def test_a_plan_comes_back_as_it_was(plan: RunPlan) -> None:
    text = json.dumps(to_plain(plan), allow_nan=False)
    again = from_plain(json.loads(text))
    assert again == plan
    assert json.dumps(to_plain(again), allow_nan=False) == text
    assert from_plain(to_plain(plan)) == plan, "without JSON between too"


def paths(value: Any, at: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """Every place in plain values, except within `heat`, which is anybody's."""
    inner = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(
        value, list) else ()  # fmt: skip
    found = []
    for key, one in inner:
        if (*at, key) != ("heat",):
            found += [(*at, key), *paths(one, (*at, key))]
    return found


PLACES = paths(to_plain(short_plan()))


@settings(max_examples=times(150), deadline=None)
@given(place=st.sampled_from(PLACES), value=PLAIN)
def test_a_spoiled_plan_is_read_or_refused_in_one_line(place: tuple[Any, ...], value: Any) -> None:
    plain = to_plain(short_plan())
    at: Any = plain
    for key in place[:-1]:
        at = at[key]
    at[place[-1]] = value
    try:
        plan = from_plain(plain)
    except RunError as refusal:
        said = str(refusal)
    else:
        said = "run plan, read"
        assert to_plain(plan) == plain
    assert said.startswith("run plan")
    assert "\n" not in said


def test_what_a_later_version_adds_is_passed_over_and_what_lacks_is_told() -> None:
    plain = to_plain(short_plan())
    plain["steps"][0]["picture"] = "wet.svg"
    plain["colour"] = "blue"
    assert from_plain(plain) == short_plan()
    del plain["predicted"]["to_target_s"]
    with pytest.raises(
        RunError, match=r"run plan, predicted: found no to_target_s; expected a run"
    ):
        from_plain(plain)
    with pytest.raises(RunError, match=r"run plan: found 7"):
        from_plain(7)  # type: ignore[arg-type]
