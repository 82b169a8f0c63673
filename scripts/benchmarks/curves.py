"""The fair curve and the chain, beside general tools doing the same work."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
from scipy.integrate import quad

from rimwright.curves.spline import Spline
from rimwright.curves.trace import fit_trace
from rimwright.instrument.design import Landmarks
from rimwright.instrument.measures.landmarks import outline_from_landmarks, plain_half
from scripts.benchmarks.timing import Figure, timed

WREN = Landmarks(
    body_length_m=0.470,
    lower_width_m=0.356,
    lower_station_m=0.118,
    waist_width_m=0.222,
    waist_station_m=0.268,
    upper_width_m=0.268,
    upper_station_m=0.372,
)


def figures() -> Iterator[Figure]:
    """A body from its landmarks, and arc length of a Bezier curve."""
    yield timed(
        "body from landmarks (fair curve)",
        lambda: outline_from_landmarks(WREN),
        runs=15,
        limit_ms=10,
    )
    control = np.array([[0.0, 0.0], [0.1, 0.05], [0.2, -0.05], [0.3, 0.02]])

    def ours() -> float:
        return Spline.bezier(control).length

    def general() -> float:
        def speed(u: float) -> float:
            d = 3 * np.array([(1 - u) ** 2, 2 * u * (1 - u), u * u]) @ np.diff(control, axis=0)
            return float(np.hypot(*d))

        return quad(speed, 0.0, 1.0, epsabs=1e-13)[0]

    start = plain_half(WREN)
    nudged = replace(WREN, waist_width_m=0.2225)
    yield timed(
        "  dragged: from the solution before", lambda: plain_half(nudged, start=start), runs=15
    )
    chain = outline_from_landmarks(WREN).bass.main.chain
    places = np.linspace(0.0, chain.length, 1000)
    yield timed("position, heading, curvature at 1,000 places", lambda: chain.at(places), runs=15)
    points = chain.at(np.linspace(0.0, chain.length, 9000)).position
    points = np.round(points / 0.000127) * 0.000127
    yield timed("trace of 9,000 points fitted", lambda: fit_trace(points, closed=False), runs=3)
    yield timed("arc length of a Bezier curve", ours, runs=15)
    yield timed("  the same by scipy.integrate.quad", general, runs=15, beside="general tool")
    yield Figure(name="  difference", value=abs(ours() - general()) * 1e9, unit="nm", limit=1000.0)
