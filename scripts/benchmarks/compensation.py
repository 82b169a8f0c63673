"""Forms that allow for spring-back: how long a whole instrument takes, and how near it comes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from rimwright.bending.compensation import Compensation, bent_past, form_of
from rimwright.bending.compensation_forms import compensated_forms
from rimwright.bending.parameters import DEFAULT
from rimwright.instrument.design_files.load import load_design
from rimwright.plan import Plan, make_plan
from rimwright.tooling.bundle import SideSize
from rimwright.wood.catalogue import find
from scripts.benchmarks.timing import Figure, timed

TERN_LANE = Path("examples/tern-lane")


def figures() -> Iterator[Figure]:
    """Every side of the three models, from the plan as drawn to the line on the form."""
    for model in ("wren", "curlew", "plover"):
        design = load_design(TERN_LANE / f"{model}.rim.toml")
        plan = make_plan(design)
        yield timed(
            f"{model.capitalize()}: compensated forms of all sides, heat included, warm",
            lambda plan=plan: _forms(plan),
            limit_ms=1000,
        )
        forms = _forms(plan)
        free = [form for form in forms.pieces if not form.bounds]
        yield Figure(
            name=f"{model.capitalize()}: released side off the mould where no bound acts",
            value=1e6 * max(form.left_m for form in free),
            unit="µm",
            limit=200,
        )
        held = [form for form in forms.pieces if form.bounds]
        if held:
            yield Figure(
                name=f"{model.capitalize()}: the same where one does ({held[0].bounds[0].place})",
                value=1e3 * max(form.left_m for form in held),
                unit="mm",
            )
    job = forms.pieces[0].job
    yield timed("Plover: one side, curvature of its form by secants", lambda: bent_past(job))
    past = bent_past(job)
    yield timed("Plover: the same side's line and virtual bend with ranges", lambda: form_of(past))
    compensated = replace(design, form="compensated")
    yield timed("Plover: whole plan with compensated forms", lambda: make_plan(compensated))


def _forms(plan: Plan) -> Compensation:
    sizes = {
        (side.rim.hand, side.rim.name): SideSize(
            thickness_m=side.thickness_m,
            width_m=side.blank.stock_width_m,
            neck_end_m=side.neck_end_m,
        )
        for side in plan.sides
    }
    return compensated_forms(
        plan.design,
        outline=plan.outline,
        sides=plan.sides,
        sizes=sizes,
        recipe=plan.recipe,
        tooling=plan.tooling,
        wood=find(plan.design.sides.wood or "", plan.design.own_woods),
        parameters=DEFAULT,
    )
