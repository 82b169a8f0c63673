"""Good bends by the heat's own model, with what hands, water and boards do to the curve."""

import math
import random
from dataclasses import dataclass, fields, replace
from functools import cache

import numpy as np

from rimwright.bending.heat_inputs import W_M2_PER_W_IN2, HeatInputs, case_of
from rimwright.bending.heat_parameters import DEFAULT_HEAT
from rimwright.bending.heat_solve import holding_share, solve
from rimwright.bending.schools import SCHOOLS, limit_c
from rimwright.equipment.stack import Equipment
from rimwright.instrument.design import Heating, Wetting

#: How each school wets.
WET = {
    "misted": Wetting(),
    "nearly_dry": Wetting(method="dry"),
    "hot": Wetting(method="soak", duration_s=1200.0),
}
#: A good bend is at its target by then; a blanket that creeps for longer is not one. [s]
LONGEST_WARM_UP_S = 600.0
_COOLING_S = 240.0


@dataclass(frozen=True, kw_only=True)
class Bend:
    """One good bend as a probe tells it, and what its maker taps. Times since the run began."""

    school: str
    power_w_in2: float
    control: str
    room_c: float
    target_c: float
    limit_c: float
    #: The plug goes in; the tap that marks it comes before or after.
    plugged_s: float
    marked_s: float
    target_s: float
    #: When it was marked to which share; nothing where the control does it by itself.
    turns: tuple[tuple[float, float], ...]
    unplugged_s: float
    marked_off_s: float
    time_s: np.ndarray
    probe_c: np.ndarray
    noise_k: float
    #: Least step of the board. [K]
    step_k: float

    def readings(self, dice, rate_hz=10.0):
        """Time and what the board tells, noise and steps in it."""
        count = int(self.time_s[-1] * rate_hz)
        at_s = np.arange(count) / rate_hz
        told = np.interp(at_s, self.time_s, self.probe_c) + np.array(
            [dice.gauss(0.0, self.noise_k) for _ in range(count)]
        )
        told = np.round(told / self.step_k) * self.step_k
        return list(zip(at_s.tolist(), told.tolist(), strict=True))


def _case(dice, school, power, control):
    values = {
        one.name: math.exp(
            dice.uniform(
                math.log(getattr(DEFAULT_HEAT, one.name).low),
                math.log(getattr(DEFAULT_HEAT, one.name).high),
            )
        )
        for one in fields(DEFAULT_HEAT)
    }
    usual, of = Equipment(), SCHOOLS[school]
    equipment = replace(
        usual,
        room_c=dice.uniform(12.0, 28.0),
        blanket=replace(usual.blanket, power_density_w_m2=power * W_M2_PER_W_IN2),
    )
    inputs = HeatInputs(
        thickness_m=dice.uniform(0.0014, 0.0028),
        equipment=equipment,
        wetting=WET[school],
        early_alarm_c=of.early_alarm_c,
        target_c=of.target_c,
        control=control,
        bend_s=dice.uniform(180.0, 360.0),
        rest_s=_COOLING_S,
    )
    case = case_of(inputs)
    return inputs, replace(case, values=replace(case.values, **values))


def _by_hand(dice, inputs, case, solved):
    """The same on a dial: turned some seconds early or late, and again when the probe strays."""
    share = min(holding_share(solved, case.full_w_m2 * case.values.power_share), 1.0)
    off = solved.target_s + inputs.bend_s
    turns = [(solved.target_s + dice.uniform(-3.0, 3.0), min(share * dice.uniform(0.85, 1.1), 0.9))]
    for _ in range(12):
        schedule = ((0.0, 1.0), *turns, (off, 0.0))
        by_hand = solve(
            replace(case, control="schedule", schedule=schedule, limit_s=off + _COOLING_S)
        )
        looked = (by_hand.time_s > turns[-1][0] + 15.0) & (by_hand.time_s < off - 15.0)
        over_k = by_hand.probe_c - inputs.target_c
        strays = np.flatnonzero(looked & ((over_k > 5.0) | (over_k < -8.0)))
        if strays.size == 0:
            break
        at = int(strays[0])
        turns.append(
            (
                float(by_hand.time_s[at]) + dice.uniform(0.0, 3.0),
                min(turns[-1][1] * (0.85 if over_k[at] > 0.0 else 1.1), 0.9),
            )
        )
    return by_hand, turns, off


def good_bend(seed):
    """A bend that arrives in time, of any school, blanket, control and room; None if it is none."""
    dice = random.Random(f"bend {seed}")
    school = dice.choice(tuple(SCHOOLS))
    power = dice.uniform(2.5, 10.0)
    control = dice.choice(("dial", "dial", "thermostat", "controller"))
    inputs, case = _case(dice, school, power, "controller" if control == "dial" else control)
    solved = solve(case)
    if solved.target_s is None or solved.target_s > LONGEST_WARM_UP_S:
        return None
    target_s, turns, off = solved.target_s, [], solved.off_s
    if control == "dial":
        solved, turns, off = _by_hand(dice, inputs, case, solved)
    time_s = np.arange(0.0, solved.time_s[-1], 0.25)
    probe_c = np.interp(time_s, solved.time_s, solved.probe_c)
    pause_s = dice.uniform(0.0, 90.0)
    time_s, probe_c, later = _with_pause(dice, time_s, probe_c, pause_s, inputs.target_c, target_s)
    plugged = dice.uniform(60.0, 90.0)
    before = np.arange(0.0, plugged, 0.25)
    time_s = np.concatenate([before, plugged + time_s])
    probe_c = np.concatenate([np.full(before.size, probe_c[0]), probe_c])
    target_s, off = target_s + later + plugged, off + later + plugged
    room_c = inputs.equipment.room_c
    probe_c = _with_sprays(dice, time_s, probe_c, room_c, target_s, off)
    moved = later + plugged
    marked = [(at_s + moved + dice.uniform(0.0, 15.0), share) for at_s, share in turns]
    return Bend(
        school=school,
        power_w_in2=power,
        control=control,
        room_c=room_c,
        target_c=inputs.target_c,
        limit_c=limit_c(Heating(), inputs.target_c),
        plugged_s=plugged,
        marked_s=plugged + dice.uniform(-15.0, 5.0),
        target_s=target_s,
        turns=tuple(marked),
        unplugged_s=off,
        marked_off_s=off + dice.uniform(0.0, 20.0),
        time_s=time_s,
        probe_c=probe_c,
        noise_k=dice.choice((0.15, 1.0, 1.0)),
        step_k=dice.choice((0.01, 0.25, 1.0)),
    )


def _with_pause(dice, time_s, probe_c, pause_s, target_c, target_s):
    """The curve with a stand near 100 °C while water leaves; and by how much it comes later."""
    at_c = dice.uniform(96.0, min(104.0, target_c - 5.0))
    over = np.flatnonzero(probe_c >= at_c)
    if over.size == 0 or time_s[over[0]] > target_s:
        return time_s, probe_c, 0.0
    i = int(over[0])
    stand = np.arange(0.0, pause_s, 0.25)
    # It creeps by at most a degree, as a boiling place does.
    stood = probe_c[i] + dice.uniform(0.0, 1.0) * stand / max(pause_s, 1.0)
    later = stand.size * 0.25
    lifted = probe_c[i:]
    return (
        np.concatenate([time_s[:i], time_s[i] + stand, time_s[i:] + later]),
        np.concatenate([probe_c[:i], stood, lifted]),
        later,
    )


def _with_sprays(dice, time_s, probe_c, room_c, target_s, off_s):
    """Up to three sprays while it is bent: a fast dip by up to a fifth, and slowly back."""
    probe_c = probe_c.copy()
    at_s = target_s
    for _ in range(dice.randint(0, 3)):
        at_s += dice.uniform(30.0, 90.0)
        if at_s > off_s - 30.0:
            break
        share, fall_s, back_s = dice.uniform(0.05, 0.2), dice.uniform(1.0, 4.0), dice.uniform(6, 20)
        since = np.maximum(time_s - at_s, 0.0)
        down = np.minimum(since / fall_s, 1.0) * np.exp(-np.maximum(since - fall_s, 0.0) / back_s)
        probe_c -= share * (probe_c - room_c) * down
    return probe_c


@cache
def good_bends(count):
    """The first so many good bends."""
    found, seed = [], 0
    while len(found) < count:
        bend = good_bend(seed)
        seed += 1
        if bend is not None:
            found.append(bend)
    return tuple(found)
