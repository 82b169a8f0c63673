"""What the heat is asked about: stack, side, water and control, made into a case."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace

import numpy as np

from rimwright.bending.heat_parameters import DEFAULT_HEAT, HeatParameters
from rimwright.bending.heat_solve import (
    GIVE_UP_S,
    QUICK_TOLERANCE_K,
    TOLERANCE_K,
    Case,
    Control,
    Values,
)
from rimwright.bending.heat_stack import cells_of
from rimwright.bending.schools import HOTTEST_TARGET_C
from rimwright.bending.wetting import FILM_KG_M2, MoistureProfile, wet_side
from rimwright.curves.piece import FloatArray
from rimwright.equipment.stack import Equipment
from rimwright.errors import DesignError
from rimwright.instrument.design import Wetting
from rimwright.sources import Sourced
from rimwright.wood.softening import IN_SITU_OFFSET_K
from rimwright.wood.species import Kind
from rimwright.wood.transport import SORPTIVITY

W_M2_PER_W_IN2 = 1550.0031
#: From the target to unplugging: makers bend in four to five minutes (common practice, no
#: source). [s]
BEND_S = 300.0
#: Cells of wood in a run of its own, and in the many of a range. A test shows both suffice.
_WOOD_CELLS, _QUICK_CELLS = 11, 6


@dataclass(frozen=True, kw_only=True)
class HeatInputs:
    """One side in its stack, wetted, and how it is heated.

    Examples
    --------
    >>> HeatInputs(thickness_m=0.0021).target_c
    110.0
    """

    thickness_m: float
    equipment: Equipment = field(default_factory=Equipment)
    wetting: Wetting = field(default_factory=Wetting)
    #: Oven-dry mass over volume at 12 % moisture, over water's density.
    gravity: float = 0.6
    kind: Kind = "tropical"
    early_alarm_c: float = 100.0
    target_c: float = 110.0
    #: None: as the blanket is controlled; a dial is turned by a steady hand.
    control: Control | None = None
    #: Of control "share": what is left of full power after the target.
    share: float = 0.5
    #: Of control "schedule": since when which share of full power. [s]
    schedule: tuple[tuple[float, float], ...] = ((0.0, 1.0),)
    #: From the target to unplugging. [s]
    bend_s: float = BEND_S
    #: On the form after that. [s]
    rest_s: float = 0.0
    #: Slices through the thickness in the history that the bend is computed from.
    fibres: int = _WOOD_CELLS
    parameters: HeatParameters = DEFAULT_HEAT
    #: Moisture before the heat; None: from the wetting.
    profile: MoistureProfile | None = None
    #: Of the whole stack when the heat comes on; None: as the room. [degC]
    start_c: float | None = None

    @property
    def softening_offset_k(self) -> Sourced:
        """How far this kind of wood softens from isolated lignin."""
        return IN_SITU_OFFSET_K["softwood" if self.kind == "softwood" else "hardwood"]

    @property
    def film_kg_m2(self) -> Sourced:
        """Water on each face by the way of wetting, with its range."""
        return FILM_KG_M2[self.wetting.method]

    @property
    def cells_per_fibre(self) -> int:
        """Wood cells to a fibre, so that few fibres are not few cells."""
        return math.ceil(_QUICK_CELLS / self.fibres)


def checked(inputs: HeatInputs) -> HeatInputs:
    """The inputs, if they can be.

    Raises
    ------
    DesignError
        For a target at or above the first glow, below the early alarm, a blanket without
        power, or a time that cannot be.
    """
    if not inputs.target_c < HOTTEST_TARGET_C:
        raise DesignError(
            f"a target of {inputs.target_c:.0f} °C",
            f"below {HOTTEST_TARGET_C:.0f} °C, where wood begins to glow",
            "lower the target",
        )
    if not inputs.equipment.room_c < inputs.early_alarm_c <= inputs.target_c:
        raise DesignError(
            f"an early alarm at {inputs.early_alarm_c:.0f} °C and a target of "
            f"{inputs.target_c:.0f} °C",
            "both above the room's temperature, the alarm first",
            "change the early alarm or the target",
        )
    if not inputs.equipment.blanket.power_density_w_m2 > 0.0:
        raise DesignError("a blanket without power", "some W/in²", "give its `power_density`")
    if not (30.0 <= inputs.bend_s <= 7200.0 and 0.0 <= inputs.rest_s <= 30.0 * 86_400.0):
        raise DesignError(
            f"a bend of {inputs.bend_s:g} s and a rest of {inputs.rest_s:g} s",
            "half a minute to two hours under heat and at most a month of rest",
            "change the times",
        )
    return inputs


def _moisture(inputs: HeatInputs, cells: int, film: float | None) -> FloatArray:
    profile = inputs.profile
    if profile is None or film is not None:
        profile = wet_side(
            inputs.wetting,
            thickness_m=inputs.thickness_m,
            specific_gravity=inputs.gravity,
            room_c=inputs.equipment.room_c,
            humidity=inputs.equipment.humidity,
            sorptivity_kg_m2_s05=SORPTIVITY[inputs.kind].middle,
            film_kg_m2=film,
            fibres=cells,
        )
    count = profile.moisture.size
    if count == cells:
        moisture = profile.moisture.copy()
    else:
        # Slices of slices: exact means, so that water is kept.
        edges = np.linspace(0.0, count, cells + 1)
        sums = np.interp(edges, np.arange(count + 1), np.append(0.0, np.cumsum(profile.moisture)))
        moisture = np.diff(sums) * cells / count
    film_moisture = profile.film_kg_m2 / (1000.0 * inputs.gravity * inputs.thickness_m / cells)
    moisture[[0, -1]] += film_moisture
    return np.asarray(moisture)


def case_of(inputs: HeatInputs, *, quick: bool = False, film_kg_m2: float | None = None) -> Case:
    """The middle case; quick ones are for the many of a range and leave the rest out."""
    cells_of_wood = _QUICK_CELLS if quick else inputs.fibres * inputs.cells_per_fibre
    equipment = inputs.equipment
    control = inputs.control or equipment.blanket.control
    return Case(
        cells=cells_of(equipment, thickness_m=inputs.thickness_m, wood_cells=cells_of_wood),
        values=Values.middle(inputs.parameters),
        gravity=inputs.gravity,
        moisture=_moisture(inputs, cells_of_wood, film_kg_m2),
        room_c=equipment.room_c,
        humidity=equipment.humidity,
        full_w_m2=equipment.blanket.power_density_w_m2,
        control=control,
        target_c=inputs.target_c,
        share=inputs.share,
        schedule=inputs.schedule,
        hold_s=inputs.bend_s,
        rest_s=0.0 if quick else inputs.rest_s,
        limit_s=inputs.bend_s if control == "schedule" else GIVE_UP_S,
        tolerance_k=QUICK_TOLERANCE_K if quick else TOLERANCE_K,
        start_c=inputs.start_c,
    )


def refuse_too_weak(inputs: HeatInputs, case: Case) -> DesignError:
    """The refusal of a blanket that never gets there, with what it would take."""
    from rimwright.bending.kernels.heat_layers import face_loss

    faces = case.cells.faces * np.array([case.values.loss_share, case.values.loss_share, 1.0])
    losses = sum(face_loss(case.target_c, 1e9, face, case.room_c)[0] for face in faces)
    plate = losses / case.values.power_share / W_M2_PER_W_IN2
    own = inputs.equipment.blanket.power_density_w_m2 / W_M2_PER_W_IN2
    needed = (
        f"more than about {plate:.1f} W/in², what the stack loses there"
        if own < plate
        else f"to be there within {GIVE_UP_S / 60.0:.0f} min"
    )
    return DesignError(
        f"a blanket of {own:.1f} W/in² that never reaches {inputs.target_c:.0f} °C",
        needed,
        "use a stronger blanket, cover the stack, or lower the target",
    )


def colder(inputs: HeatInputs, by_k: float) -> HeatInputs:
    """The same in a room that much colder."""
    room = inputs.equipment.room_c - by_k
    return replace(inputs, equipment=replace(inputs.equipment, room_c=room))
