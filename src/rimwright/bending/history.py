"""What a side goes through: its fibres' temperature and moisture over time."""

from __future__ import annotations

from dataclasses import dataclass

from rimwright.curves.piece import FloatArray


@dataclass(frozen=True, slots=True)
class FibreHistory:
    """Temperature and moisture through the thickness, over time.

    Fibres are slices of equal thickness, read at their middles, from the inside face (the
    form's) to the outside face.
    """

    #: Since the heat was turned on, shape (times,). [s]
    time_s: FloatArray
    #: Shape (times, fibres). [°C]
    temperature_c: FloatArray
    #: Shape (times, fibres). [fraction]
    moisture: FloatArray
