"""What happens to a side's fibres after the heat: cooling and drying on the form, and free."""

from __future__ import annotations

import numpy as np

from rimwright.bending.history import FibreHistory
from rimwright.sources import Provenance, Sourced

#: Time in which the excess over the room falls to 1/e, the plug out. [s]
COOLING_S = Sourced(
    middle=550.0,
    low=300.0,
    high=1200.0,
    provenance=Provenance.ASSUMED,
    note="10 kJ/(m² K) in the stack over 18 W/(m² K) of both faces",
)
#: The same for the excess of moisture over what the room's air gives. [s]
DRYING_S = Sourced(
    middle=3.0 * 3600.0,
    low=1.0 * 3600.0,
    high=10.0 * 3600.0,
    provenance=Provenance.ASSUMED,
    note="between slats and wrap; a bare thin side in the shop takes an hour or two",
)


def carried_on(
    history: FibreHistory,
    *,
    until_s: float,
    room_c: float,
    room_moisture: float,
    cooling_s: float = COOLING_S.middle,
    drying_s: float = DRYING_S.middle,
) -> FibreHistory:
    """The history of the heat, carried on by cooling and drying to the room.

    Parameters
    ----------
    history : FibreHistory
        As far as the heat was computed.
    until_s : float
        On the history's clock; one that already reaches so far is returned as it is. [s]
    room_c, room_moisture : float
        Where temperature and moisture settle. [degC], [fraction]
    cooling_s, drying_s : float, optional
        Time constants; the assumed middles unless given. [s]

    Examples
    --------
    >>> hot = FibreHistory(np.array([0.0, 600.0]), np.full((2, 3), 110.0), np.full((2, 3), 0.15))
    >>> day = carried_on(hot, until_s=87_000.0, room_c=21.0, room_moisture=0.085)
    >>> np.round(day.temperature_c[-1], 1).tolist(), np.round(day.moisture[-1], 3).tolist()
    ([21.0, 21.0, 21.0], [0.085, 0.085, 0.085])
    """
    last = float(history.time_s[-1])
    if last >= until_s:
        return history
    later = np.concatenate(
        [np.geomspace(2.0, until_s - last, 160)] if until_s - last > 4.0 else [[until_s - last]]
    )
    cooled = np.exp(-later / cooling_s)[:, None]
    dried = np.exp(-later / drying_s)[:, None]
    # Differences through the thickness even out within minutes, as the mean goes on.
    temperature = room_c + cooled * (history.temperature_c[-1] - room_c)
    moisture = room_moisture + dried * (history.moisture[-1] - room_moisture)
    return FibreHistory(
        np.concatenate([history.time_s, last + later]),
        np.concatenate([history.temperature_c, temperature]),
        np.concatenate([history.moisture, moisture]),
    )
