"""How a wide strip wants to cup where it is bent, and what caul holds it.

A strip bent along its length wants to bend across it the other way, by Poisson's ratio times
as much. Only near its edges may it do so once it is wide: Searle's parameter b²κ/t tells how
wide is wide. The theory is elastic and gives the *place* of the trouble, a few millimetres at
each edge, and a lift of a small part of the thickness. The cupping of up to two
thicknesses that makers report (common practice, no source) comes from uneven water and heat
where nothing presses: it needs the same caul.

References: G. F. C. Searle, Experimental Elasticity, Cambridge 1908; D. G. Ashwell, The
anticlastic curvature of rectangular beams and plates, J. Royal Aeronautical Society 54, 1950.
Both from memory; extended here to unlike stiffness along and across the grain.
"""

from __future__ import annotations

from typing import Literal

import numpy as np

from rimwright.bending.parameters import BendParameters
from rimwright.bending.results import Cupping
from rimwright.sources import Source, register
from rimwright.units import length_text

register(
    Source("SEARLE_1908", "Searle 1908, Experimental Elasticity, Cambridge", "memory"),
    Source(
        "ASHWELL_1950",
        "Ashwell 1950, The anticlastic curvature of rectangular beams and plates, "
        "J. Royal Aeronautical Society 54",
        "memory",
    ),
)

#: From this share on a strip is called a plate; ours.
_PLATE = 0.7
#: Beyond this many boundary widths the ends of the formula no longer change.
_WIDE = 60.0


def searle_parameter(width_m: float, curvature: float, thickness_m: float) -> float:
    """Width squared times curvature over thickness: how much a strip is a plate.

    Examples
    --------
    >>> round(searle_parameter(0.1, 1 / 0.022, 0.002))
    227
    """
    return width_m**2 * abs(curvature) / thickness_m


def boundary(searle: float, *, poisson: float, across_over_along: float) -> float:
    r"""Width over the length in which an edge's curl dies away.

    Notes
    -----
    :math:`\beta b = \left[3(1-\nu^2 r)/r\right]^{1/4} \sqrt{b^2\kappa/t}` with r the
    stiffness across over along; r = 1 is Ashwell's isotropic plate.
    """
    alike = 3.0 * (1.0 - poisson**2 * across_over_along) / across_over_along
    return float(alike**0.25 * np.sqrt(searle))


def plate_share(searle: float, *, poisson: float, across_over_along: float) -> float:
    r"""How far a strip is on its way from a beam (0) to a plate (1), by its stiffness.

    Notes
    -----
    Moment over that of a narrow beam is :math:`(1 - \nu^2 r\,(1 - share)) / (1 - \nu^2 r)`,
    with :math:`1 - share = F + x F'/4`, :math:`x = \beta b` and
    :math:`F = \frac{2}{x}\frac{\cosh x - \cos x}{\sinh x + \sin x}`: the second term is the
    moment of the stretched edges, which the strain energy
    :math:`\tfrac12 D b \kappa^2 (1 - \nu^2 r F)` gives on differentiation by curvature.

    Examples
    --------
    >>> [round(plate_share(k, poisson=0.3, across_over_along=1.0), 2) for k in (1, 16, 400)]
    [0.03, 0.72, 0.94]
    """
    x = min(boundary(searle, poisson=poisson, across_over_along=across_over_along), 1e6)
    if x < 1e-2:
        return 0.0
    near = min(x, _WIDE)
    top, bottom = np.cosh(near) - np.cos(near), np.sinh(near) + np.sin(near)
    average = 2.0 / x * top / bottom
    slope = -average / x + 2.0 / x * (1.0 - top * (np.cosh(near) + np.cos(near)) / bottom**2)
    return float(1.0 - average - 0.25 * x * slope)


def edge_lift(
    width_m: float,
    curvature: float,
    thickness_m: float,
    *,
    poisson: float,
    across_over_along: float,
) -> float:
    r"""How far the edges of a free strip stand off from its middle. [m]

    Notes
    -----
    The profile :math:`w = A \cosh\beta y\cos\beta y + B \sinh\beta y\sin\beta y` solves
    :math:`D_T w'''' + E_L t \kappa^2 w = 0` with free edges
    (:math:`w'' = \nu\kappa,\ w''' = 0`). Narrow strips give :math:`\nu\kappa b^2/8`, wide ones
    :math:`\tfrac{\nu t}{2}\sqrt{r/(3(1-\nu^2 r))}` whatever the curvature.

    Examples
    --------
    A wide metal plate lifts by some 9 % of its thickness.

    >>> round(edge_lift(0.1, 45.0, 0.002, poisson=0.3, across_over_along=1.0) / 0.002, 3)
    0.091
    """
    searle = searle_parameter(width_m, curvature, thickness_m)
    if searle == 0.0:
        return 0.0
    x = boundary(searle, poisson=poisson, across_over_along=across_over_along)
    beta, half = x / width_m, min(0.5 * x, _WIDE)
    cosh, sinh, cos, sin = np.cosh(half), np.sinh(half), np.cos(half), np.sin(half)
    equations = np.array(
        [[-sinh * sin, cosh * cos], [-(cosh * sin + sinh * cos), sinh * cos - cosh * sin]]
    )
    free = np.array([poisson * abs(curvature) / (2.0 * beta**2), 0.0])
    a, b = np.linalg.solve(equations, free)
    return float(a * cosh * cos + b * sinh * sin - a)


def cupping(
    width_m: float,
    curvature: float,
    thickness_m: float,
    parameters: BendParameters,
    *,
    s_outer_m: float,
    place: str,
    show: Literal["metric", "inch"],
) -> Cupping:
    """How a side wants to cup at one bend, with the caul that holds it.

    Parameters
    ----------
    width_m, thickness_m : float
        Of the side there. [m]
    curvature : float
        Of the middle plane, convex positive. [1/m]
    parameters : BendParameters
    s_outer_m : float
        Where, on the outer line. [m]
    place : str
        The bend's name.
    show : "metric" or "inch"
    """
    ratios = {
        "poisson": parameters.poisson_along_across.middle,
        "across_over_along": parameters.across_over_along.middle,
    }
    searle = searle_parameter(width_m, curvature, thickness_m)
    share = plate_share(searle, **ratios)
    lift = edge_lift(width_m, curvature, thickness_m, **ratios)
    # A caul that ends where the edge's curl begins leaves it no more than the lift above.
    reach = width_m / max(boundary(searle, **ratios), 2.0)
    caul = width_m - 2.0 * reach
    edges = "outside, off the form" if curvature > 0 else "inside, on to the form"
    if share > _PLATE:
        how = f"only its edges curl, within {length_text(reach, show)} of each"
        press = f"a slat or caul at least {length_text(caul, show)} wide holds it"
    else:
        how, press = "it cups over its whole width", "a slat or caul of its width holds it"
        caul = width_m
    return Cupping(
        searle=searle,
        s_outer_m=s_outer_m,
        words=f"{place}: width² × curvature ÷ thickness is {searle:.0f}; {how}, by "
        f"some {length_text(lift, show, fine=True)} towards the {edges}; {press}; what is not "
        "pressed cups more as it dries",
        caul_width_m=caul,
    )
