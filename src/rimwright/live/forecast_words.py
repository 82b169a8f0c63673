"""The forecast in calm sentences. None of them is an alarm."""

from __future__ import annotations

from typing import Literal

from rimwright.live.run_plan import Ranged
from rimwright.units import temperature_text

PAUSE = "Water is leaving the wood: a pause here is expected. Leave the power as it is."
SLOW = (
    "Rising slower than it should: look whether the blanket lies flat and close, every clamp is "
    "shut, plug and dial are right, and the probe is in its place."
)
FAST = (
    "Rising faster than it should: look whether the probe is where the plan has it, layers lie "
    "close, the dial is right, and this is the blanket of the plan."
)
NEVER = "At this rate the probe does not reach the target: look at blanket, clamps, plug and dial."
EARLY_DAYS = "Too early to tell from the readings: these times are what was expected."
ASTRAY = (
    "The readings leave the forecast, as after a spray or with a probe out of its place: do not "
    "go by its times until they agree again."
)
AS_EXPECTED = "Rising within what was expected."
#: The maker's units.
Show = Literal["metric", "inch"]
#: A probe within this much of the target is as good as there. Assumed. [K]
CLOSE_K = 3.0
#: A turn of the dial below this is a little one; greater ones are told by the nearest of these.
_LITTLE = 0.17
_PARTS = {0.25: "a quarter", 0.33: "a third", 0.5: "a half"}


def settling(settles_c: Ranged, target_c: float, turn: float, show: Show, ahead_s: float) -> str:
    """Where the probe goes at this power, and how to turn the dial, if it is plain.

    Parameters
    ----------
    settles_c : Ranged
        Where it goes in `ahead_s`. [degC]
    target_c : float
        [degC]
    turn : float
        The power that holds over the power there is.

    Examples
    --------
    >>> print(settling(Ranged(middle=121, low=118, high=124), 110.0, 0.77, "metric", 180.0))
    At this power the probe goes to about 121 °C in 3 min, 11 °C over: turn down by a quarter.
    """
    off = settles_c.middle - target_c
    if abs(off) <= CLOSE_K:
        return f"At this power the probe stays within {_by(CLOSE_K, show)} of the target."
    going = (
        f"At this power the probe goes to about {temperature_text(settles_c.middle, show)} in "
        f"{ahead_s / 60.0:.0f} min, {_by(abs(off), show)} {'over' if off > 0.0 else 'under'}"
    )
    if not (settles_c.low > target_c or settles_c.high < target_c):
        return f"{going}, though it is too early to be sure."
    return f"{going}: turn {_turned(turn) if (turn < 1.0) == (off > 0.0) else _little(off)}."


def _turned(turn: float) -> str:
    if abs(turn - 1.0) < _LITTLE:
        return _little(1.0 - turn)
    nearest = min(_PARTS, key=lambda part: abs(part - abs(turn - 1.0)))
    return f"{'down' if turn < 1.0 else 'up'} by {_PARTS[nearest]}"


def _little(off: float) -> str:
    return "down a little more" if off > 0.0 else "up a little"


def _by(kelvin: float, show: Show) -> str:
    return f"{kelvin * 1.8:.0f} °F" if show == "inch" else f"{kelvin:.0f} °C"
