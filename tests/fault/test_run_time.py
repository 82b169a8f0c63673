"""Set clocks, DST, sleep and restarts: what a run's time does, beside its limits."""

import time as system_time
from collections.abc import Iterator

import pytest

from rimwright.live.clock import HandClock, SystemClock
from rimwright.live.events import Event
from rimwright.live.run_time import RunTime
from rimwright.live.run_words import line_of, wall_text
from running import REST_S, Running

HOLD_LIMIT_S = 0.5
TICK_S = 0.05


def told(run: Running, kind: str) -> list[Event]:
    return [one for one in run.events if one.kind == kind]


@pytest.mark.parametrize("by_s", [3600.0, -3600.0, 0.7, -86_400.0])
def test_a_set_wall_clock_moves_no_wait(by_s: float) -> None:
    run = Running().to("stand")
    begun, ends = run.clock.now(), run.state.ends_at_s
    assert ends is not None
    run.clock.advance(60.0)
    run.time.tick()  # awake, but nobody looked for a minute
    run.clock.set_wall(run.clock.wall() + by_s)
    run.tick()
    run.tick()
    assert [one.data["by_s"] for one in told(run, "clock_set")] == [pytest.approx(by_s)]
    assert run.state.ends_at_s == ends
    while run.state.wait_left_s(run.time.at()) > 0.0:
        run.clock.advance(TICK_S)
        run.tick()
    off_s = abs(run.clock.now() - begun - 600.0)
    print(f"hold timer under a wall step of {by_s:+.1f} s: off by {off_s:.3f} s, "
          f"limit {HOLD_LIMIT_S} s")  # fmt: skip
    assert off_s < HOLD_LIMIT_S
    ends_wall_s = run.state.ends_wall_s
    assert ends_wall_s is not None
    assert abs(ends_wall_s - run.clock.wall()) < HOLD_LIMIT_S, "the end on the wall is told anew"
    assert len(told(run, "clock_set")) == 1


def test_a_slow_drift_of_the_wall_is_told_once_it_matters() -> None:
    run = Running().to("stand")
    for _ in range(800):
        run.clock.advance(TICK_S)
        run.clock.set_wall(run.clock.wall() + 0.001)
        run.tick()
    by_s = [one.data["by_s"] for one in told(run, "clock_set")]
    assert by_s == [pytest.approx(0.5, abs=0.01)]
    assert run.state.ends_wall_s == pytest.approx(
        run.clock.wall() + run.state.wait_left_s(run.time.at()), abs=HOLD_LIMIT_S
    )


@pytest.fixture
def shop_zone(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Central European time by its rule, so that no table of zones is needed."""
    monkeypatch.setenv("TZ", "CET-1CEST,M3.5.0,M10.5.0/3")
    system_time.tzset()
    yield
    monkeypatch.undo()
    system_time.tzset()


#: 2026-10-25 at 00:59 UTC: 02:59 by summer's clock, and a minute later 02:00 by winter's.
AUTUMN_S = 1_792_889_940.0
#: 2027-03-28 at 00:59 UTC: 01:59, and a minute later 03:00.
SPRING_S = 1_806_195_540.0


@pytest.mark.usefixtures("shop_zone")
@pytest.mark.parametrize(
    ("wall_s", "before", "after"),
    [(AUTUMN_S, "Sun 25 Oct, 02:59", "Sun 25 Oct, 02:00"),
     (SPRING_S, "Sun 28 Mar, 01:59", "Sun 28 Mar, 03:00")],
)  # fmt: skip
def test_the_night_the_clocks_change(wall_s: float, before: str, after: str) -> None:
    run = Running(clock=HandClock(wall_s=wall_s)).to("stand")
    assert wall_text(run.clock.wall()) == before
    for _ in range(1201):
        run.clock.advance(TICK_S)
        run.tick()
    assert wall_text(run.clock.wall()) == after
    assert told(run, "clock_set") == told(run, "gap") == []
    off_s = abs(run.time.at() - 1201 * TICK_S)
    print(f"night of the clock change: run's time off by {off_s:.6f} s, limit {HOLD_LIMIT_S} s")
    assert off_s < HOLD_LIMIT_S
    assert run.state.ends_wall_s == wall_s + 600.0


def test_a_computer_that_slept_shows_a_gap() -> None:
    run = Running().to("rest")
    for _ in range(20):
        run.clock.advance(TICK_S)
        run.tick()
    begun = run.state.step_begun_s
    run.clock.advance(600.0)
    run.tick()
    gaps = told(run, "gap")
    print(f"sleep of 600 s: gap of {gaps[0].data['seconds']:.1f} s told, limit one gap of 600 s")
    assert [one.data["seconds"] for one in gaps] == [pytest.approx(600.0)]
    assert line_of(run.plan, gaps[0]) == (
        "Nothing was watched for 10 min: the computer slept or was busy"
    )
    assert run.state.wait_left_s(run.time.at()) == pytest.approx(REST_S - 601.0)
    assert run.time.at() - begun == pytest.approx(601.0), "the rest goes on in sleep"


def test_a_busy_computer_is_no_gap_and_a_stopped_program_is_one() -> None:
    run = Running()
    run.clock.advance(1.9)
    run.tick()
    assert told(run, "gap") == []
    run.clock.advance(2.1)
    run.tick()
    assert len(told(run, "gap")) == 1


def test_asleep_while_the_wall_is_set() -> None:
    run = Running().to("stand")
    run.clock.advance(600.0)
    run.clock.set_wall(run.clock.wall() + 3600.0)
    run.tick()
    assert [one.data["by_s"] for one in told(run, "clock_set")] == [pytest.approx(3600.0)]
    assert [one.data["seconds"] for one in told(run, "gap")] == [pytest.approx(600.0)]
    assert run.time.at() == 600.0


class Interrupted:
    """A clock whose two readings are torn apart by a busy computer, now and then."""

    boot = "torn"

    def __init__(self) -> None:
        self.seconds, self.every, self._asked = 0.0, 1000, 0

    def now(self) -> float:
        return self.seconds

    def wall(self) -> float:
        self._asked += 1
        if self._asked % self.every == 0:
            self.seconds += 1.0
        return 1_764_000_000.0 + self.seconds


@pytest.mark.parametrize("every", [2, 3, 1])
def test_readings_torn_apart_are_no_step(every: int) -> None:
    clock = Interrupted()
    time = RunTime.begun(clock)
    clock.every = every
    kinds = {one.kind for _ in range(50) for one in time.tick()}
    assert "clock_set" not in kinds


def test_the_computers_own_clocks_run_together() -> None:
    time = RunTime.begun(SystemClock())
    seen = []
    for _ in range(20):
        system_time.sleep(0.005)
        assert all(one.kind == "gap" for one in time.tick())
        seen.append(time.at())
    assert seen == sorted(seen)
    assert 0.1 <= seen[-1] < 60.0
