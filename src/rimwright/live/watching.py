"""What a run's readings say: the leading probe, its rate, and what is a cause for alarm."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rimwright.live import watching_words as words
from rimwright.live.alarms_table import AlarmKey
from rimwright.live.judging import HeatContext
from rimwright.live.readings import FAULT_WORDS, Fault, Sample
from rimwright.live.watching_doubt import Doubt
from rimwright.live.watching_probe import DOUBTFUL, OTHER_LEVEL_K, STALE_S, TOO_SOON_S, ProbeWatch
from rimwright.live.watching_words import Show
from rimwright.units import time_text

#: Nobody has tapped for so long. [s]
ALONE_S = 600.0
#: Further off the limit is not told. [s]
_LONGEST_S = 600.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Condition:
    """Whether an alarm has cause now, and in words what it is."""

    alarm: AlarmKey
    true: bool
    words: str = ""
    probe: int | None = None


class Watch:
    """One run's readings as they come; asked, it tells the causes of the five alarms.

    Parameters
    ----------
    places : sequence of str
        Name of each probe, by number, for the words: "waist".

    Examples
    --------
    >>> watch = Watch(["waist"])
    >>> heat = HeatContext(on=True, since_s=0.0)
    >>> for tenth in range(100):
    ...     celsius = 171.0 + 0.1 * tenth
    ...     watch.take(Sample(seq=tenth + 1, at_s=0.1 * tenth, probe=0, celsius=celsius), heat)
    >>> watch.conditions(9.9, heat, present_s=0.0)[0].words
    '181 °C at the waist, over the limit of 180 °C'
    """

    def __init__(self, places: Sequence[str]) -> None:
        self._probes = tuple(ProbeWatch(place) for place in places)
        self._doubt = Doubt()
        self._leading = 0
        #: When it was first asked: after a restart no probe has been heard yet. [s]
        self._asked_s: float | None = None

    def take(self, sample: Sample, heat: HeatContext) -> None:
        """Take a judged sample, not before the one before."""
        number, at_s = sample.probe, sample.at_s
        probe = self._probes[number]
        if not probe.take(sample, heat):
            return
        if len(self._probes) > 1:
            lead = self.lead(at_s)
            if lead is None or lead[0] != number:
                return
            before = self._probes[self._leading].celsius
            if number != self._leading and abs(probe.celsius - before) > OTHER_LEVEL_K:
                self._doubt.restart()
        self._leading = number
        self._doubt.take(at_s, probe.celsius, heat)

    def lead(self, at_s: float) -> tuple[int, float] | None:
        """The hottest probe and what it reads; None where no reading is 2 s young. [degC]"""
        best: tuple[int, float] | None = None
        for number, probe in enumerate(self._probes):
            if (best is None or probe.celsius > best[1]) and probe.fresh(at_s):
                best = number, probe.celsius
        return best

    def level_c(self, at_s: float) -> float | None:
        """The leading reading with its noise taken out; what cues go by. [degC]"""
        lead = self.lead(at_s)
        return None if lead is None else self._probes[lead[0]].level_c

    def rate_k_s(self, at_s: float) -> float | None:
        """How fast the leading reading rises, over its last six seconds. [K/s]"""
        lead = self.lead(at_s)
        return None if lead is None else self._probes[lead[0]].trend.rate_k_s()

    def to_limit_s(self, at_s: float, heat: HeatContext) -> float | None:
        """Until the leading reading is at the limit at its present rate; 0 past it. [s]

        None without a reading, and where it does not rise or is more than ten minutes off.
        """
        lead = self.lead(at_s)
        seconds = None if lead is None else self._probes[lead[0]].to_limit_s(heat.limit_c)
        return seconds if seconds is not None and seconds <= _LONGEST_S else None

    def probe_now(
        self, probe: int, at_s: float
    ) -> tuple[float | None, Fault | None, str, float | None]:
        """What to show of a probe: temperature or fault, its words, and when it was heard."""
        return self._probes[probe].now(at_s)

    def heat_seen(self, at_s: float) -> bool:
        """Whether a probe tells of heat: 10 K in one go, each piece of it over 0.3 K/s.

        A probe that is put into something warm rises fast and then ever slower: that is not it.
        """
        return any(probe.tells_heat(at_s) for probe in self._probes)

    def conditions(
        self,
        at_s: float,
        heat: HeatContext,
        *,
        present_s: float,
        recording_ok: bool = True,
        recording_words: str = "",
        show: Show = "metric",
    ) -> tuple[Condition, ...]:
        """Which of the alarms have cause, in the order of their table.

        Parameters
        ----------
        at_s : float
            Now, in the run's time. [s]
        heat : HeatContext
            As marked.
        present_s : float
            When somebody last tapped anything. [s]
        recording_ok, recording_words
            Of the journal.
        show : "metric" or "inch"
            Degrees of the words.
        """
        return (
            self._too_hot(at_s, heat, show),
            self._no_reading(at_s, heat),
            self._doubtful(at_s, heat, show),
            _left_alone(at_s, heat, present_s),
            Condition(
                alarm=AlarmKey.NOT_RECORDING,
                true=not recording_ok,
                words="" if recording_ok else recording_words or words.NOT_RECORDING,
            ),
        )

    def _too_hot(self, at_s: float, heat: HeatContext, show: Show) -> Condition:
        """Heat marked on or not; one that fell silent hot is hot until the heat is off."""
        found: tuple[int, ProbeWatch] | None = None
        for number, probe in enumerate(self._probes):
            hotter = found is None or probe.celsius > found[1].celsius
            if probe.hot and hotter and (heat.on or probe.fresh(at_s)):
                found = number, probe
        if found is None:
            return Condition(alarm=AlarmKey.TOO_HOT, true=False)
        number, probe = found
        limit_c, rate = heat.limit_c, probe.trend.rate_k_s()
        soon = probe.to_limit_s(limit_c)
        if not probe.fresh(at_s):
            said = words.last_hot(probe.place, probe.celsius, show)
        elif probe.highest_c >= limit_c:
            said = words.over_limit(probe.place, probe.highest_c, limit_c, show)
        elif soon is not None and soon < TOO_SOON_S and rate is not None:
            said = words.soon_at_limit(
                probe.place, probe.level_c, limit_c, show, rate_k_s=rate, to_limit_s=soon
            )
        else:
            said = words.near_limit(probe.place, probe.level_c, limit_c, show)
        return Condition(alarm=AlarmKey.TOO_HOT, true=True, words=said, probe=number)

    def _no_reading(self, at_s: float, heat: HeatContext) -> Condition:
        none = Condition(alarm=AlarmKey.NO_READING, true=False)
        self._asked_s = at_s if self._asked_s is None else self._asked_s
        if not heat.on:
            return none
        heard = False
        for number, probe in enumerate(self._probes):
            if probe.linked_s is None:
                continue
            heard = True
            silent_s = at_s - probe.linked_s
            if silent_s >= STALE_S:
                why = probe.now(at_s)[2]
                said = words.no_reading(probe.place, silent_s, why)
                return Condition(alarm=AlarmKey.NO_READING, true=True, words=said, probe=number)
        since_s = max(self._asked_s, heat.since_s or 0.0)
        if heard or at_s - since_s < STALE_S:
            return none
        why = next((FAULT_WORDS[probe.fault] for probe in self._probes if probe.fault), "")
        said = f"{words.NEVER_HEARD}: {why}" if why else words.NEVER_HEARD
        return Condition(alarm=AlarmKey.NO_READING, true=True, words=said)

    def _doubtful(self, at_s: float, heat: HeatContext, show: Show) -> Condition:
        """Only while the heat is marked on: with it off a fall is normal and probes are moved."""
        if not heat.on:
            return Condition(alarm=AlarmKey.PROBE_DOUBTFUL, true=False)
        said, of = "", 0
        for number, probe in enumerate(self._probes):
            if probe.heard_s is None or at_s - probe.heard_s > STALE_S:
                continue
            fault = probe.fault
            if probe.jumping(at_s):
                said, of = words.JUMPING.format(place=probe.place), number
            elif fault is not None and fault in DOUBTFUL and fault is not Fault.JUMPED:
                said, of = f"{probe.place}: {FAULT_WORDS[fault]}", number
            if said:
                break
        doubt = self._doubt
        if not said and doubt.trouble:
            probe, of = self._probes[self._leading], self._leading
            said = words.trouble_words(
                doubt.trouble, probe.place, probe.level_c, heat.target_c, show
            )
        return Condition(
            alarm=AlarmKey.PROBE_DOUBTFUL,
            true=bool(said),
            words=said,
            probe=of if said else None,
        )


def _left_alone(at_s: float, heat: HeatContext, present_s: float) -> Condition:
    since_s = present_s if heat.since_s is None else max(present_s, heat.since_s)
    alone = heat.on and at_s - since_s >= ALONE_S
    said = words.LEFT_ALONE.format(time=time_text(at_s - since_s)) if alone else ""
    return Condition(alarm=AlarmKey.LEFT_ALONE, true=alone, words=said)
