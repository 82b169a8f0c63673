"""Begin a run from a plan: which side, which probes, what is known of the blanket."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any, Literal

from rimwright.desk.run_plans import probe_place, run_plan
from rimwright.equipment.probes import ProbeSettings
from rimwright.live.bench import Begin, LiveBench
from rimwright.live.heat_of_run import heat_inputs, predicted
from rimwright.live.learning import known_of
from rimwright.live.run_plan import ProbePlace

if TYPE_CHECKING:
    from rimwright.journal.engine import Journal


def begin_run(
    bench: LiveBench,
    document: Mapping[str, Any],
    *,
    hand: Literal["bass", "treble"],
    piece: Literal["main", "return"] = "main",
    settings: Sequence[ProbeSettings],
    speed: float = 1.0,
    design_text: str | None = None,
    side_id: int | None = None,
    device: str = "",
) -> int:
    """Begin a run of one piece of side on a bench; its number.

    Parameters
    ----------
    bench : LiveBench
        Started.
    document : mapping
        What `plan.json` holds.
    hand, piece : str
        Which piece of side is bent.
    settings : sequence of ProbeSettings
        One or several; the first leads.
    speed : float, default 1
        Of time; other than 1 for a simulated probe only.
    design_text : str, optional
        The design file as it was.
    side_id : int, optional
        The side in the journal.
    device : str
        Who begins it.

    Raises
    ------
    RimwrightError
        If the plan, a probe or the journal refuses.
    """
    new = to_begin(bench.journal, document, hand=hand, piece=piece, settings=settings, speed=speed)
    return bench.begin(replace(new, design_text=design_text, side_id=side_id, device=device))


def to_begin(
    journal: Journal,
    document: Mapping[str, Any],
    *,
    hand: Literal["bass", "treble"],
    piece: Literal["main", "return"] = "main",
    settings: Sequence[ProbeSettings],
    speed: float = 1.0,
) -> Begin:
    """The run as it will be followed, with the prediction that is made before it begins.

    Raises
    ------
    RimwrightError
        If the plan refuses, or the blanket can never reach the target.
    """
    from rimwright.journal.first_use import cut_out_answered

    simulated = any(one.simulated for one in settings)
    where = probe_place(document)
    places = [
        ProbePlace(name=one.name, place=one.place if one.place != one.name else where,
                   kind=one.kind)
        for one in settings
    ]  # fmt: skip
    plan = run_plan(
        document,
        hand=hand,
        piece=piece,
        probes=places,
        first_use=not simulated and not cut_out_answered(journal),
    )
    known = known_of(journal, plan)
    expected = predicted(
        heat_inputs(plan, known),
        utilisation=plan.predicted.utilisation,
        crack_chance=plan.predicted.crack_chance,
    )
    return Begin(
        run_plan=replace(plan, predicted=expected, speed=speed),
        settings=tuple(settings),
        document=document,
        known=known,
    )
