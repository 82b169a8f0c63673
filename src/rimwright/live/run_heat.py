"""What people, or the probe, said of the heat: on, off, and at what share of full power."""

from __future__ import annotations

from dataclasses import dataclass, replace

#: After so long without power a stack is taken as cold, and its heat begins anew. Assumed. [s]
COLD_AGAIN_S = 1800.0


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkedHeat:
    """The heat as it was marked; nothing here switches it."""

    on: bool = False
    #: Since when it is on, or off; None while it was never on. [s in the run]
    since_s: float | None = None
    #: Of full power; 0 when off.
    share: float = 0.0
    #: When it came on from cold: the zero of `schedule`. [s in the run]
    begun_s: float | None = None
    #: Since `begun_s`, which share: what a fit to the curve asks. [s]
    schedule: tuple[tuple[float, float], ...] = ()

    def at(self, at_s: float) -> float | None:
        """Seconds since the heat came on from cold; None while it was never on."""
        return None if self.begun_s is None else at_s - self.begun_s


def turned_on(heat: MarkedHeat, at_s: float, share: float) -> MarkedHeat:
    """The heat comes on; where it is on already, only its share changes.

    Examples
    --------
    >>> heat = turned_on(MarkedHeat(), 600.0, 1.0)
    >>> turned_to(heat, 730.0, 0.4).schedule
    ((0.0, 1.0), (130.0, 0.4))
    """
    if heat.on:
        return turned_to(heat, at_s, share)
    cold = heat.since_s is None or at_s - heat.since_s >= COLD_AGAIN_S
    if cold or heat.begun_s is None:
        return MarkedHeat(
            on=True, since_s=at_s, share=share, begun_s=at_s, schedule=((0.0, share),)
        )
    return replace(
        heat,
        on=True,
        since_s=at_s,
        share=share,
        schedule=(*heat.schedule, (at_s - heat.begun_s, share)),
    )


def turned_to(heat: MarkedHeat, at_s: float, share: float) -> MarkedHeat:
    """Another share of full power; nothing where the heat is off."""
    if not heat.on or heat.begun_s is None or share == heat.share:
        return heat
    return replace(heat, share=share, schedule=(*heat.schedule, (at_s - heat.begun_s, share)))


def turned_off(heat: MarkedHeat, at_s: float) -> MarkedHeat:
    """The heat is off; nothing where it was."""
    if not heat.on or heat.begun_s is None:
        return heat
    return replace(
        heat,
        on=False,
        since_s=at_s,
        share=0.0,
        schedule=(*heat.schedule, (at_s - heat.begun_s, 0.0)),
    )
