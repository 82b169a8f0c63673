"""The hot, wet section in a bend: where the neutral axis goes and what the faces bear.

Hot wet wood flows in compression long before it breaks in tension, and nothing holds the
ends of a side. With no force along it the neutral axis moves towards the face in tension, so
that face strains less than t/(2R) says. Tension is taken as elastic with modulus E,
compression as elastic up to the yield stress and hardening with h E beyond. With curvature κ of
the middle plane, tensile and compressive face strains ε and w with ε + w = t κ, and yield
strain e = σ/E, balance of forces reads

    ε² = w² − (1 − h)(w − e)²   for w > e,   ε = w otherwise,

a quadratic in either direction, so that nothing is iterated. E and σ enter by their ratio
only, and thickness and curvature by their product only.

A side is much wider than thick, so it bends as a plate: along the grain stiffer by
1/(1 − ν_LT ν_TL). For wood that product is about 0.02, because ν_TL is small (Wood Handbook
Table 5-1), against 0.09 for a metal, so the plate's stiffening by 2 % is left out.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rimwright.bending.parameters import BendParameters
from rimwright.curves.piece import FloatArray


@dataclass(frozen=True, slots=True)
class Section:
    """What of the wood the strain in a bend depends on."""

    #: Compressive yield stress over stiffness.
    yield_strain: float
    #: Slope beyond yield over stiffness, 0 to 1.
    hardening: float

    @classmethod
    def of(cls, parameters: BendParameters) -> Section:
        """The section of a set of parameters, at their middles."""
        return cls(
            parameters.compression_yield_pa.middle / parameters.tension_modulus_pa.middle,
            parameters.hardening.middle,
        )

    def tension_strain(self, bend: FloatArray) -> FloatArray:
        """Tensile strain of the face in tension.

        Parameters
        ----------
        bend : ndarray
            Thickness times curvature of the middle plane, not negative: twice the strain
            that a neutral axis in the middle would give.

        Examples
        --------
        A side of 2.1 mm round 22 mm: 4.6 % by the middle plane, 2.4 % at the face.

        >>> section = Section(yield_strain=0.00375, hardening=0.02)
        >>> bend = np.array([2.1 / (22.0 + 1.05)])
        >>> np.round(100 * bend / 2, 1).tolist(), np.round(
        ...     100 * section.tension_strain(bend), 1
        ... ).tolist()
        ([4.6], [2.4])
        """
        flowing, soft = self.yield_strain, 1.0 - self.hardening
        # With u = w - e: soft u² - 2 b u + b² - 2 b e = 0; the stable form of the lesser root.
        rest = np.maximum(bend * (bend - 2.0 * flowing), 0.0)
        root = np.sqrt(np.maximum(bend**2 - soft * rest, 0.0))
        beyond = rest / np.maximum(bend + root, 1e-300)
        return np.where(bend <= 2.0 * flowing, 0.5 * bend, bend - flowing - beyond)

    def bend_for(self, strain: FloatArray) -> FloatArray:
        """Thickness times middle-plane curvature at which the tension face has that strain.

        Examples
        --------
        >>> section = Section(yield_strain=0.00375, hardening=0.02)
        >>> round(float(section.tension_strain(section.bend_for(np.array([0.02])))[0]), 12)
        0.02
        """
        flowing, soft = self.yield_strain, 1.0 - self.hardening
        # h w² + 2 soft e w - soft e² - ε² = 0.
        rest = soft * flowing**2 + strain**2
        root = np.sqrt((soft * flowing) ** 2 + self.hardening * rest)
        squeezed = rest / (soft * flowing + root)
        return np.where(strain <= flowing, 2.0 * strain, strain + squeezed)


def middle_curvature(curvature: FloatArray, thickness: FloatArray | float) -> FloatArray:
    """Size of the middle plane's curvature from that of the outer line. [1/m]

    The middle plane lies half a thickness inside the outer line: tighter than it where the
    side is convex (positive), wider where it is concave. A concave outer line *is* the
    concave face, so there this is 1/(R + t/2).

    Examples
    --------
    >>> np.round(1e3 / middle_curvature(np.array([1 / 0.022, -1 / 0.034]), 0.002), 6).tolist()
    [21.0, 35.0]
    """
    # A line drawn tighter than the side is thick cannot be bent; keep the number finite.
    factor = np.maximum(1.0 - 0.5 * np.asarray(thickness) * curvature, 1e-3)
    return np.abs(curvature) / factor


def thickness_for(bend: FloatArray | float, curvature: FloatArray) -> FloatArray:
    """Thickness that makes t times middle curvature equal `bend` on an outer line. [m]

    Infinite where the line is straight, or where no thickness bends so hard.

    Examples
    --------
    >>> t = thickness_for(0.1, np.array([1 / 0.022]))
    >>> round(float((t * middle_curvature(np.array([1 / 0.022]), t))[0]), 12)
    0.1
    """
    # t k / (1 - t k_signed / 2) = b, with k_signed positive where convex.
    slope = np.abs(curvature) + 0.5 * bend * curvature
    with np.errstate(divide="ignore"):
        return np.where(slope > 0.0, bend / np.maximum(slope, 1e-300), np.inf)
