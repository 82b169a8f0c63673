"""How hot wood may get, and for how long, before it darkens, glows or burns."""

from __future__ import annotations

import numpy as np

from rimwright.sources import Provenance, Source, Sourced, register
from rimwright.wood.validity import Numeric, within

register(
    Source("PRUDENT_2007", "Prudent practices for the design and installation of heat-producing "
           "devices near wood materials, Fire and Materials 31(2), 2007", "read in abstract"),
    Source("WH_FIRE", "Wood Handbook FPL-GTR-190 ch. 18", "read in a stored copy"),
)  # fmt: skip

#: Surface temperature from which wood may begin to glow (Wood Handbook ch. 18). [degC]
GLOW_C = Sourced(
    middle=200.0, low=200.0, high=200.0, provenance=Provenance.PUBLISHED, source="WH_FIRE"
)
#: Ignition by short heating; flames seen at 300 to 365 °C (Babrauskas 2001). [degC]
IGNITION_C = Sourced(
    middle=250.0,
    low=250.0,
    high=365.0,
    provenance=Provenance.PUBLISHED,
    source="PRUDENT_2007",
    note="high: piloted flaming, Babrauskas 2001, in abstract",
)
#: Where a thin side darkens within five minutes. [degC] A parameter: a shop may move it.
SCORCH_AT_5_MIN_C = Sourced(
    middle=185.0,
    low=170.0,
    high=200.0,
    provenance=Provenance.ASSUMED,
    note="nothing published for thin wood; makers work at 149 to 177 °C for minutes, and glow "
    "begins at 200",
)
#: What must be taken off it whenever the time doubles. [K]
SCORCH_PER_DOUBLING_K = Sourced(
    middle=10.0,
    low=7.0,
    high=15.0,
    provenance=Provenance.ASSUMED,
    note="a reaction that needs 80 to 170 kJ/mol near 180 °C, as the slow breakdown of wood",
)
_REFERENCE_S = 300.0


def scorch_temperature(
    duration_s: Numeric,
    at_5_min_c: Numeric = SCORCH_AT_5_MIN_C.middle,
    per_doubling_k: Numeric = SCORCH_PER_DOUBLING_K.middle,
) -> Numeric:
    r"""Temperature of the wood's surface at which it darkens in a given time.

    Parameters
    ----------
    duration_s : numeric
        How long the surface is that hot, 10 s to an hour. [s]
    at_5_min_c : numeric, default 185
        Where five minutes are enough; see `SCORCH_AT_5_MIN_C`. [degC]
    per_doubling_k : numeric, default 10
        See `SCORCH_PER_DOUBLING_K`. [K]

    Returns
    -------
    numeric
        Never above the ignition temperature, 250 °C. [degC]

    Raises
    ------
    OutsideValidityError
        For a time outside that range.

    Notes
    -----
    Ours, assumed: :math:`T = T_5 - k \log_2(t / 300\,\mathrm{s})`.

    Examples
    --------
    >>> [round(float(scorch_temperature(60.0 * minutes))) for minutes in (2, 5, 10)]
    [198, 185, 175]
    """
    seconds = within(duration_s, 10.0, 3600.0, name="time", unit="s", source="ours")
    hot = at_5_min_c - per_doubling_k * np.log2(seconds / _REFERENCE_S)
    return np.minimum(hot, IGNITION_C.middle)


def scorch_rate(
    temperature_c: Numeric,
    at_5_min_c: Numeric = SCORCH_AT_5_MIN_C.middle,
    per_doubling_k: Numeric = SCORCH_PER_DOUBLING_K.middle,
) -> Numeric:
    """Share of the way to scorch that a second at this temperature takes. [1/s]

    `scorch_temperature` turned round: held there, the wood darkens after one over this.

    Examples
    --------
    >>> round(1.0 / float(scorch_rate(185.0)))  # [s]
    300
    """
    rise = (np.asarray(temperature_c, dtype=np.float64) - at_5_min_c) / per_doubling_k
    return np.exp2(rise) / _REFERENCE_S
