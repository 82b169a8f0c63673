"""The sources of a run's probes: reached from outside, or the heat's own model."""

from __future__ import annotations

import zlib
from collections.abc import Callable, Iterable, Sequence

from rimwright.equipment.probe_kinds import ModelSettings
from rimwright.equipment.probes import ProbeSettings
from rimwright.live.probes.make import KeptSample, make_source
from rimwright.live.probes.source import Source
from rimwright.live.run_heat import MarkedHeat
from rimwright.live.run_plan import RunPlan


def sources_of(
    plan: RunPlan,
    settings: Sequence[ProbeSettings],
    *,
    at_s: float = 0.0,
    heat: MarkedHeat | None = None,
    recorded: Callable[[int], Iterable[KeptSample]] | None = None,
) -> tuple[Source, ...]:
    """One source for each probe, not yet started.

    Parameters
    ----------
    plan : RunPlan
        What the model must know of the stack.
    settings : sequence of ProbeSettings
        In the order of the plan's probes.
    at_s : float
        The run's time now. [s]
    heat : MarkedHeat, optional
        What the model went through before a restart.
    recorded : callable, optional
        Samples of a run of the journal, for a replay of one.

    Raises
    ------
    ProbeError
        If a recording cannot be read.
    """
    return tuple(
        _model(plan, number, at_s, heat)
        if isinstance(one.how, ModelSettings)
        else make_source(one, number, recorded, begun_ago_s=at_s)
        for number, one in enumerate(settings)
    )


def _model(plan: RunPlan, number: int, at_s: float, heat: MarkedHeat | None) -> Source:
    from rimwright.live.heat_of_run import heat_inputs
    from rimwright.live.probes.model import ModelSource
    from rimwright.live.probes.model_heat import ModelHeat

    # The same blanket is the same shop, in the next practice run and after a restart.
    seed = zlib.crc32(plan.blanket.encode())
    model = ModelHeat(heat_inputs(plan), seed, probe=number)
    if heat is not None and heat.begun_s is not None:
        for since_s, share in heat.schedule:
            model.power(heat.begun_s + since_s, share)
    return ModelSource(model, number, begun_ago_s=at_s)
