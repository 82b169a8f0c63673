"""The makers' schools of heat: how wet, how hot. A choice, not a rule.

Every figure here is common practice, no source, unless it says otherwise: the ranges come
from makers' own reports and from nobody's measurements of thin sides.
"""

from __future__ import annotations

from dataclasses import dataclass

from rimwright.errors import DesignError, UnknownNameError
from rimwright.instrument.design import Heating
from rimwright.sources import Source, register

register(
    Source("WH190_CH18", "Wood Handbook, FPL-GTR-190 (2010), chapter 18", "read"),
    Source(
        "BABRAUSKAS_2001",
        "Babrauskas, Ignition of wood: a review of the state of the art, Interflam 2001",
        "read",
    ),
)

#: A wood surface may begin to glow from 200 °C (Wood Handbook ch. 18) and ignites by long
#: heating at 250 °C (Babrauskas 2001): no target is accepted from here on. [degC]
HOTTEST_TARGET_C = 200.0
#: The hottest that makers report while bending, 350 °F; above it a target is warned of. [degC]
HOTTEST_REPORTED_C = 177.0
#: Where the live bend calls too hot, unless the maker says. Assumed. [degC]
LIMIT_C = 180.0
_LEAST_ABOVE_TARGET_K = 10.0


@dataclass(frozen=True, slots=True, kw_only=True)
class School:
    """One habit of heating, with its targets at the probe."""

    key: str
    title: str
    #: Call before the target, so that hands are ready. [degC]
    early_alarm_c: float
    #: Begin the bend here. [degC]
    target_c: float
    why: str
    provenance: str = "common practice, no source"


SCHOOLS: dict[str, School] = {
    school.key: school
    for school in (
        School(
            key="misted",
            title="misted, 230 °F",
            early_alarm_c=100.0,
            target_c=110.0,
            why="water softens the wood at a lower heat; less risk of scorch, more of cupping",
        ),
        School(
            key="nearly_dry",
            title="nearly dry, 300 °F",
            early_alarm_c=138.0,
            target_c=149.0,
            why="for figured or oily woods that water would swell or fold; heat softens instead",
        ),
        School(
            key="hot",
            title="wet paper and foil, 320 °F",
            early_alarm_c=149.0,
            target_c=160.0,
            why="steam held in by foil carries the heat; watch for scorch, work without a pause",
        ),
    )
}


def targets(heating: Heating) -> tuple[School, float, float, tuple[str, ...]]:
    """The chosen school, its early alarm and target (overridden or not), and warnings. [degC]

    Raises
    ------
    UnknownNameError
        If the school is not one of `SCHOOLS`.
    DesignError
        If the target is where wood scorches or burns, or below the early alarm.

    Examples
    --------
    >>> school, early, target, _ = targets(Heating())
    >>> early, target  # 212 and 230 °F
    (100.0, 110.0)
    """
    school = SCHOOLS.get(heating.school)
    if school is None:
        raise UnknownNameError(
            f"school '{heating.school}'",
            "one of " + ", ".join(SCHOOLS),
            "change `school` under [heating]",
            where="heating.school",
        )
    target = school.target_c if heating.target_c is None else heating.target_c
    early = school.early_alarm_c if heating.early_alarm_c is None else heating.early_alarm_c
    if heating.early_alarm_c is None and heating.target_c is not None:
        early = target - (school.target_c - school.early_alarm_c)
    if target >= HOTTEST_TARGET_C:
        raise DesignError(
            f"a target of {target:.0f} °C",
            f"below {HOTTEST_TARGET_C:.0f} °C, where wood begins to glow",
            "lower `target` under [heating]",
            where="heating.target",
        )
    if target < 60.0 or not early < target:
        raise DesignError(
            f"an early alarm at {early:.0f} °C and a target of {target:.0f} °C",
            "a target of 60 °C or more and an early alarm below it",
            "change `early_alarm` or `target` under [heating]",
            where="heating.target",
        )
    warnings: tuple[str, ...] = ()
    if target > HOTTEST_REPORTED_C:
        warnings = (
            f"a target of {target:.0f} °C is hotter than makers report (177 °C, 350 °F); "
            "expect scorch",
        )
    return school, early, target, warnings


def limit_c(heating: Heating, target_c: float) -> float:
    """Where the live bend calls "too hot". [degC]

    Raises
    ------
    DesignError
        If the maker's limit is too near the target, or where wood begins to glow.

    Notes
    -----
    180 °C is assumed: just above the hottest that makers report (177 °C).

    Examples
    --------
    >>> limit_c(Heating(), 110.0), limit_c(Heating(), 177.0)
    (180.0, 187.0)
    """
    if heating.limit_c is None:
        return max(LIMIT_C, target_c + _LEAST_ABOVE_TARGET_K)
    least, most = (value + _LEAST_ABOVE_TARGET_K for value in (target_c, HOTTEST_TARGET_C))
    if not least <= heating.limit_c <= most:
        raise DesignError(
            f"a limit of {heating.limit_c:.0f} °C",
            f"{least:.0f} °C (target and a little) to {most:.0f} °C",
            "change `limit` under [heating]",
            where="heating.limit",
        )
    return heating.limit_c
