"""Wild measures: an outline or one line, never a traceback, a warning or a long wait."""

import time

import numpy as np

from rimwright.errors import GeometryError
from rimwright.instrument.design import Cutaway, Landmarks
from rimwright.instrument.measures.landmarks import outline_from_landmarks


def wild(random):
    """Measures in any proportion, about a third of them out of order."""

    def u(scale):
        return float(scale * 10.0 ** random.uniform(-0.4, 0.2))

    stations = [u(0.4) for _ in range(4)]
    if random.random() < 0.8:
        stations.sort()
    cutaway = None
    if random.random() < 0.5:
        kind = "rounded" if random.random() < 0.5 else "pointed"
        cutaway = Cutaway(
            kind=kind,
            depth_m=u(0.05),
            horn_radius_m=u(0.02) if kind == "rounded" else None,
            scoop_radius_m=u(0.03),
            neck_half_width_m=u(0.02),
        )
    widths = sorted(u(0.3) for _ in range(3))
    return Landmarks(
        body_length_m=stations[3],
        lower_width_m=widths[2],
        lower_station_m=stations[0],
        waist_width_m=widths[0],
        waist_station_m=stations[1],
        upper_width_m=widths[1],
        upper_station_m=stations[2],
        tail_fullness=float(random.uniform(0.5, 1.0)) if random.random() < 0.3 else None,
        shoulder_fullness=float(random.uniform(0.5, 1.0)) if random.random() < 0.3 else None,
        cutaway=cutaway,
    )


def test_wild_measures():
    random = np.random.default_rng(8)
    drawn, refused = 0, []
    for _ in range(100):
        begin = time.perf_counter()
        try:
            outline = outline_from_landmarks(wild(random))
            drawn += 1
            assert all(np.isfinite(piece.length) for piece in outline.pieces)
        except GeometryError as error:
            refused.append(str(error))
        assert time.perf_counter() - begin < 5.0
    assert drawn > 3
    assert len(refused) > 3
    assert all("expected" in line and "\n" not in line for line in refused)
