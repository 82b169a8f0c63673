"""The odds of a plan, in words, and of many models, woods and recipes at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any, Literal

from rimwright.bending.odds import odds_of
from rimwright.bending.odds_blocks import Mapper
from rimwright.bending.odds_case import OddsCase, Sweep, odds_case
from rimwright.bending.odds_pieces import STRETCH_STEPS
from rimwright.bending.odds_results import Odds
from rimwright.bending.parameters import DEFAULT, BendParameters
from rimwright.bending.schools import SCHOOLS, targets
from rimwright.desk.spreading import on_threads
from rimwright.document import document_with, dump
from rimwright.errors import DesignError, UnknownNameError
from rimwright.files import write_all
from rimwright.instrument.design import Design
from rimwright.plan import Plan, make_plan
from rimwright.wood.catalogue import find

FORMAT = "rimwright-odds/1"
#: What a plan's own odds cost: half a second.
QUICK = Sweep(samples=96, size=2, stations=64, steps=STRETCH_STEPS)


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


def with_odds(plan: Plan, odds: Odds | None) -> Plan:
    """The plan with its odds in its document."""
    if odds is None:
        return plan
    plain = odds.plain()
    # What a plan's quick odds do not ask for, or has already.
    for key in ("shares", "name"):
        del plain[key]
    return replace(plan, document=document_with(plan.document, "odds", plain))


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
            "the wood of the sides: odds need what it bears",
            "name it under [sides], or with `--wood`",
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
    """Every design in every wood and by every school of heat; none named: as each says.

    Raises
    ------
    UnknownNameError
        If there is no such school.
    """
    keys = [school.strip().lower().replace("-", "_").replace(" ", "_") for school in schools]
    for key in keys:
        if key not in SCHOOLS:
            raise UnknownNameError(
                f"school '{key}'", "one of " + ", ".join(SCHOOLS), "name one of these"
            )
    told = len(keys) > 1
    found = []
    for design in designs:
        for wood in woods or (design.sides.wood,):
            for school in keys or (design.heating.school,):
                heating = design.heating
                if school != heating.school:
                    heating = replace(heating, school=school, early_alarm_c=None, target_c=None)
                found.append(
                    replace(
                        design,
                        name=f"{design.name}, {SCHOOLS[school].title}" if told else design.name,
                        sides=replace(design.sides, wood=wood),
                        heating=heating,
                    )
                )
    return tuple(found)


def odds_document(found: Sequence[Odds]) -> dict[str, Any]:
    """What `odds.json` holds."""
    return {"format": FORMAT, "odds": [odds.plain() for odds in found]}


def write_odds(found: Sequence[Odds], folder: Path, show: Literal["metric", "inch"]) -> str:
    """Write `odds.json` and two plots of each; say what was written.

    Raises
    ------
    OutputError
        If the folder or a file cannot be written, or nothing draws the plots.
    """
    from rimwright.sheets.odds_plots import changes_plot, utilisation_plot

    # Drawn first, so that a refusal leaves nothing behind.
    files: dict[str, bytes | str] = {"odds.json": dump(odds_document(found))}
    for number, odds in enumerate(found, 1):
        which = f"-{number}" if len(found) > 1 else ""
        files[f"odds-along{which}.png"] = utilisation_plot(odds, show)
        files[f"odds-changes{which}.png"] = changes_plot(odds)
    write_all(folder, files.items())
    return f"Wrote {', '.join(files)} to {folder}."
