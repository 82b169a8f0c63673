"""Where heat and water soften wood: the one temperature that explains the makers' schools."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Literal

import numpy as np

from rimwright.sources import Provenance, Source, Sourced, register
from rimwright.wood.relations import FIBRE_SATURATION
from rimwright.wood.validity import Numeric, within

register(
    Source("GORING_1963", "Goring 1963, Pulp and Paper Magazine of Canada: powder collapse of "
           "spruce periodate lignin, moist", "memory; its dry value read in Goring 1965's "
           "abstract"),
    Source("HAMDAN_2000", "Hamdan et al. 2000, Softening characteristics of wet wood under quasi "
           "static loading, Holzforschung", "read in abstract"),
)  # fmt: skip


def _offset(low: float, middle: float, high: float, note: str) -> Sourced:
    return Sourced(
        middle=middle,
        low=low,
        high=high,
        provenance=Provenance.ASSUMED,
        source="HAMDAN_2000",
        note=note,
    )


#: How far wood itself softens from isolated lignin, by kind of wood. [K] A parameter: a
#: shop's own records may move it.
IN_SITU_OFFSET_K: Mapping[Literal["hardwood", "softwood"], Sourced] = MappingProxyType(
    {
        "hardwood": _offset(-30.0, -15.0, 0.0, "wet hardwood near 60 °C, lignin's curve at 88"),
        "softwood": _offset(-10.0, 0.0, 10.0, "wet softwood near 90 °C, as lignin's curve"),
    }
)


def softening_temperature(moisture: Numeric, offset_k: Numeric = 0.0) -> Numeric:
    r"""Temperature at which the matrix between the fibres goes soft.

    Parameters
    ----------
    moisture : numeric
        Mass of water over oven-dry mass, 0 to 3; above fibre saturation nothing changes,
        as only bound water softens. [fraction]
    offset_k : numeric, default 0
        What wood itself softens above (or, negative, below) isolated lignin; see
        `IN_SITU_OFFSET_K`. [K]

    Returns
    -------
    numeric
        [degC]

    Raises
    ------
    OutsideValidityError
        For a moisture below 0 or above 3.

    Notes
    -----
    Ours, drawn through the points of isolated lignin, 193 °C dry, 128 at 12.6 % and 90 at
    27.1 % (Goring; the moist points from memory), which it meets within 4 K:

    .. math:: T_g = 72 + 121\, e^{-M / 0.15} + \Delta

    Examples
    --------
    A misted side softens near 230 °F, a nearly dry one only near 300 °F.

    >>> [round(float(softening_temperature(m))) for m in (0.17, 0.05)]  # [°C]
    [111, 159]
    """
    water = within(moisture, 0.0, 3.0, name="moisture", source="saturated light wood at most")
    bound = np.minimum(water, FIBRE_SATURATION)
    return 72.0 + 121.0 * np.exp(-bound / 0.15) + offset_k
