"""From a plan.json to what a run follows: the steps of one piece of side, from mist to a look."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Literal

from rimwright.bending.bench import BENDS
from rimwright.desk.plan_reading import Part, read_plan
from rimwright.desk.run_heats import (
    blanket_words,
    heat_of,
    layer_words,
    prediction,
    probe_place,
)
from rimwright.errors import RunError
from rimwright.live.questions import questions_for
from rimwright.live.run_plan import Predicted, ProbePlace, RunPlan, RunStep
from rimwright.units import length_text

__all__ = ["blanket_words", "pieces_of", "probe_place", "run_plan"]

#: A run begins with the water and ends with a look.
FIRST, LAST = "wet", "inspect"
_SIMULATED = frozenset({"model", "replay"})
_LONGEST_S = 30.0 * 86_400.0
#: A return piece has no waist and no tail: its recipe says the same of scoop and tip.
_OF_A_RETURN = (
    ("waist mark under the waist ram", "scoop mark under the scoop ram"),
    ("near the waist", "near the scoop"),
    ("waist marks of wood", "scoop marks of wood"),
    ("Clamp the tail end down", "Clamp the horn tip down"),
    ("Clamp the tail", "Clamp the tip"),
    ("Hold the tail down", "Hold the horn tip down"),
    ("Neck end first, then bouts, waist ram, tail last.", "Neck end first, scoop ram, tip last."),
)


def run_plan(
    document: Any,
    *,
    hand: Literal["bass", "treble"],
    piece: Literal["main", "return"] = "main",
    probes: Sequence[ProbePlace] = (),
    predicted: Predicted | None = None,
    blanket: str = "",
    first_use: bool = False,
) -> RunPlan:
    """What a run follows, from a plan's document.

    Parameters
    ----------
    document : dict
        What `plan.json` holds.
    hand, piece : str
        Which piece of side is bent.
    probes : sequence of ProbePlace
        One or several; the first leads. Left out: one where the plan says, kind "model".
    predicted : Predicted, optional
        What is expected, with its curve; left out, what the plan says without one.
    blanket : str, optional
        Which blanket, as the shop names it; left out, by its size and power.
    first_use : bool, default False
        Nobody has said yet in this shop that a cut-out is fitted and tested.

    Raises
    ------
    RunError
        If the document is no plan of this format, lacks what a run needs, or has no such
        piece of side.
    """
    plan = read_plan(document)
    side = _side(plan, hand, piece)
    design, recipe = plan.part("design"), plan.part("recipe")
    equipment = design.part("equipment")
    model = plan.text("name")
    player: Literal["right", "left"] = (
        "left" if plan.text("player", ("right", "left")) == "left" else "right"
    )
    show: Literal["metric", "inch"] = (
        "inch" if plan.text("show", ("metric", "inch")) == "inch" else "metric"
    )
    stack = tuple(layer_words(layer, show) for layer in equipment.parts("layers"))
    place = probe_place(document)
    probes = tuple(probes) or (ProbePlace(name="probe", place=place, kind="model"),)
    marks = [mark.text("name") for mark in side.parts("marks") if mark.truth("on_slats")]
    heat = heat_of(plan, side)
    control = equipment.part("blanket").text("control", ("dial", "thermostat", "controller"))
    return RunPlan(
        model=model,
        plan_code=plan.text("code"),
        player=player,
        show=show,
        hand=hand,
        piece=piece,
        steps=_steps(plan, side, hand, piece),
        questions=questions_for(
            model=model,
            hand=hand,
            piece=piece,
            player=player,
            mark=marks[0] if marks else "",
            tape=[_zone(zone, show) for zone in side.parts("zones")],
            strips=[strip.text("name") for strip in design.parts("strips")],
            stack=stack,
            probe=place,
            first_use=first_use,
        ),
        early_alarm_c=recipe.number("early_alarm_c", 30.0, 210.0),
        target_c=recipe.number("target_c", 30.0, 210.0),
        limit_c=recipe.number("limit_c", 40.0, 250.0),
        control=(
            "dial"
            if control == "dial"
            else "thermostat"
            if control == "thermostat"
            else "controller"
        ),
        predicted=prediction(plan, side, hand, piece) if predicted is None else predicted,
        probes=probes,
        stack=stack,
        heat=heat,
        simulated=any(probe.kind in _SIMULATED for probe in probes),
        blanket=blanket or blanket_words(document),
    )


def pieces_of(document: Any) -> tuple[tuple[str, str], ...]:
    """The pieces of side of a plan, hand and piece, as they stand in it.

    Raises
    ------
    RunError
        If it is no plan of this format.
    """
    return tuple(
        (side.text("hand"), side.text("piece")) for side in read_plan(document).parts("sides")
    )


def _side(plan: Part, hand: str, piece: str) -> Part:
    sides = list(plan.parts("sides"))
    for side in sides:
        if (side.text("hand"), side.text("piece")) == (hand, piece):
            return side
    there = ", ".join(f"{side.text('hand')} {side.text('piece')}" for side in sides)
    raise RunError(
        f"no {hand} {piece} in the plan of {plan.text('name')}", f"one of {there}",
        "choose the side in hand",
    )  # fmt: skip


def _zone(zone: Part, show: Literal["metric", "inch"]) -> str:
    how = "tape on the" if zone.text("kind", ("tape", "support")) == "tape" else "backing at the"
    ends = " to ".join(
        length_text(zone.number(key, -0.1, 5.0), show) for key in ("from_middle_m", "to_middle_m")
    )
    return f"{how} {zone.text('name')}, {zone.text('tension_face')} face, {ends}"


def _steps(plan: Part, side: Part, hand: str, piece: str) -> tuple[RunStep, ...]:
    """The recipe's steps of this piece, in order."""
    steps = list(plan.part("recipe").parts("steps"))
    keys = [step.text("key") for step in steps]
    if keys.count(FIRST) != 1 or keys.count(LAST) != 1 or len(set(keys)) < len(keys):
        raise RunError(
            "a recipe whose steps are not those of a bend",
            f"each step once, '{FIRST}' to '{LAST}' among them",
            "plan the design again, and begin from that plan",
        )
    wanted = steps[keys.index(FIRST) : keys.index(LAST) + 1]
    bends = {place.text("name") for place in side.parts("tight_places")}
    made = tuple(
        _step(step, plan.part("design").part("wetting"), piece)
        for step in wanted
        if _applies(step, f"{hand} {'return' if piece == 'return' else 'side'}", piece, bends)
    )
    order = {"cold": 0, "hot": 1, "after": 2}
    phases = [order[step.phase] for step in made]
    if phases != sorted(phases) or set(phases) != set(order.values()):
        raise RunError(
            "a recipe whose heat does not stand between cold steps and rest",
            "cold steps, then hot ones, then those after",
            "plan the design again, and begin from that plan",
        )
    return made


def _applies(step: Part, side: str, piece: str, bends: set[str]) -> bool:
    applies, feature = step.text("applies"), BENDS.get(step.text("key"), "")
    if applies != "both sides":
        return side in applies.split(", ")
    # "Both sides" are the long pieces; a return has only the bends that lie on it.
    return piece == "main" or not feature or feature in bends


def _step(step: Part, wetting: Part, piece: str) -> RunStep:
    key = step.text("key")
    duration = step.part("duration_s") if step.has("duration_s") else None
    usual_s = None if duration is None else duration.number("middle", 0.0, _LONGEST_S)
    bathed = wetting.text("method") in ("dip", "soak")
    waits = key in ("stand", "rest") or (key == "wet" and bathed)
    wait_s = usual_s if waits and usual_s else None
    overdue_s = None if duration is None else duration.number("high", 0.0, _LONGEST_S)
    if wait_s is not None and overdue_s is not None and overdue_s <= wait_s:
        overdue_s = None  # it is called when it is over, and that is enough
    phase = step.text("phase", ("cold", "hot", "after"))
    return RunStep(
        key=key,
        title=_of(piece, step.text("title")),
        do=_of(piece, step.text("do")),
        watch=_of(piece, step.text("watch")),
        why=step.text("why"),
        cautions=step.texts("cautions"),
        target_c=step.number_or_none("target_c", 30.0, 210.0),
        usual_s=usual_s,
        overdue_s=overdue_s,
        wait_s=wait_s,
        phase="cold" if phase == "cold" else "hot" if phase == "hot" else "after",
    )


def _of(piece: str, words: str) -> str:
    """The recipe's words for the piece in hand."""
    if piece == "return":
        for of_a_main, of_a_return in _OF_A_RETURN:
            words = words.replace(of_a_main, of_a_return)
    return words
