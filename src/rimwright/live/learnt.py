"""What a run taught of its blanket, kept for the next run with the same one.

A fit is already a blend: it is tied to what was known before as if that were one more reading. So
the next run starts from this run's fit alone. Taken as it is, the range would shrink with every
run, until a blanket that ages, or another socket, could not be believed any more. It is therefore
widened by what may change from one run to the next (`CHANGES`), as independent doubts add: by
squares, in the logarithm. After many runs the range stands at somewhat more than one run's change
and what one run tells, and the last few runs weigh most. It never becomes wider than what was
assumed before any run.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from rimwright.bending.heat_fit import FITTED, HeatFit
from rimwright.bending.heat_parameters import DEFAULT_HEAT, HeatParameters
from rimwright.bending.heat_unsure import deviate_of
from rimwright.sources import Provenance, Sourced

#: From one run to the next nine in ten stay within this ratio. Assumed: mains within two per
#: cent of volts is four of power; clamps and covers change the losses; layers never lie alike.
CHANGES: Mapping[str, float] = {"power_share": 1.04, "loss_share": 1.12, "contact_m2_k_w": 1.6}
#: A fit that misses by more tells of something that the model does not have. Assumed. [K]
WORST_RMS_K = 2.0
#: Fewer gathered readings are less than a minute of heat.
LEAST_POINTS = 12
#: With more of the readings faulty than this, the rest is not believed either. Assumed.
MOST_FAULTY = 0.10
#: So far from what was assumed is not this blanket's nature but a fault. [standard deviations]
FARTHEST = 3.0


def learnt(
    fit: HeatFit, *, faulty_share: float = 0.0, slow: bool = False, fast: bool = False
) -> dict[str, Any]:
    """What of a run's fit is kept, as plain values.

    Parameters
    ----------
    fit : HeatFit
        Of the forecaster once the heat is off, or of `bending.heat_fit.fit_heat`.
    faulty_share : float
        Of all readings of the heat, how many were faults.
    slow, fast : bool
        Whether the forecast said at the end of the climb that the probe rose as it should not.

    Returns
    -------
    dict
        "kept", "words" (why, or why not), "values" (middle, low and high of each), "provenance",
        "rms_k" and "points".
    """
    values = {name: _plain(getattr(fit, name)) for name in FITTED}
    against = _against(fit, faulty_share, slow=slow, fast=fast)
    power = fit.power_share
    return {
        "kept": not against,
        "words": against
        or f"Learnt of this blanket: it gives {power.middle:.0%} of its plate "
        f"({power.low:.0%} to {power.high:.0%}). The next run starts from there.",
        "values": values,
        "provenance": str(Provenance.MEASURED),
        "rms_k": round(float(fit.rms_k), 4),
        "points": int(fit.points),
    }


def _against(fit: HeatFit, faulty_share: float, *, slow: bool, fast: bool) -> str:
    """Why it is not kept; "" where nothing speaks against it."""
    why = ""
    if fit.points < LEAST_POINTS:
        why = "too few readings under heat"
    elif faulty_share > MOST_FAULTY:
        why = f"{faulty_share:.0%} of the readings were faults of the probe"
    elif fit.rms_k > WORST_RMS_K:
        why = f"the curve is off every stack the model knows, by {fit.rms_k:.1f} °C"
    elif slow or fast:
        why = f"the probe rose {'slower' if slow else 'faster'} than it should"
    else:
        for name in FITTED:
            value: Sourced = getattr(DEFAULT_HEAT, name)
            if abs(deviate_of(value, getattr(fit, name).middle)) > FARTHEST:
                why = "its figures are far from any blanket's: a cause is likelier than a nature"
    return f"Nothing is learnt of the blanket from this run: {why}." if why else ""


def next_parameters(
    values: Mapping[str, Sequence[float]], assumed: HeatParameters = DEFAULT_HEAT
) -> HeatParameters:
    """What the next run starts from: the values of the newest fit that was kept, widened.

    Parameters
    ----------
    values : mapping
        Middle, low and high by name, as `learnt` gives them and the journal keeps them; what is
        missing stays as assumed.
    assumed : HeatParameters
        Before any run.

    Examples
    --------
    A range of 1 % each way comes back as one of some 4 %.

    >>> told = next_parameters({"power_share": (0.90, 0.891, 0.909)})
    >>> round(told.power_share.low, 3), round(told.power_share.high, 3)
    (0.864, 0.937)
    """
    made = {}
    for name in FITTED:
        if name not in values:
            continue
        middle, low, high = (float(one) for one in values[name])
        if not 0.0 < low <= middle <= high:
            continue
        before: Sourced = getattr(assumed, name)
        made[name] = Sourced(
            middle=middle,
            low=middle / _wider(middle / low, before.middle / before.low, CHANGES[name]),
            high=middle * _wider(high / middle, before.high / before.middle, CHANGES[name]),
            provenance=Provenance.MEASURED,
            note="from the last run with this blanket, widened by what changes between runs",
        )
    return replace(assumed, **made)


def _wider(ratio: float, assumed: float, change: float) -> float:
    both = math.hypot(math.log(ratio), math.log(change))
    return math.exp(min(both, math.log(assumed)))


def _plain(value: Sourced) -> list[float]:
    return [float(value.middle), float(value.low), float(value.high)]
