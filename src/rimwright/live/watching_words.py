"""The words of the alarms' causes: what is seen, in the maker's degrees."""

from __future__ import annotations

from typing import Literal

from rimwright.live.watching_doubt import Trouble
from rimwright.units import temperature_text, time_text

Show = Literal["metric", "inch"]
NOT_RECORDING = "what happens now is kept in memory only"
LEFT_ALONE = "the heat is on and nobody has tapped for {time}"
JUMPING = "the {place} probe jumps as no slat can: look at plug and wire"
NEVER_HEARD = "the heat is on and no probe has told a temperature"


def steps_text(kelvin: float, show: Show) -> str:
    """A difference of temperatures in the maker's degrees.

    Examples
    --------
    >>> steps_text(5.0, "inch"), steps_text(1.24, "metric")
    ('9 °F', '1.2 °C')
    """
    number, unit = (1.8 * kelvin, "°F") if show == "inch" else (kelvin, "°C")
    return f"{number:.{0 if abs(number) >= 2.95 else 1}f} {unit}"


def over_limit(place: str, celsius: float, limit_c: float, show: Show) -> str:
    """At or over it."""
    return (
        f"{temperature_text(celsius, show)} at the {place}, "
        f"over the limit of {temperature_text(limit_c, show)}"
    )


def near_limit(place: str, celsius: float, limit_c: float, show: Show) -> str:
    """Not yet far enough below it."""
    return (
        f"{temperature_text(celsius, show)} at the {place}, "
        f"just below the limit of {temperature_text(limit_c, show)}"
    )


def soon_at_limit(
    place: str, celsius: float, limit_c: float, show: Show, *, rate_k_s: float, to_limit_s: float
) -> str:
    """Not there yet, but soon."""
    return (
        f"{temperature_text(celsius, show)} at the {place}, rising {steps_text(rate_k_s, show)} "
        f"a second: at the limit of {temperature_text(limit_c, show)} in {to_limit_s:.0f} s"
    )


def last_hot(place: str, celsius: float, show: Show) -> str:
    """It was too hot when it fell silent."""
    return f"{temperature_text(celsius, show)} at the {place} when it was last heard"


def no_reading(place: str, seconds: float, why: str) -> str:
    """A probe that had been heard is not."""
    return f"nothing from the {place} for {time_text(seconds)}: {why}"


def trouble_words(trouble: Trouble, place: str, celsius: float, target_c: float, show: Show) -> str:
    """What the shortfall means."""
    now = f"{temperature_text(celsius, show)} at the {place}"
    if trouble == "not rising":
        return f"{now} and not rising although the heat is on: look at the probe, then the blanket"
    return (
        f"{now}, fallen {steps_text(target_c - celsius, show)} below the target of "
        f"{temperature_text(target_c, show)} although the heat is on"
    )
