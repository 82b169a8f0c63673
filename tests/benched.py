"""A bench under a clock by hand: a real plan, a real journal, a model for a probe."""

import functools
import json
from dataclasses import replace

from rimwright.desk.beginning import to_begin
from rimwright.desk.opening import open_design
from rimwright.equipment.probes import parse_probe
from rimwright.live.bench import LiveBench
from rimwright.live.clock import HandClock
from rimwright.live.commands import Command
from rimwright.live.probes.model import ModelSource
from rimwright.live.readings import RawReading
from rimwright.plan import make_plan

#: In a rest nobody need look ten times a second.
REST_STEP_S = 60.0
WREN = "examples/tern-lane/wren.rim.toml"


@functools.cache
def _wren_text():
    from pathlib import Path

    root = Path(__file__).resolve().parents[1]
    return json.dumps(make_plan(open_design(root / WREN)).document)


def wren():
    """What the Wren's plan.json holds."""
    return json.loads(_wren_text())


class Benched:
    """One run on a bench whose time stands until it is moved."""

    def __init__(self, journal, *, clock=None, sound=None, hand="treble", faults=(), begin=True):
        self.clock = clock or HandClock()
        self.bench = LiveBench(
            journal, clock=self.clock, ticking=False, sound=sound, gap_s=2.0 * REST_STEP_S
        )
        self.bench.start()
        self._faults = faults
        self._taps = 0
        self.run = 0
        if begin:
            new = to_begin(journal, wren(), hand=hand, settings=(parse_probe("waist=model"),))
            self.run = self.bench.begin(replace(new, device="tablet"))
        else:
            (self.run,) = self.bench.runs()
        self.session = self.bench.session(self.run)
        (source,) = self.session.sources
        assert isinstance(source, ModelSource)
        source.stop()  # its thread would read a clock that stands still
        self.model = source.model
        self.silent = False

    def pass_time(self, seconds, step_s=0.1):
        """Time passes, read ten times a second."""
        for _ in range(round(seconds / step_s)):
            self.clock.advance(step_s)
            if not self.silent:
                self.read()
            self.bench.tick()

    def read(self):
        """The probe delivers its reading of now."""
        heard = self.model.heard(self.session.now()[0])
        self.deliver(heard.celsius, heard.fault)

    def deliver(self, celsius, fault=None):
        """Any reading, now."""
        self.session.hearing.deliver(
            RawReading(probe=0, celsius=celsius, fault=fault, heard_at_s=self.clock.now())
        )

    def tap(self, kind, *, key="", device="tablet", visit=None, **data):
        """A command as a page sends it."""
        self._taps += 1
        visit = self.view["visit"] if visit is None else visit
        key = key or f"{id(self)}-{self._taps}"
        return self.bench.command(
            self.run, Command(key=key, kind=kind, visit=visit, device=device, data=data)
        )

    def to(self, step):
        """Do every step up to this one; waits pass, the warm-up goes to the target."""
        while self.view["step"]["key"] != step:
            here = self.view["step"]
            if here["key"] == "check":
                for question in self.view["check"]["questions"]:
                    if question["blocking"]:
                        self.tap("answer", question=question["key"], answer="yes")
            elif here["key"] == "warm-up":
                while (self.view["lead"] or {"celsius": 0.0})["celsius"] < 110.0:
                    self.pass_time(1.0)
            elif here["ends_s"] is not None:
                left = here["ends_s"] - self.session.now()[0]
                self.pass_time(left, REST_STEP_S if left > 3600.0 else 1.0)
                self.pass_time(REST_STEP_S, 1.0)
            self.pass_time(2.0)
            self.tap("done")

    @property
    def view(self):
        return self.bench.view(self.run)

    def alarms(self):
        """Keys of those that stand, in their states."""
        return {one["key"]: one["state"] for one in self.view["alarms"]}

    def kinds(self, kind):
        """Events of a kind."""
        return [one for one in self.session.events if one.kind == kind]

    def stop(self):
        self.bench.stop()
