"""Probes that break in every way: the right alarm in time, and no fault ever a temperature.

When each fault is knowable, that is, from when on the readings differ from what a sound probe in
a heated stack could tell:

open, short, not a number, 65535, garbled text
    with the first reading that is one.
unplugged
    with the first reading that does not come, or the first message of a lost link.
frozen
    after 30 s of the same figure with the heat on; before that a hold may look the same.
detached
    at once where the reading falls with a time constant up to 20 s (10 s are then allowed); else
    when it has lost three tenths of what it stood over the room: a stack left alone loses a
    sixth in half a minute, a spray of water takes a fifth for seconds. Within 20 K of the room it
    is not knowable from the fall, only from the warming that does not come.
reversed
    when it has fallen 5 K below where it stood as the heat came on.
spikes
    with the third within ten seconds; one alone is withheld and is nobody's work.
step
    with the third reading at the other level.
never seated
    40 s after the heat is marked on: until then a plug may be in the hand still.
"""

import math
import random
from dataclasses import dataclass, replace

import pytest

from counts import SOAK
from rimwright.live.alarms import AlarmKey
from rimwright.live.judging import HeatContext
from rimwright.live.readings import FAULT_WORDS, Fault
from watched import Watched, climb, heat_on

#: What is asked. [s]
LATEST_S, DETACHED_LATEST_S = 2.0, 10.0
ROOM_C, TICK_S = 21.0, 0.05
HEATED_S = 30.0
#: Over the time constant, until a fall has lost that share.
THREE_TENTHS = math.log(1.0 / 0.7)


@dataclass
class Case:
    """A sound run up to the fault, and what comes after."""

    dice: random.Random
    noise_k: float
    rate_k_s: float
    #: When the fault begins.
    fault_s: float
    #: Of full power, once it is at the target: half of the runs are turned down.
    share: float

    def true_c(self, at_s):
        """Of the stack: cold, then a climb that ends at the target."""
        return min(ROOM_C + self.rate_k_s * max(at_s - HEATED_S - 3.0, 0.0), 109.0)

    def told_c(self, celsius):
        """As a board tells it."""
        return round(celsius + self.dice.gauss(0.0, self.noise_k), 2)


def made_case(name, number):
    dice = random.Random(f"{name} {number}")
    rate = dice.uniform(0.4, 2.0)
    # Warm enough that a fall can be told from one, or anywhere in the climb or the hold.
    warm_s = HEATED_S + 3.0 + 40.0 / rate
    return Case(
        dice,
        noise_k=dice.uniform(0.02, 1.0),
        rate_k_s=rate,
        fault_s=dice.uniform(warm_s, warm_s + 90.0),
        share=dice.choice((1.0, 0.5)),
    )


# Each takes the case, the time since the fault, and what is true; and gives what the source
# delivers (a temperature and a fault, or None for nothing), and whether the fault shows in it.
def wire(fault):
    return lambda case, since_s, true_c: ((None, fault), True)


def value(celsius):
    return lambda case, since_s, true_c: ((celsius, None), True)


def unplugged(case, since_s, true_c):
    return None, True


def lost_link(case, since_s, true_c):
    return (None, Fault.UNPLUGGED) if since_s % 3.0 < 0.1 else None, True


def frozen(case, since_s, true_c):
    if not hasattr(case, "frozen_c"):
        case.frozen_c = case.told_c(true_c)
    return (case.frozen_c, None), since_s > 30.0


def detached(slowest_s, fastest_s):
    def fall(case, since_s, true_c):
        if not hasattr(case, "from_c"):
            case.from_c, case.tau_s = true_c, case.dice.uniform(slowest_s, fastest_s)
        left = (case.from_c - ROOM_C) * math.exp(-since_s / case.tau_s)
        shows = since_s > max(DETACHED_LATEST_S, case.tau_s * THREE_TENTHS + LATEST_S)
        return (case.told_c(ROOM_C + left), None), shows

    return fall


def spikes(case, since_s, true_c):
    case.next_s = getattr(case, "next_s", 0.0)
    if since_s < case.next_s:
        return (case.told_c(true_c), None), False
    case.next_s = since_s + case.dice.uniform(0.5, 2.5)
    case.count = getattr(case, "count", 0) + 1
    case.third_s = since_s if case.count == 3 else getattr(case, "third_s", None)
    spike = case.dice.choice((-1.0, 1.0)) * case.dice.uniform(30.0, 250.0)
    return (case.told_c(true_c + spike), None), True


def step(case, since_s, true_c):
    if not hasattr(case, "level_c"):
        far = [-30.0 - true_c, -30.0], [30.0, 50.0]
        step_k = case.dice.uniform(*case.dice.choice(far))
        case.level_c = true_c + step_k
        # Until it could have got there at 20 K/s; from then on the alarm stands and it is shown.
        case.until_s = (abs(step_k) - 8.0 - 5.0 * case.noise_k) / 20.0 - 0.5
    return (case.told_c(case.level_c), None), since_s < case.until_s


FAULTS = {
    "open": (wire(Fault.OPEN), AlarmKey.NO_READING),
    "short": (wire(Fault.SHORT), AlarmKey.NO_READING),
    "not a number": (value(math.nan), AlarmKey.NO_READING),
    "65535": (value(65535.0), AlarmKey.NO_READING),
    "garbled text": (wire(Fault.GARBLED), AlarmKey.NO_READING),
    "unplugged": (unplugged, AlarmKey.NO_READING),
    "lost link": (lost_link, AlarmKey.NO_READING),
    "frozen": (frozen, AlarmKey.PROBE_DOUBTFUL),
    "detached, up to 20 s": (detached(5.0, 20.0), AlarmKey.PROBE_DOUBTFUL),
    "detached, 20 to 60 s": (detached(20.0, 60.0), AlarmKey.PROBE_DOUBTFUL),
    "spikes": (spikes, AlarmKey.PROBE_DOUBTFUL),
    "step": (step, AlarmKey.PROBE_DOUBTFUL),
}


def knowable_s(name, case):
    """Seconds from the fault on."""
    if name == "frozen":
        return 30.0
    if name == "detached, 20 to 60 s":
        return case.tau_s * THREE_TENTHS
    if name == "spikes":
        return case.third_s
    return 0.2 if name == "step" else 0.0


def replayed(name, number):
    """One run into the fault: alarms called, how late, and faulty readings that were shown."""
    case, (deliver, key) = made_case(name, number), FAULTS[name]
    run = Watched(heat=HeatContext(on=False, room_c=ROOM_C), keep=False)
    shown, now, fault_s = [], 0.0, None
    for tenth in range(int(10 * (case.fault_s + 75.0))):
        at_s = 0.1 * tenth + case.dice.uniform(0.0, 0.03)
        while now < at_s:
            if not run.heat.on and now >= HEATED_S:
                run.heat = heat_on(now, room_c=ROOM_C)
            run.present_s = now
            run.tick(now)
            now += TICK_S
        true_c = case.true_c(at_s)
        if true_c >= 109.0 and at_s < case.fault_s:
            run.heat = replace(run.heat, share=case.share)
        if at_s < case.fault_s:
            run.hear(at_s, case.told_c(true_c))
            continue
        fault_s = at_s if fault_s is None else fault_s
        delivered, shows = deliver(case, at_s - fault_s, true_c)
        if delivered is not None:
            sample = run.hear(at_s, delivered[0], fault=delivered[1])
            if shows and sample.celsius is not None:
                shown.append((at_s - fault_s, sample.celsius))
        if run.called and at_s - fault_s > 40.0:
            break
    alarm_s = run.first(key)
    late = None if alarm_s is None else alarm_s - fault_s - knowable_s(name, case)
    return late, {one.alarm for one in run.called}, shown, run


@pytest.mark.parametrize("name", FAULTS)
def test_a_broken_probe_is_called_in_time_and_never_a_temperature(name):
    runs = 500 if SOAK else 15
    key = FAULTS[name][1]
    limit = DETACHED_LATEST_S if name.startswith("detached, up") else LATEST_S
    late, others, shown = [], [], []
    for number in range(runs):
        seconds, called, faulty, _ = replayed(name, number)
        late.append(math.inf if seconds is None else seconds)
        others += sorted(called - {key})
        shown += faulty
    print(
        f"{name}: {runs} replays, latest '{key}' {max(late):.2f} s after it is knowable "
        f"(earliest {min(late):.2f}), limit {limit} s; other alarms {others}, limit none; "
        f"shown as a temperature {len(shown)}, limit 0"
    )
    assert max(late) <= limit
    assert not others, others
    assert not shown, shown[:5]


def test_swapped_wires_are_told_when_the_reading_has_fallen_five_degrees():
    late, shown = [], 0
    runs = 500 if SOAK else 25
    for number in range(runs):
        dice = random.Random(f"reversed {number}")
        rate, noise = dice.uniform(0.4, 2.0), dice.uniform(0.02, 1.0)
        run = Watched(heat=HeatContext(on=False, room_c=ROOM_C))
        climb(run, seconds=10, rate_k_s=0.0, noise_k=noise, dice=dice)
        run.heat = heat_on(10.0, room_c=ROOM_C)
        climb(run, seconds=30, rate_k_s=-rate, begins_s=10.0, noise_k=noise, dice=dice)
        knowable_s = 10.0 + 5.0 / rate
        late.append(run.first(AlarmKey.PROBE_DOUBTFUL) - knowable_s)
        assert [one.alarm for one in run.called] == [AlarmKey.PROBE_DOUBTFUL]
        assert FAULT_WORDS[Fault.REVERSED] in run.called[0].words
        shown += sum(
            one.at_s > knowable_s + LATEST_S and one.celsius is not None for one in run.samples
        )
    print(
        f"reversed: {runs} replays, latest {max(late):.2f} s after it is knowable, limit "
        f"{LATEST_S} s; shown as a temperature {shown}, limit 0"
    )
    assert max(late) <= LATEST_S
    assert shown == 0
