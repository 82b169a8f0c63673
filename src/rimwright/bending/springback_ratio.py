"""The closed form of spring-back that every other model is held against."""

from __future__ import annotations

import numpy as np

from rimwright.sources import Source, register
from rimwright.wood.validity import Numeric, within

register(
    Source("SHEET_SPRINGBACK", "Spring-back of an elastic-plastic sheet; usually credited to "
           "Gardiner 1957, Trans. ASME 79 (recalled)", "read on a page about sheet bending"),
)  # fmt: skip


def springback_ratio(x: Numeric) -> Numeric:
    r"""Share of its curvature that a bent strip keeps when it is let go.

    Parameters
    ----------
    x : numeric
        :math:`\sigma_y R / (E t)`, flow stress and radius over stiffness and thickness, 0
        to 0.5; at 0.5 the strip only just begins to flow and springs back whole.

    Returns
    -------
    numeric
        Radius it was bent to over the radius it is left with, K.

    Raises
    ------
    OutsideValidityError
        Above 0.5, where it stays elastic, or below 0.

    Notes
    -----
    A strip that flows at one stress, alike in tension and compression, without hardening:

    .. math:: K = 4 x^3 - 3 x + 1

    Examples
    --------
    >>> float(springback_ratio(0.5)), round(float(springback_ratio(0.02)), 3)
    (0.0, 0.94)
    """
    ratio = within(x, 0.0, 0.5, name="x", source="the strip flows")
    return np.asarray(4.0 * ratio**3 - 3.0 * ratio + 1.0)
