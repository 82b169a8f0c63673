"""The steps under heat: warm up, power back, the bends, the tail."""

from __future__ import annotations

from rimwright.bending import cautions
from rimwright.bending.bench import BENDS, Bench
from rimwright.bending.heat_words import softness_text
from rimwright.bending.results import Step
from rimwright.sources import Provenance, Sourced
from rimwright.units import time_text


def _seconds(middle: float, low: float, high: float) -> Sourced:
    return Sourced(middle=middle, low=low, high=high, provenance=Provenance.PRACTICE)


#: How long each bend takes. Common practice, no source: the whole move in four to five
#: minutes, the tight bends the slowest; how it divides is assumed.
_PACE = {
    "waist-nearly-home": _seconds(40, 20, 60),
    "horn": _seconds(60, 40, 120),
    "scoop": _seconds(60, 40, 120),
    "lower-bout": _seconds(40, 20, 60),
    "upper-bout": _seconds(40, 20, 60),
    "waist-home": _seconds(20, 10, 40),
    "tail": _seconds(20, 10, 40),
}
_TITLES = {
    "waist-nearly-home": "Waist, nearly home",
    "horn": "Horn",
    "scoop": "Scoop",
    "lower-bout": "Lower bout",
    "upper-bout": "Upper bout",
    "waist-home": "Waist, home",
    "tail": "Clamp the tail",
}
_DO = {
    "waist-nearly-home": "Bring the waist ram down slowly, a little and wait, until it stands "
    "{short} above home.",
    "horn": "Wrap the stack round the horn slowly with the hollow caul or strap, heat under it "
    "all the way, and hold.",
    "scoop": "Bring the scoop ram in slowly, a little and wait, until it is home.",
    "lower-bout": "Draw the stack down over the lower bout from the waist towards the tail and "
    "clamp.",
    "upper-bout": "Draw the stack down over the upper bout from the waist towards the neck (the "
    "horn, if it is already wrapped) and clamp.",
    "waist-home": "Bring the waist ram home.",
    "tail": "Clamp the tail end down on the form, tight against flare.",
}
_WHY = {
    "waist-nearly-home": "the waist fixes where everything else falls",
    "horn": "wrapped before the scoop, or the scoop pulls the horn flat",
    "scoop": "the tight concave bend breaks on its inside face when it is hurried",
    "lower-bout": "a bout pulled from the waist out cannot buckle",
    "upper-bout": "the same towards the neck",
    "waist-home": "the last of the waist takes the slack of the bouts",
    "tail": "a free tail springs out flat",
}
#: How far the waist ram stands off before the bouts are down (common practice, one teller). [m]
_WAIST_SHORT_M = 0.006


def hot_steps(bench: Bench, warnings: tuple[str, ...]) -> tuple[Step, ...]:
    """From plugging in to the last clamp, in the maker's order."""
    bends = tuple(_bend(bench, name) for name in bench.order())
    return (_warm(bench, warnings), _hold(bench), *bends)


def _warm(bench: Bench, warnings: tuple[str, ...]) -> Step:
    heat = bench.warm_up
    early = bench.temperature(bench.early_alarm_c)
    target = bench.temperature(bench.target_c)
    plain = (
        ""
        if len({half.cutaway for half in bench.outline.halves}) == 1
        else (" Bend the plain side first: should it break, a spare can still be paired.")
    )
    return Step(
        key="warm-up",
        title="Warm up",
        do=f"Full power. Early alarm at {early}, about {time_text(heat.to_early_alarm_s.middle)}; "
        f"target {target}, about {time_text(heat.to_target_s.middle)} "
        f"({time_text(heat.to_target_s.low)} to {time_text(heat.to_target_s.high)}).{plain}",
        target_c=bench.target_c,
        duration_s=heat.to_target_s,
        watch="steam, then less of it; a pause near 100 °C (212 °F) while water leaves is expected"
        + _wood_itself(bench),
        why=f"{bench.school.title}: {bench.school.why} ({bench.school.provenance})",
        cautions=(*warnings, *cautions.FIRE, *cautions.SILICONE),
        phase="hot",
    )


def _wood_itself(bench: Bench) -> str:
    core = bench.warm_up.core_at_target_c
    if core is None:
        return ""
    return (
        f"; at the target the middle of the wood is about {bench.temperature(core.middle)} "
        f"({bench.temperature(core.low)} to {bench.temperature(core.high)})"
    )


def _how_soft(bench: Bench) -> str:
    soft, show = bench.warm_up.softness_in_bend_k, bench.design.show
    if soft is None:
        return ""
    return (
        f"; held there the wood is about {softness_text(soft.middle, show)} while it is bent "
        f"({softness_text(soft.low, show)} to {softness_text(soft.high, show)})"
    )


def _hold(bench: Bench) -> Step:
    hold, target = bench.warm_up.hold_fraction, bench.temperature(bench.target_c)
    share = f"{hold.middle:.0%} of full power ({hold.low:.0%} to {hold.high:.0%})"
    do = {
        "dial": f"At the target turn the dial down to about {share}.",
        "thermostat": f"A thermostat has no half power: set it to {target} and leave it. It will "
        f"be on for about {share.replace(' of full power', ' of the time', 1)}.",
        "controller": f"Leave the controller at {target}. It should settle at about {share}.",
    }[bench.design.equipment.blanket.control]
    return Step(
        key="hold",
        title="Power back to hold",
        do=do,
        target_c=bench.target_c,
        watch="the probe: within 5 °C (9 °F) of the target; above that turn down further",
        why="full power past the target dries and scorches faster than it softens"
        + _how_soft(bench),
        phase="hot",
    )


def _bend(bench: Bench, name: str) -> Step:
    feature = BENDS[name]
    applies = bench.pieces_with(feature) if feature else ()
    mains = {f"{half.hand} side" for half in bench.outline.halves}
    where = "both sides" if not feature or mains <= set(applies) else ", ".join(applies)
    place = bench.tight(feature) if feature else None
    watch = "creaking, a lifted fibre, a flat spot: stop, wait, let the heat through"
    if place is not None:
        share = ""
        if place.utilisation is not None:
            share = f", {place.utilisation:.0%} of what the wood bears"
        watch = f"{place.words}{share}; {watch}"
    do = _DO[name].format(short=bench.length(_WAIST_SHORT_M))
    if name == "scoop" and bench.caul_makes_way:
        do = f"First the horn: strap over it, tight, then its caul off, to make room. {do}"
    return Step(
        key=name,
        title=_TITLES[name],
        do=do,
        target_c=bench.target_c,
        duration_s=_PACE[name],
        watch=watch,
        why=_WHY[name],
        cautions=(*cautions.PINCH, *cautions.HOT_SURFACES),
        phase="hot",
        applies=where,
    )
