"""How much wood swells and shrinks with moisture."""

from __future__ import annotations

import numpy as np

from rimwright.sources import Source, register
from rimwright.wood.relations import FIBRE_SATURATION
from rimwright.wood.validity import Numeric, within

register(
    Source("WH_SHRINKAGE", "Wood Handbook FPL-GTR-190 ch. 4, shrinkage in proportion to moisture "
           "below fibre saturation; ch. 13, Eq. 13-2", "memory"),
)  # fmt: skip


def swelling(from_moisture: Numeric, to_moisture: Numeric, shrinkage: Numeric) -> Numeric:
    r"""Growth of a dimension across the grain when the moisture changes.

    Parameters
    ----------
    from_moisture, to_moisture : numeric
        0 to 3; nothing changes above fibre saturation. The handbook's coefficients are for 6
        to 14 %, beyond which the true change is somewhat smaller. [fraction]
    shrinkage : numeric
        From green to oven-dry over the green dimension, radial or tangential, 0 to 0.2.
        [fraction]

    Returns
    -------
    numeric
        Change over the dimension at `from_moisture`; negative where it shrinks. [fraction]

    Raises
    ------
    OutsideValidityError
        Outside those ranges.

    Notes
    -----
    In proportion below 30 %, with S the shrinkage:

    .. math:: d(M) = d_{green} (1 - S\,(0.30 - M) / 0.30)

    Near 10 % moisture this is Eq. 13-2, its coefficient :math:`1/(0.30/S - 0.30 + M)`.

    Examples
    --------
    A 100 mm wide quartered maple side (radial shrinkage 4.8 %) from 8 to 6 % moisture.

    >>> round(100.0 * float(swelling(0.08, 0.06, 0.048)), 2)  # [mm]
    -0.33
    """
    source = "saturated light wood at most"
    start = within(from_moisture, 0.0, 3.0, name="moisture", source=source)
    end = within(to_moisture, 0.0, 3.0, name="moisture", source=source)
    whole = within(shrinkage, 0.0, 0.2, name="shrinkage", source="woods there are")
    share = whole / FIBRE_SATURATION
    dry, wet = np.minimum(start, FIBRE_SATURATION), np.minimum(end, FIBRE_SATURATION)
    return np.asarray(share * (wet - dry) / (1.0 - share * (FIBRE_SATURATION - dry)))
