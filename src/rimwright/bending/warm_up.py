"""How long the stack takes to warm, and the power that holds it, for the recipe."""

from __future__ import annotations

from rimwright.bending.heat import heat_run
from rimwright.bending.heat_inputs import HeatInputs
from rimwright.bending.results import WarmUp
from rimwright.equipment.stack import Equipment
from rimwright.instrument.design import Wetting
from rimwright.wood.species import Kind

#: Moisture at which a wood's density is given.
_TABLE_MOISTURE = 0.12


def warm_up(
    equipment: Equipment,
    wetting: Wetting,
    *,
    thickness_m: float,
    density_kg_m3: float,
    early_alarm_c: float,
    target_c: float,
    kind: Kind = "tropical",
) -> WarmUp:
    """Times to the early alarm and the target, and the share of power that holds it.

    Parameters
    ----------
    equipment : Equipment
        Stack, blanket, probe and room.
    wetting : Wetting
        Before the heat.
    thickness_m : float
        Of the side. [m]
    density_kg_m3 : float
        Of the wood at 12 % moisture. [kg/m³]
    early_alarm_c, target_c : float
        At the probe. [degC]
    kind : str, default "tropical"
        Class of the wood: how it drinks, and where it softens.

    Raises
    ------
    DesignError
        If the blanket is too weak ever to reach the target.

    Examples
    --------
    >>> warm = warm_up(Equipment(), Wetting(), thickness_m=0.0021, density_kg_m3=850.0,
    ...                early_alarm_c=100.0, target_c=110.0)
    >>> 90.0 < warm.to_target_s.middle < 180.0
    True
    """
    run = heat_run(
        HeatInputs(
            thickness_m=thickness_m,
            equipment=equipment,
            wetting=wetting,
            gravity=density_kg_m3 / 1000.0 / (1.0 + _TABLE_MOISTURE),
            kind=kind,
            early_alarm_c=early_alarm_c,
            target_c=target_c,
        )
    )
    full = equipment.blanket.power_density_w_m2 * run.inputs.parameters.power_share.middle
    return WarmUp(
        to_early_alarm_s=run.to_early_alarm_s,
        to_target_s=run.to_target_s,
        hold_fraction=run.hold_fraction,
        energy_j_m2=full * run.to_target_s.middle,
        core_at_target_c=run.core_at_target_c,
        softness_in_bend_k=run.softness_in_bend_k,
        rests_on=run.rests_on,
        warnings=run.warnings,
    )
