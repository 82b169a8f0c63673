"""The named places along a rim: bouts, waist, horn, scoop and the ends.

Found from the shape alone, so that they are there whatever the outline came from, and
left out where a body has none (a teardrop has no waist).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import numpy as np

from rimwright.instrument.outline import Half, PieceName, RimPiece
from rimwright.instrument.stations_search import Placed, PlaceKind, Samples, bouts, tightest
from rimwright.units import length_text


@dataclass(frozen=True, slots=True)
class Feature:
    """A named place on one half of the rim."""

    #: "tail seam", "lower bout", "waist", "upper bout", "horn", "scoop", "horn tip", "neck end".
    name: str
    piece: PieceName
    #: On the outer line, from the tail seam (on a return piece from the tip). [m]
    s_m: float
    x_m: float
    y_m: float
    #: Convex positive. [1/m]
    curvature: float
    kind: PlaceKind

    @property
    def mark_name(self) -> str:
        """What the mark there is called: "widest lower bout", "waist"."""
        return f"widest {self.name}" if self.kind == "widest" else self.name


@lru_cache(maxsize=64)  # half a dozen rooms ask, and the search reads the whole line
def features(half: Half) -> tuple[Feature, ...]:
    """The named places of a half, in order from the tail; main piece before return.

    Widest and narrowest are measured from the centreline; where a stretch runs parallel to
    it, its middle is taken. Horn and scoop are looked for on a cutaway half only: the
    tightest convex bend beyond the waist and the tightest concave one after it.

    Examples
    --------
    >>> from rimwright.curves.arc import Arc
    >>> from rimwright.curves.chain import Chain
    >>> round_body = Chain((Arc((0.0, 0.0), -np.pi / 2, 5.0, 0.2 * np.pi),))
    >>> half = Half("bass", RimPiece("bass", "main", round_body))
    >>> [place.mark_name for place in features(half)]
    ['tail seam', 'widest lower bout', 'neck end']
    """
    main = half.main
    samples = Samples.of(main)
    places: list[Placed] = [("tail seam", 0.0, "end")]
    beyond, extremes = bouts(main, samples)
    places += extremes
    if half.cutaway == "rounded":
        horn = tightest(samples, beyond, convex=True)
        scoop = None if horn is None else tightest(samples, horn, convex=False)
        if horn is not None and scoop is not None:
            places += [("horn", horn, "tightest"), ("scoop", scoop, "tightest")]
    ends_at = "neck end" if half.return_piece is None else "horn tip"
    found = _read(main, [*places, (ends_at, main.length, "end")])
    if half.return_piece is not None:
        back = half.return_piece
        scoop = tightest(Samples.of(back), 0.0, convex=False)
        bend: list[Placed] = [] if scoop is None else [("scoop", scoop, "tightest")]
        found += _read(back, [("horn tip", 0.0, "end"), *bend, ("neck end", back.length, "end")])
    return tuple(found)


def _read(rim: RimPiece, places: list[Placed]) -> list[Feature]:
    places = sorted(places, key=lambda place: place[1])
    frame = rim.at(np.array([s for _, s, _ in places]))
    return [
        Feature(name, rim.name, s, float(point[0]), float(point[1]), float(curvature), kind)
        for (name, s, kind), point, curvature in zip(
            places, frame.position, frame.curvature, strict=True
        )
    ]


def region(half: Half, rim: RimPiece, s: float) -> str:
    """What a maker calls the bend at `s` on that piece: "waist", "scoop", "lower bout"...

    Parameters
    ----------
    half : Half
        The half the piece belongs to.
    rim : RimPiece
        Its main or return piece.
    s : float
        On the outer line. [m]

    Returns
    -------
    str
        A concave place after the horn or on a return is the scoop, elsewhere the waist; a
        convex one is the horn while it bends at least half as tight as the horn does, else
        the bout on its side of the waist.
    """
    places = {place.name: place for place in features(half) if place.piece == rim.name}
    if rim.name == "return":
        return "scoop"
    curvature = float(rim.at(np.array([s])).curvature[0])
    horn = places.get("horn")
    if curvature < 0:
        return "scoop" if horn is not None and s > horn.s_m else "waist"
    if horn is not None:
        between = np.linspace(min(s, horn.s_m), max(s, horn.s_m), 65)
        if rim.at(between).curvature.min() >= 0.5 * horn.curvature:
            return "horn"
    waist = places.get("waist")
    return "lower bout" if waist is None or s < waist.s_m else "upper bout"


def place_in_words(
    half: Half, rim: RimPiece, s: float, show: Literal["metric", "inch"] = "metric"
) -> str:
    """A place in words: what bend, how tight, how far from the nearer end.

    Examples
    --------
    >>> from rimwright.curves.arc import Arc
    >>> from rimwright.curves.chain import Chain
    >>> round_body = Chain((Arc((0.0, 0.0), -np.pi / 2, 5.0, 0.2 * np.pi),))
    >>> half = Half("bass", RimPiece("bass", "main", round_body))
    >>> place_in_words(half, half.main, 0.6)
    'lower bout, 200 mm radius, 28 mm before the neck end'
    """
    curvature = float(rim.at(np.array([s])).curvature[0])
    start = "the tail seam" if rim.name == "main" else "the horn tip"
    pointed = rim.name == "main" and half.return_piece is not None
    end = "the horn tip" if pointed else "the neck end"
    if s < 0.5 * rim.length:
        distance = f"{_whole(s, show)} from {start}"
    else:
        distance = f"{_whole(rim.length - s, show)} before {end}"
    bend = "straight"
    if abs(curvature) > 1e-3:
        bend = f"{_whole(1.0 / abs(curvature), show)} radius"
    return f"{region(half, rim, s)}, {bend}, {distance}"


def _whole(length_m: float, show: Literal["metric", "inch"]) -> str:
    """Whole millimetres, or the inch text of `units`: enough to find a place."""
    return f"{length_m * 1e3:.0f} mm" if show == "metric" else length_text(length_m, show)
