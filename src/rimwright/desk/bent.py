"""A plan with its pieces bent in the computer, as commands and pages read it."""

from __future__ import annotations

from dataclasses import dataclass

from rimwright.bending.virtual_bend import BendRun
from rimwright.bending.virtual_layers import LayerBend
from rimwright.bending.virtual_side import SideJob
from rimwright.plan import Plan


@dataclass(frozen=True, kw_only=True)
class Bent:
    """A plan, and each of its pieces bent in the computer."""

    plan: Plan
    jobs: tuple[SideJob, ...]
    runs: tuple[BendRun, ...]
    #: Loose strips of each piece.
    layers: tuple[tuple[LayerBend, ...], ...]
