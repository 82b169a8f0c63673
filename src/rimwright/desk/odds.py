"""The odds of a plan, in words, and of many models, woods and recipes at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Literal

from rimwright.bending.odds import odds_of
from rimwright.bending.odds_blocks import Mapper
from rimwright.bending.odds_case import OddsCase, Sweep, odds_case
from rimwright.bending.odds_results import Chance, Change, Odds
from rimwright.bending.parameters import DEFAULT, BendParameters
from rimwright.bending.schools import targets
from rimwright.desk.spreading import on_threads
from rimwright.desk.words import items, table
from rimwright.errors import DesignError
from rimwright.instrument.design import Design
from rimwright.plan import Plan, make_plan
from rimwright.units import length_text
from rimwright.wood.catalogue import find

#: What a plan's own odds cost: half a second.
QUICK = Sweep(samples=128, size=4, stations=64, steps=(120, 30, 4))


def odds_for_plan(
    plan: Plan,
    *,
    samples: int = QUICK.samples,
    parameters: BendParameters = DEFAULT,
    mapper: Mapper | None = None,
) -> Odds | None:
    """The odds of a plan and what to change, in half a second; None without a wood.

    Parameters
    ----------
    plan : Plan
    samples : int
        Sides bent in the computer.
    parameters : BendParameters, optional
        The same that the plan was made with.
    mapper : callable, optional
        Who computes; this machine's cores unless given.
    """
    if plan.design.sides.wood is None:
        return None
    case = case_of_plan(plan, replace(QUICK, samples=samples), parameters)
    mapper = mapper or on_threads()
    wood = find(plan.design.sides.wood, plan.design.own_woods).name
    return odds_of([(case, plan.outline, wood)], mapper=mapper, shares=False)[0]


def case_of_plan(plan: Plan, sweep: Sweep, parameters: BendParameters = DEFAULT) -> OddsCase:
    """A plan made ready for its odds.

    Raises
    ------
    DesignError
        If no wood is named.
    """
    design = plan.design
    if design.sides.wood is None:
        raise DesignError(
            "no wood named",
            "the wood of the sides",
            "name it: odds need what it bears",
        )
    _, _, target_c, _ = targets(design.heating)
    return odds_case(
        design,
        outline=plan.outline,
        sides=plan.sides,
        recipe=plan.recipe,
        rams=plan.tooling.rams,
        wood=find(design.sides.wood, design.own_woods),
        parameters=parameters,
        target_c=target_c,
        sweep=sweep,
    )


def sweep_odds(
    designs: Sequence[Design],
    sweep: Sweep,
    *,
    mapper: Mapper,
    parameters: BendParameters = DEFAULT,
) -> tuple[Odds, ...]:
    """Plan every design and compute all their odds in one go.

    Raises
    ------
    RimwrightError
        Whatever planning refuses; a design without a wood among it.
    """
    cases = []
    for design in designs:
        plan = make_plan(design, parameters)
        case = case_of_plan(plan, sweep, parameters)
        wood = find(design.sides.wood or "", design.own_woods).name
        cases.append((case, plan.outline, wood))
    return odds_of(cases, mapper=mapper)


def varied(
    designs: Sequence[Design], woods: Sequence[str], schools: Sequence[str]
) -> tuple[Design, ...]:
    """Every design in every wood and by every school of heat; none named: as each says."""
    found = []
    for design in designs:
        for wood in woods or (design.sides.wood,):
            for school in schools or (design.heating.school,):
                heating = design.heating
                if school != heating.school:
                    heating = replace(heating, school=school, early_alarm_c=None, target_c=None)
                found.append(
                    replace(design, sides=replace(design.sides, wood=wood), heating=heating)
                )
    return tuple(found)


def chance_text(chance: Chance) -> str:
    """A chance in words.

    Examples
    --------
    >>> chance_text(Chance(middle=0.07, confidence_low=0.06, confidence_high=0.08,
    ...                    low=0.03, high=0.12))
    '7 in 100 (3 to 12)'
    """
    return f"{_hundred(chance.middle)} (" + f"{_bare(chance.low)} to {_bare(chance.high)})"


def _bare(share: float) -> str:
    return "under 1" if 0.0 < share < 0.01 else f"{100.0 * share:.0f}"


def _hundred(share: float) -> str:
    return "less than 1 in 100" if share < 0.005 else f"{100.0 * share:.0f} in 100"


def change_text(odds: Odds, change: Change) -> str:
    """What one change does, in words."""
    return f"{change.words}: {_hundred(change.chance)} instead of {_hundred(_as_it_is(change))}"


def _as_it_is(change: Change) -> float:
    return change.chance - change.effect


def odds_line(odds: Odds) -> str:
    """The odds and the one change that helps most, in a line for the plan's summary."""
    line = f"Odds: chance of a crack {chance_text(odds.chance)}."
    best = odds.best
    if best is not None and odds.chance.middle >= 0.005:
        line += f" What helps most, {change_text(odds, best)}."
    return line


def odds_text(odds: Odds, show: Literal["metric", "inch"]) -> str:
    """All of it for the terminal."""
    lines = [
        f"{odds.name} in {odds.wood}: chance of a crack {chance_text(odds.chance)}",
        f"  from {odds.samples} sides bent in the computer; {odds.counted.cracked} of them cracked."
        " The range is what is not known of the wood; the middle itself is sure to "
        f"{100 * odds.chance.confidence_low:.1f} to {100 * odds.chance.confidence_high:.1f}.",
        "",
        "Where",
    ]
    for piece in odds.pieces:
        name = f"{piece.hand} {'return' if piece.piece == 'return' else 'side'}"
        where = "; ".join(f"{one.words} ({100 * one.share:.0f} %)" for one in piece.places)
        lines += items([f"{name}: {chance_text(piece.chance)}" + (f", {where}" if where else "")])
    lines += ["", "How far it springs open off the mould, nine in ten between least and most"]
    rows = [("Place", "least, 1 in 20", "middle", "most, 1 in 20")]
    rows += [
        (
            f"{piece.hand} {place.name}",
            length_text(place.low_m, show),
            length_text(place.middle_m, show),
            length_text(place.high_m, show),
        )
        for piece in odds.pieces
        for place in piece.springback
    ]
    lines += [*table(rows), ""]
    if odds.shares:
        lines += ["What matters most, of all that varies"]
        told = [("Input", "by itself", "with others", "95 % sure")]
        told += [
            (
                one.words,
                f"{100 * max(one.first, 0.0):.0f} %",
                f"{100 * one.total:.0f} %",
                f"{100 * max(one.total_low, 0.0):.0f} to {100 * one.total_high:.0f} %",
            )
            for one in odds.shares
        ]
        lines += [*table(told), ""]
    if odds.changes:
        lines += ["What to change, one thing at a time, what helps most first"]
        rows = [("Change", "chance of a crack", "less or more", "range")]
        rows += [
            (
                one.words,
                _hundred(one.chance),
                f"{100 * one.effect:+.1f}",
                f"{100 * one.low:+.1f} to {100 * one.high:+.1f}",
            )
            for one in odds.changes
        ]
        lines += table(rows)
    return "\n".join(lines)
