"""A run watched from outside: readings in, alarms out, as the live session strings them."""

import random
from dataclasses import dataclass, field

from rimwright.live.alarms import AlarmChange, Alarms, AlarmState, advanced
from rimwright.live.judging import HeatContext, ProbeJudge
from rimwright.live.readings import RawReading, Sample
from rimwright.live.watching import Watch


@dataclass
class Watched:
    """Judge, watch and alarms of one run; what was told is kept."""

    places: tuple[str, ...] = ("waist",)
    heat: HeatContext = field(default_factory=lambda: HeatContext(on=False))
    present_s: float = 0.0
    alarms: Alarms = field(default_factory=Alarms)
    told: list = field(default_factory=list)
    #: Every sample that was shown or withheld.
    samples: list = field(default_factory=list)
    keep: bool = True

    def __post_init__(self):
        self.judges = [ProbeJudge() for _ in self.places]
        self.watch = Watch(self.places)
        self.seq = 0

    def hear(self, at_s, celsius, *, fault=None, probe=0, heard=""):
        """A raw reading arrives."""
        raw = RawReading(probe=probe, celsius=celsius, fault=fault, heard=heard)
        value, why = self.judges[probe].judge(raw, at_s, self.heat)
        self.seq += 1
        sample = Sample(seq=self.seq, at_s=at_s, probe=probe, celsius=value, fault=why)
        if self.keep:
            self.samples.append(sample)
        self.watch.take(sample, self.heat)
        return sample

    def tick(self, at_s, *, recording_ok=True):
        """Time passes: causes are looked at and the alarms moved on."""
        causes = self.watch.conditions(
            at_s, self.heat, present_s=self.present_s, recording_ok=recording_ok
        )
        self.alarms, told = advanced(self.alarms, causes, at_s, heat_on=self.heat.on)
        self.told += told
        return told

    @property
    def called(self):
        """Every time an alarm was called out: came to be active and not acknowledged."""
        return [
            one
            for one in self.told
            if isinstance(one, AlarmChange) and one.after is AlarmState.ACTIVE_UNACKNOWLEDGED
        ]

    def first(self, key):
        """When an alarm was first called out; None if never. [s]"""
        return next((one.at_s for one in self.called if one.alarm == key), None)


def heat_on(since_s=0.0, **changed):
    """Heat at full power."""
    return HeatContext(on=True, since_s=since_s, **changed)


def climb(run, *, seconds, rate_k_s, from_c=21.0, begins_s=0.0, noise_k=0.2, probe=0, dice=None):
    """Ten readings a second of a steady climb or fall."""
    dice = dice or random.Random(1)
    for tenth in range(int(10 * seconds)):
        at_s = begins_s + 0.1 * tenth
        run.present_s = at_s
        celsius = from_c + rate_k_s * 0.1 * tenth + dice.gauss(0.0, noise_k)
        run.hear(at_s, round(celsius, 2), probe=probe)
        run.tick(at_s)
