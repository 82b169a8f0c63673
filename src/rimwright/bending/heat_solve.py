"""One reading of everything uncertain, solved by the heat kernel."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import Literal

import numpy as np

from rimwright.bending.heat_parameters import BARE_FACE_VAPOUR, HeatParameters
from rimwright.bending.heat_stack import Cells
from rimwright.curves.piece import FloatArray
from rimwright.errors import RimwrightError

#: By hand on a dial is taken as steady as a controller.
Control = Literal["dial", "thermostat", "controller", "share", "schedule"]
#: What a thermostat lets the temperature fall by before it is on again. Assumed. [K]
THERMOSTAT_DIFFERENCE_K = 4.0
#: Error of a step: a whole run is then within some 0.2 K of one a hundred times as fine.
TOLERANCE_K = 0.1
#: For the many runs of a range or a fit.
QUICK_TOLERANCE_K = 0.2
LONGEST_STEP_S, LONGEST_REST_STEP_S = 5.0, 900.0
#: A target not reached in this time never is, for a maker. [s]
GIVE_UP_S = 2400.0
_ROWS = 1500


@dataclass(frozen=True, kw_only=True)
class Values:
    """One value of each uncertain input; see `HeatParameters`."""

    power_share: float
    loss_share: float
    contact_m2_k_w: float
    conductivity_share: float
    steam_escape_kg_m2_s: float
    drying_share: float
    probe_lag_s: float

    @classmethod
    def middle(cls, of: HeatParameters) -> Values:
        """The middle of everything."""
        return cls(**{one.name: getattr(of, one.name).middle for one in fields(of)})


@dataclass(frozen=True, kw_only=True)
class Case:
    """Everything the kernel needs, as plain values."""

    cells: Cells
    values: Values
    #: Oven-dry mass over volume, over water's density.
    gravity: float
    #: Of each wood cell at the start, films included. [fraction]
    moisture: FloatArray
    room_c: float
    humidity: float
    #: By the blanket's plate. [W/m²]
    full_w_m2: float
    control: Control = "controller"
    target_c: float = 110.0
    #: Of control "share": what holds, of full power.
    share: float = 0.5
    #: Of control "schedule": since when which share of full power. [s]
    schedule: tuple[tuple[float, float], ...] = ((0.0, 1.0),)
    #: From the target to unplugging. [s]
    hold_s: float = 300.0
    rest_s: float = 0.0
    #: Of a schedule its end, else how long to wait for the target. [s]
    limit_s: float = GIVE_UP_S
    tolerance_k: float = TOLERANCE_K
    #: Of the whole stack; None: as the room. [degC]
    start_c: float | None = None


@dataclass(frozen=True, kw_only=True)
class Solved:
    """What came out, a row a step."""

    time_s: FloatArray
    probe_c: FloatArray
    #: Shape (times, cells).
    temperature_c: FloatArray
    #: Shape (times, wood cells).
    moisture: FloatArray
    #: Since the row before, shape (times,); 0 for the first. [W/m²]
    power_w_m2: FloatArray
    #: None: never reached.
    target_s: float | None
    off_s: float
    #: Heat put in, lost below, above and as steam, and held more than at the start. [J/m²]
    heat_in_j_m2: float
    lost_below_j_m2: float
    lost_above_j_m2: float
    steam_j_m2: float
    held_j_m2: float

    @property
    def imbalance(self) -> float:
        """What the books miss, over the heat put in."""
        gone = self.lost_below_j_m2 + self.lost_above_j_m2 + self.steam_j_m2
        return (self.heat_in_j_m2 - gone - self.held_j_m2) / max(self.heat_in_j_m2, 1.0)


def solve(case: Case) -> Solved:
    """Run the kernel on a case.

    Raises
    ------
    RimwrightError
        If the kernel cannot take another step: a fault of ours, or values of no world.
    """
    # The compiler's import is most of a second's tenth: only when heat is asked for.
    from rimwright.bending.kernels import heat
    from rimwright.bending.kernels.heat_step import CONTROLLER, SCHEDULE, SHARE, THERMOSTAT
    from rimwright.bending.kernels.heat_wood import saturation

    cells, values = case.cells, case.values
    count = cells.width.size
    moisture = np.zeros(count)
    moisture[cells.first : cells.last] = case.moisture
    steam = np.array(
        [
            values.steam_escape_kg_m2_s,
            values.drying_share * BARE_FACE_VAPOUR,
            saturation(case.room_c)[0] * case.humidity,
        ]
    )
    faces = cells.faces * np.array([values.loss_share, values.loss_share, 1.0])
    stack = (
        cells.width, cells.conductivity, cells.capacity, cells.source,
        cells.joints * values.contact_m2_k_w, cells.first, cells.last,
        np.array([case.gravity, values.conductivity_share]), steam, faces, case.room_c,
    )  # fmt: skip
    full = case.full_w_m2 * values.power_share
    capacity = float(cells.capacity @ cells.width)
    mode, fourth = {
        "dial": (CONTROLLER, 0.0),
        "controller": (CONTROLLER, 0.0),
        "thermostat": (THERMOSTAT, THERMOSTAT_DIFFERENCE_K),
        "share": (SHARE, case.share),
        "schedule": (SCHEDULE, 0.0),
    }[case.control]
    schedule = np.array(case.schedule, dtype=np.float64).reshape(-1, 2)
    rows = _ROWS
    while True:
        out = (
            np.zeros(rows), np.zeros((rows, count)), np.zeros((rows, count)), np.zeros(rows),
            np.zeros(rows), np.zeros(heat.BOOKS),
        )  # fmt: skip
        ended, taken, reached, off = heat.run(
            stack, np.full(count, case.room_c if case.start_c is None else case.start_c), moisture,
            np.ascontiguousarray(schedule[:, 0]), schedule[:, 1] * full,
            np.array([mode, case.target_c, full, fourth, capacity]),
            cells.probe, np.array([_probe_share(case), values.probe_lag_s]),
            np.array([case.hold_s, case.rest_s, case.limit_s]),
            np.array([case.tolerance_k, 0.0, LONGEST_STEP_S, LONGEST_REST_STEP_S]),
            out,
        )  # fmt: skip
        if ended != heat.FULL:
            break
        rows *= 4
    if ended == heat.STUCK:
        raise RimwrightError(
            "a heat run that cannot go on", "a stack of this world", "check the stack and wood"
        )
    last = taken + 1
    times, temperatures, moistures, readings, powers, books = out
    return Solved(
        time_s=times[:last],
        probe_c=readings[:last],
        temperature_c=temperatures[:last],
        moisture=moistures[:last, cells.first : cells.last],
        power_w_m2=np.concatenate(([0.0], powers[:taken])),
        target_s=reached if reached >= 0.0 else None,
        off_s=off if off >= 0.0 else float(times[taken]),
        heat_in_j_m2=float(books[0]),
        lost_below_j_m2=float(books[1]),
        lost_above_j_m2=float(books[2]),
        steam_j_m2=float(books[3]),
        held_j_m2=float(books[5] - books[4]),
    )


def _probe_share(case: Case) -> float:
    """Where the probe, in the middle of a contact, stands between the cells at either side.

    By resistance; of wood, that of its start.
    """
    from rimwright.bending.kernels.relations import conductivity

    cells, i = case.cells, case.cells.probe
    k = cells.conductivity[i : i + 2].copy()
    for j, cell in enumerate((i, i + 1)):
        if cells.first <= cell < cells.last:
            moisture = float(case.moisture[cell - cells.first])
            k[j] = case.values.conductivity_share * conductivity(
                case.gravity, moisture, case.room_c
            )
    below, above = 0.5 * cells.width[i : i + 2] / k
    contact = cells.joints[i + 1] * case.values.contact_m2_k_w
    return float((below + 0.5 * contact) / (below + contact + above))


def holding_share(solved: Solved, full_w_m2: float) -> float:
    """Mean power from half a minute after the target until off, over what it gives in full."""
    if solved.target_s is None:
        return 1.0
    seconds = np.diff(solved.time_s, prepend=0.0)
    settled = solved.target_s + min(30.0, 0.5 * (solved.off_s - solved.target_s))
    held = (solved.time_s > settled) & (solved.time_s <= solved.off_s + 1e-6)
    heat = float(seconds[held] @ solved.power_w_m2[held])
    return heat / float(np.sum(seconds[held])) / full_w_m2


def time_at(solved: Solved, celsius: float) -> float | None:
    """When the probe first reads that temperature; None: it never does. [s]"""
    over = np.flatnonzero(solved.probe_c >= celsius - 1e-6)
    if over.size == 0:
        return None
    i = int(over[0])
    if i == 0:
        return 0.0
    a, b = solved.probe_c[i - 1], solved.probe_c[i]
    share = (celsius - a) / (b - a) if b > a else 1.0
    return float(solved.time_s[i - 1] + min(share, 1.0) * (solved.time_s[i] - solved.time_s[i - 1]))


def with_value(case: Case, name: str, value: float) -> Case:
    """The case with one uncertain value moved."""
    return replace(case, values=replace(case.values, **{name: value}))
