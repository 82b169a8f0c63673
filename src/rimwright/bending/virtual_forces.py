"""How hard the rams must push: the wood's moment and its slats', each on its own radius."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rimwright.bending.bench import BENDS
from rimwright.bending.check_line import BentPiece
from rimwright.bending.virtual_many import Timetable
from rimwright.curves.piece import FloatArray
from rimwright.equipment.materials import material
from rimwright.equipment.stack import Equipment
from rimwright.instrument.stations import features
from rimwright.sources import Provenance, Sourced
from rimwright.tooling.spring import stored_moment

#: A strip drawn down by hand or clamp is held this far ahead of where it meets the form.
_LEVER = Sourced(middle=0.15, low=0.08, high=0.30, provenance=Provenance.ASSUMED)


@dataclass(frozen=True, slots=True, kw_only=True)
class RamForce:
    """Greatest force of one bend of the recipe."""

    #: The recipe's key: "waist-home", "lower-bout".
    key: str
    #: At the ram, or where the strip is drawn down. [N]
    force_n: Sourced
    #: Share of the moment that the wood gives, the rest its slats'.
    wood_share: float
    words: str


def ram_forces(
    piece: BentPiece,
    timetable: Timetable,
    curvature: FloatArray,
    moment: FloatArray,
    *,
    equipment: Equipment | None,
    width_m: float,
) -> tuple[RamForce, ...]:
    """The greatest force of each bend, by plain statics.

    A ram between two supports pushes with 4 M / L (three-point bending); a strip drawn down
    over a bout is a lever, M over the distance to where it is held. M is the greatest moment
    among the stations that move in the step.

    Parameters
    ----------
    piece : BentPiece
    timetable : Timetable
    curvature, moment : ndarray, shape (steps, stations)
        Of the middle line [1/m], and of the wood a width [N].
    equipment : Equipment or None
        Its slats bend with the side.
    width_m : float
        Of the side's blank. [m]
    """
    wood = width_m * np.abs(moment)
    slats = _slats(curvature, equipment, width_m)
    moving = np.zeros(moment.shape, bool)
    moving[1:] = np.diff(timetable.progress, axis=0) > 1e-12
    total = np.where(moving, wood + slats, 0.0)
    found = []
    for key in dict.fromkeys(name for name in timetable.doing if name in BENDS):
        steps = [i for i, name in enumerate(timetable.doing) if name == key]
        now = total[steps]
        step, station = np.unravel_index(int(np.argmax(now)), now.shape)
        greatest = float(now[step, station])
        if greatest <= 0.0:
            continue
        share = float(wood[steps[int(step)], station] / (greatest or 1.0))
        found.append(_force(key, greatest, share, piece, float(piece.s[station])))
    return tuple(found)


def _force(key: str, moment: float, share: float, piece: BentPiece, s: float) -> RamForce:
    if BENDS[key] in {"waist", "scoop"}:
        at = [0.0, *(one.s_m for one in features(piece.half) if one.piece == piece.rim.name),
              piece.rim.length]  # fmt: skip
        away = 0.02
        before = max((one for one in at if one < s - away), default=0.0)
        after = min((one for one in at if one > s + away), default=piece.rim.length)
        span = max(after - before, 0.08)
        force = 4.0 * moment / span
        how = f"ram, the strip held {1e3 * span:.0f} mm apart"
        low, high = 0.7 * force, 1.5 * force
    else:
        force = moment / _LEVER.middle
        low, high = moment / _LEVER.high, moment / _LEVER.low
        how = f"drawn down, held {1e3 * _LEVER.middle:.0f} mm ahead (80 to 300)"
    return RamForce(
        key=key,
        force_n=Sourced(
            middle=force, low=low, high=high, provenance=Provenance.DERIVED,
            note="statics of the greatest moment; where the strip is held is assumed",
        ),
        wood_share=share,
        words=how,
    )  # fmt: skip


def _slats(curvature: FloatArray, equipment: Equipment | None, width_m: float) -> FloatArray:
    """Moment of all elastic slats, each bent to the side's curvature by itself. [N m]"""
    total = np.zeros(curvature.shape)
    if equipment is None:
        return total
    for layer in equipment.layers:
        if layer.kind != "slat":
            continue
        stuff = material(layer.material, layer.temper)
        if stuff.stiffness_pa is None:
            continue
        width = width_m if layer.width_m is None else layer.width_m
        stiffness = stuff.stiffness_pa.middle * width * layer.thickness_m**3 / 12.0
        least = stuff.least_radius_m(layer.thickness_m) or 0.0
        total += stored_moment(curvature, stiffness, least)
    return total
