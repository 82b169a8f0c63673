"""Ranges: a relation refuses outside what its source gives, or warns where it may go on."""

from __future__ import annotations

import warnings

import numpy as np
import numpy.typing as npt

from rimwright.errors import OutsideValidityError

Array = npt.NDArray[np.float64]
Numeric = float | Array


class ExtrapolationWarning(UserWarning):
    """A relation goes on past the range its source gives; the answer is assumed there."""


def within(
    value: Numeric, low: float, high: float, *, name: str, unit: str = "", source: str
) -> Array:
    """The value as an array, if all of it lies in the range.

    Raises
    ------
    OutsideValidityError
        Naming the first value that does not; what is no number does not either.

    Examples
    --------
    >>> float(within(0.12, 0.0, 0.3, name="moisture", source="ours"))
    0.12
    """
    asked = np.asarray(value, dtype=np.float64)
    outside = ~((asked >= low) & (asked <= high))
    if np.any(outside):
        raise OutsideValidityError(
            f"{name} {float(asked[outside].flat[0]):g} {unit}".rstrip(),
            f"{low:g} to {high:g} {unit}".rstrip() + f" ({source})",
            f"give a {name} within that range",
        )
    return asked


def warn_outside(
    value: Numeric, low: float, high: float, *, name: str, unit: str = "", source: str
) -> None:
    """Warn, once for the whole array, where a value lies outside the range."""
    asked = np.asarray(value, dtype=np.float64)
    outside = (asked < low) | (asked > high)
    if np.any(outside):
        line = (
            f"{name} {float(asked[outside].flat[0]):g} {unit} is outside {low:g} to {high:g} "
            f"{unit} ({source}): the answer is assumed"
        )
        warnings.warn(" ".join(line.split()), ExtrapolationWarning, stacklevel=3)
