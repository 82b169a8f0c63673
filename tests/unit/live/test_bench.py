"""A run on the bench: from mist to an ended record, over restarts, for two devices."""

import pytest

from benched import Benched, wren
from journal_stores import journal, store  # noqa: F401  # fixtures
from rimwright.desk.beginning import to_begin
from rimwright.equipment.probes import parse_probe
from rimwright.errors import ProbeError, RunError
from rimwright.journal.keeping import newest_fit, outcomes_of
from rimwright.journal.runs import open_runs, run_lines, run_record, samples_after
from rimwright.live.bench import FASTEST, LiveBench
from rimwright.live.host_sound import NoSound

pytestmark = pytest.mark.filterwarnings("error")


class Heard(NoSound):
    """Counts what the shop computer calls."""

    hearing = "armed"

    def __init__(self):
        self.calls = []

    def call(self, what):
        self.calls.append(what)


def test_a_whole_bend_is_kept(journal):  # noqa: F811
    sound = Heard()
    bend = Benched(journal, sound=sound)
    bend.to("inspect")
    bend.tap("outcome", outcome={"kind": "hairline", "place": "horn", "face": "outside"})
    bend.tap("finish")
    bend.pass_time(0.2)
    bend.bench.writer.flush()
    record = run_record(journal, bend.run)
    assert record.state == "ended"
    assert open_runs(journal) == ()
    assert record.prediction["to_target_s"]["low"] < record.prediction["to_target_s"]["high"]
    assert record.plan_document["code"] == record.plan_code
    cues = [one.data["cue"] for one in record.events if one.kind == "cue"]
    assert {"soak_over", "early", "target", "turn_down", "rest_over"} <= set(cues)
    # A good bend has no alarm at all.
    assert [one for one in record.events if one.kind == "alarm"] == []
    assert "alarm" not in sound.calls
    assert sound.calls.count("cue") == len(cues)
    assert [one.kind for one in outcomes_of(journal, bend.run)] == ["hairline"]
    assert run_lines(journal)[0].outcome == "hairline"
    samples = samples_after(journal, bend.run)
    assert [one.seq for one in samples] == list(range(1, len(samples) + 1))
    assert [one.seq for one in record.events] == list(range(1, len(record.events) + 1))
    (learnt,) = [one for one in record.events if one.kind == "learnt"]
    assert learnt.data["kept"]
    fit = newest_fit(journal, record.blanket, simulated=True)
    assert fit is not None
    assert fit.run == bend.run
    # Practice says nothing of a real blanket.
    assert newest_fit(journal, record.blanket) is None
    bend.stop()


def test_it_goes_on_after_a_restart_in_the_heat(journal):  # noqa: F811
    bend = Benched(journal)
    bend.to("horn")
    before = bend.view
    bend.stop()
    bend.clock.advance(20.0)
    again = Benched(journal, clock=bend.clock, begin=False)
    now = again.view
    assert again.run == bend.run
    assert now["step"]["key"] == "horn"
    assert now["visit"] == before["visit"]
    assert now["heat"] == before["heat"]
    assert now["at_s"] == pytest.approx(before["at_s"] + 20.0, abs=0.5)
    again.pass_time(3.0)
    # The model went on as a stack would: no step in its curve, and the forecast is there again.
    assert abs(again.view["lead"]["celsius"] - before["lead"]["celsius"]) < 6.0
    assert again.view["forecast"] is not None
    assert [one.data["why"] for one in again.kinds("gap")] == ["off"]
    assert again.view["alarms"] == []
    # What was heard before is told to a page that missed it, and nothing twice.
    seqs = [one.seq for one in again.bench.samples_after(again.run, 0)]
    assert seqs == list(range(seqs[0], seqs[-1] + 1))
    hello = again.bench.hello(again.run, 0, "")
    assert hello["history"][0][0] < 5.0
    assert hello["seq"] == seqs[-1]
    again.stop()


def test_a_page_of_before_is_told_what_was_never_kept(journal):  # noqa: F811
    bend = Benched(journal)
    bend.pass_time(5.0)
    boot, last = bend.bench.boot, bend.session.memory.last
    bend.stop()
    again = Benched(journal, clock=bend.clock, begin=False)
    same = again.bench.hello(again.run, last, boot)
    assert (same["rewind"], same["seq"]) == (None, last)
    # Seven samples that the page had and the journal never got.
    ahead = again.bench.hello(again.run, last + 7, boot)
    assert (ahead["rewind"], ahead["seq"]) == (last, last)
    again.stop()


def test_a_rest_is_over_when_it_would_have_been(journal):  # noqa: F811
    bend = Benched(journal)
    bend.to("rest")
    ends = bend.view["rest"]["ends_s"]
    bend.stop()
    # The computer is off for the night: another start, only the wall clock tells.
    bend.clock.advance(80_000.0)
    bend.clock.boot, bend.clock.seconds = "another", 12.0
    again = Benched(journal, clock=bend.clock, begin=False)
    assert again.view["rest"]["ends_s"] == pytest.approx(ends, abs=1e-6)
    left = ends - again.session.now()[0]
    again.pass_time(left - 5.0, 5.0)
    assert "rest_over" not in [one.data["cue"] for one in again.kinds("cue")]
    again.pass_time(15.0, 5.0)
    assert "rest_over" in [one.data["cue"] for one in again.kinds("cue")]
    again.stop()


def test_two_devices_and_a_double_tap(journal):  # noqa: F811
    bend = Benched(journal)
    visit = bend.view["visit"]
    assert not bend.tap("done", key="the-same-tap", visit=visit).again
    assert bend.tap("done", key="the-same-tap", visit=visit).again
    with pytest.raises(RunError, match=r"already marked done|done"):
        bend.tap("done", device="phone", visit=visit)
    assert bend.view["step"]["key"] == "stand"
    bend.stop()
    again = Benched(journal, clock=bend.clock, begin=False)
    assert again.tap("done", key="the-same-tap", visit=visit).again
    again.stop()


def test_a_silent_probe_is_called_and_comes_back(journal):  # noqa: F811
    sound = Heard()
    bend = Benched(journal, sound=sound)
    bend.to("hold")
    bend.silent = True
    bend.pass_time(2.2)
    assert bend.alarms() == {"no_reading": "active_unacknowledged"}
    assert bend.view["lead"] is None
    assert bend.view["probes"][0]["celsius"] is None
    assert bend.view["sound"]["alarm"]
    assert "alarm" in sound.calls
    calls = sound.calls.count("alarm")
    bend.tap("acknowledge", alarm="no_reading")
    bend.pass_time(3.0)
    assert sound.calls.count("alarm") == calls
    bend.silent = False
    bend.pass_time(3.0)
    assert bend.alarms() == {}
    assert [one.data["fault"] for one in bend.kinds("probe_fault")] == ["silent"]
    assert len(bend.kinds("probe_back")) == 1
    bend.stop()


def test_too_hot_is_called_and_the_log_tells_who_saw_it(journal):  # noqa: F811
    bend = Benched(journal)
    bend.to("hold")
    for tenth in range(900):
        bend.clock.advance(0.1)
        bend.deliver(110.0 + 0.1 * tenth)
        bend.bench.tick()
    assert bend.alarms()["too_hot"] == "active_unacknowledged"
    bend.tap("acknowledge", alarm="too_hot", device="phone")
    log = [line for line in bend.view["log"] if line["words"].startswith("Too hot: ack")]
    assert [line["device"] for line in log] == ["phone"]
    bend.stop()


def test_heat_that_nobody_marked_is_marked(journal):  # noqa: F811
    bend = Benched(journal)
    for tenth in range(400):
        bend.clock.advance(0.1)
        bend.deliver(21.0 + 0.09 * tenth + 0.02 * (tenth % 3))
        bend.bench.tick()
    (on,) = bend.kinds("heat_on")
    assert on.data["seen"]
    bend.stop()


def test_posted_readings_find_their_probe(journal):  # noqa: F811
    bench = LiveBench(journal, ticking=False)
    bench.start()
    probe = parse_probe("horn=http:,token=a-token-of-some-length")
    new = to_begin(journal, wren(), hand="treble", settings=(probe,))
    run = bench.begin(new)
    bench.push("horn", "a-token-of-some-length", b"87.5")
    bench.tick()
    assert bench.view(run)["probes"][0]["celsius"] == 87.5
    with pytest.raises(ProbeError):
        bench.push("waist", "a-token-of-some-length", b"87.5")
    bench.stop()


def test_a_second_run_knows_the_blanket_better(journal):  # noqa: F811
    bend = Benched(journal)
    bend.to("rest")
    bend.pass_time(400.0, 1.0)
    bend.tap("abandon")
    bend.pass_time(0.2)
    bend.bench.writer.flush()
    first = run_record(journal, bend.run).prediction["to_target_s"]
    new = to_begin(journal, wren(), hand="bass", settings=(parse_probe("waist=model"),))
    second = new.run_plan.predicted.to_target_s
    assert second.high - second.low < 0.7 * (first["high"] - first["low"])
    bend.stop()


def test_a_speed_no_reading_could_follow_is_refused(journal):  # noqa: F811
    bench = LiveBench(journal, ticking=False)
    settings = (parse_probe("waist=model"),)
    new = to_begin(journal, wren(), hand="bass", settings=settings, speed=2 * FASTEST)
    with pytest.raises(ProbeError, match="speed of 60"):
        bench.begin(new)
    assert run_lines(journal) == ()
    bench.stop()
