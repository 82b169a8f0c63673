"""A run to begin, and what the journal keeps of it before any heat."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from rimwright import __version__
from rimwright.bending.heat_parameters import DEFAULT_HEAT, HeatParameters
from rimwright.equipment.probes import ProbeSettings, plain_probe
from rimwright.live.plain import to_plain
from rimwright.live.run_plan import RunPlan

if TYPE_CHECKING:
    from rimwright.journal.runs import NewRun


@dataclass(frozen=True, kw_only=True)
class Begin:
    """A run to begin."""

    run_plan: RunPlan
    settings: tuple[ProbeSettings, ...]
    #: `plan.json` and the design file as they were.
    document: Mapping[str, Any] | None = None
    design_text: str | None = None
    side_id: int | None = None
    #: What is known of the blanket; the prediction was made with it.
    known: HeatParameters = field(default=DEFAULT_HEAT)
    device: str = ""


def kept_of(new: Begin, wall_s: float, bench: str) -> NewRun:
    """What the journal keeps as the run begins.

    Parameters
    ----------
    new : Begin
    wall_s : float
        Now. [s since 1970]
    bench : str
        Name of this computer.
    """
    from rimwright.journal.runs import NewRun

    plan = new.run_plan
    plain = to_plain(plan)
    return NewRun(
        model=plan.model,
        plan_code=plan.plan_code,
        hand=plan.hand,
        piece=plan.piece,
        simulated=plan.simulated,
        begun_wall_s=wall_s,
        run_plan=plain,
        plan_document=new.document,
        design_text=new.design_text,
        model_version=__version__,
        prediction=plain["predicted"],
        blanket=plan.blanket,
        probe_settings=[plain_probe(one) for one in new.settings],
        probes=plain["probes"],
        side_id=new.side_id,
        bench=bench,
    )


def bench_name() -> str:
    """Name of this computer, so that several benches of one journal take up their own runs."""
    import platform

    return platform.node()[:60]
