"""What a maker could change, one thing at a time."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from rimwright.bending.schools import HOTTEST_REPORTED_C, SCHOOLS
from rimwright.instrument.design import Design, Wetting
from rimwright.units import length_text, temperature_text
from rimwright.wood.species import Wood

#: 5 thou. [m]
THINNER_M = 0.127e-3
#: 20 °F. [K]
HOTTER_K = 100.0 / 9.0
#: Thinner than this no side is advised. [m]
_THINNEST_M = 1.3e-3
_SOAK_S = 1800.0
_STAND_S = 1800.0
#: Durations of the bends, over the recipe's.
_SLOWER = 2.0

Figure = Literal["plain", "some", "strong"] | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One way of doing the job."""

    #: Stays the same from odds to odds: "thinner", "hotter".
    key: str
    words: str
    wetting: Wetting
    #: At the probe. [degC]
    target_c: float
    #: Durations of the bends over the recipe's.
    pace: float = 1.0
    #: Taken off everywhere, or near the tight bends alone. [m]
    thinner_m: float = 0.0
    only_tight: bool = False
    figure: Figure = None
    grain_angle_rad: float | None = None


def ways(design: Design, *, target_c: float, wood: Wood) -> tuple[Way, ...]:
    """As it is, then every single change that this design allows.

    Thinner is not offered below 1.3 mm, hotter not above what makers report (177 °C).
    """
    sides = design.sides
    base = Way(
        key="as-it-is",
        words="as it is",
        wetting=design.wetting,
        target_c=target_c,
        figure=sides.figure,
        grain_angle_rad=sides.grain_angle_rad,
    )
    found = [base]
    if sides.thickness_m is None or sides.thickness_m - THINNER_M >= _THINNEST_M:
        less = f"5 thou ({length_text(THINNER_M, 'metric', fine=True)})"
        found += [
            replace(base, key="thinner", words=f"{less} thinner", thinner_m=THINNER_M),
            replace(
                base,
                key="thinner-at-tight-bends",
                words=f"{less} thinner at the tight bends alone",
                thinner_m=THINNER_M,
                only_tight=True,
            ),
        ]
    found += _wetter(base)
    if target_c + HOTTER_K <= HOTTEST_REPORTED_C:
        hot = temperature_text(target_c + HOTTER_K, design.show)
        found.append(
            replace(base, key="hotter", words=f"hotter, to {hot}", target_c=target_c + HOTTER_K)
        )
    found += _other_school(base, design)
    found.append(replace(base, key="slower", words="the bends at half the speed", pace=_SLOWER))
    if sides.figure not in {None, "plain"}:
        found.append(replace(base, key="plain-wood", words="a set without curl", figure="plain"))
    if sides.grain_angle_rad:
        found.append(
            replace(
                base, key="straight-grain", words="a set of straight grain", grain_angle_rad=0.0
            )
        )
    return tuple(found)


def _wetter(base: Way) -> list[Way]:
    """The next wetter way, and more time to sink in."""
    wetting = base.wetting
    found = []
    wetter = {
        "dry": ("misted", replace(wetting, method="mist", duration_s=0.0)),
        "mist": ("soaked for half an hour", replace(wetting, method="soak", duration_s=_SOAK_S)),
        "dip": ("soaked for half an hour", replace(wetting, method="soak", duration_s=_SOAK_S)),
        "soak": (
            "soaked twice as long",
            replace(wetting, duration_s=2.0 * max(wetting.duration_s, 900.0)),
        ),
    }[wetting.method]
    found.append(replace(base, key="wetter", words=wetter[0], wetting=wetter[1]))
    if wetting.method != "dry" and wetting.stand_s < _STAND_S:
        found.append(
            replace(
                base,
                key="stand-longer",
                words="left wrapped for half an hour before the heat",
                wetting=replace(wetting, stand_s=_STAND_S),
            )
        )
    return found


def _other_school(base: Way, design: Design) -> list[Way]:
    """The nearly dry school for who mists, the misted one for who bends nearly dry."""
    dry = design.wetting.method == "dry" or design.heating.school == "nearly_dry"
    key = "misted" if dry else "nearly_dry"
    school = SCHOOLS[key]
    if abs(school.target_c - base.target_c) < 1.0:
        return []
    method: Literal["mist", "dry"] = "mist" if dry else "dry"
    hot = temperature_text(school.target_c, design.show)
    words = f"{'misted' if dry else 'dry'}, at {hot}"
    wetting = replace(design.wetting, method=method, duration_s=0.0)
    return [
        replace(
            base,
            key=f"school-{key.replace('_', '-')}",
            words=words,
            wetting=wetting,
            target_c=school.target_c,
        )
    ]
