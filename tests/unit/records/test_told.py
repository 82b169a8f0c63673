"""What is told of a run: its steps, what was predicted beside what came, its curve's pieces."""

from dataclasses import replace

import pytest

from journal_rows import event, new_run, put, sample
from records_kept import (
    BEGUN,
    HEAT_OFF,
    HEAT_ON,
    hard_run,
    practice_record,
    practised,
    reading,
    side_kept,
)
from rimwright.desk.record import record_told
from rimwright.journal.opening import open_journal
from rimwright.journal.rows import EventRow, Stretch
from rimwright.journal.runs import begin_run
from rimwright.live.run_plan import Ranged
from rimwright.sheets.record_compared import HeatSpan, compared_of, heat_span
from rimwright.sheets.record_curve import windows_of
from rimwright.sheets.record_pieces import blind_spans, pieces_of
from rimwright.sheets.record_plan import plan_of
from rimwright.sheets.record_steps import MOST_LINES, steps_of


@pytest.fixture(scope="module")
def hard(tmp_path_factory):
    """A run in which much goes wrong, told."""
    journal, _ = open_journal(tmp_path_factory.mktemp("hard") / "journal.sqlite")
    run = hard_run(journal, show="metric", side_id=side_kept(journal))
    told = record_told(journal, run)
    journal.close()
    return told


def test_every_stay_in_a_step_is_told(hard):
    assert [(one.title, one.phase) for one in hard.steps] == [
        ("Wet", "cold"), ("Check before the heat", "check"), ("Warm up", "hot"),
        ("Waist, nearly home", "hot"), ("Horn", "hot"), ("Waist, nearly home", "hot"),
        ("Unplug", "after"), ("Rest on the form", "after"),
    ]  # fmt: skip
    assert [one.number for one in hard.steps] == list(range(1, 9))
    assert [one.took_s for one in hard.steps] == [20, 40, 121, 169, 30, 120, 60, 430]
    assert hard.steps[2].wall_s == BEGUN + HEAT_ON


def test_what_happened_stands_in_its_step(hard):
    check, warm, waist, _, back, unplug, rest = hard.steps[1:]
    assert [one.words for one in check.lines] == [
        "Answered: form (scanned), face", "Check: Wrong face: turn it.",
    ]  # fmt: skip
    assert [(one.kind, one.words.split(":")[0]) for one in warm.lines] == [
        ("other", "Heat on"), ("call", "Early call"), ("call", "At target"),
        ("other", "Power to 60 %"),
    ]  # fmt: skip
    alarms = [one.words for one in waist.lines if one.kind == "alarm"]
    assert alarms == [
        "Too hot: called, 365 °F at the waist",
        "No reading: called, nothing from the waist for 2 s",
    ]
    words = [one.words for one in waist.lines]
    assert "Too hot: acknowledged" in words
    assert "Note: Smell of <toast>." in words
    assert any(one.startswith("Nothing was watched for 40 s") for one in words)
    assert "waist: reads again" in words
    assert [one.words for one in back.lines] == [
        "Back to Waist, nearly home", "Held: looking", "Goes on",
    ]  # fmt: skip
    assert [one.words for one in unplug.lines] == ["Heat off"]
    assert "ended early, 22.2 h were left" in rest.lines[0].words


def test_thousands_of_lines_are_few():
    plan = plan_of(practice_record())
    begun = EventRow(1, 0.0, BEGUN, "step_begun", {"step": "wet", "visit": 1})
    faults = [
        EventRow(n, float(n), BEGUN + n, "probe_fault", {"probe": 0, "fault": "open", "heard": ""})
        for n in range(2, 5000)
    ]
    (step,) = steps_of(plan, [begun, *faults])
    assert len(step.lines) == MOST_LINES
    assert step.more == 4998 - MOST_LINES
    assert step.lines[-1].at_s == 4999.0, "how it was left is told"


@pytest.mark.parametrize(
    ("kind", "data"),
    [
        ("alarm", {"alarm": "of another version", "before": "x", "after": "y"}),
        ("cue", {}), ("probe_fault", {"probe": 99, "fault": "open"}), ("gap", {"seconds": "long"}),
        ("turned_down", {}), ("of tomorrow", {"x": 1}), ("step_done", {}), ("went_back", {}),
        ("answered", {"answer": "yes"}), ("learnt", {}),
    ],
)  # fmt: skip
def test_events_that_this_version_cannot_read_do_not_hide_the_rest(tmp_path, kind, data):
    journal, _ = open_journal(tmp_path / "journal.sqlite")
    run = hard_run(journal)
    last = len(record_told(journal, run).steps)
    put(journal, run, (), [EventRow(900, 2000.0, BEGUN + 2000.0, kind, data)])
    told = record_told(journal, run)
    journal.close()
    assert len(told.steps) >= last
    assert told.compared


def test_a_run_whose_plan_cannot_be_read_is_told(tmp_path):
    journal, _ = open_journal(tmp_path / "journal.sqlite")
    run = begin_run(journal, new_run())
    put(journal, run, [sample(n) for n in range(1, 200)], [event(n) for n in range(1, 4)])
    told = record_told(journal, run)
    journal.close()
    assert told.title == "Wren, treble side"
    assert told.state == "on"
    assert told.steps == ()
    assert not told.curve.heated
    assert [one.name for one in told.curve.main.curves] == ["waist", "horn"]


def test_a_run_that_has_only_begun(tmp_path):
    journal, _ = open_journal(tmp_path / "journal.sqlite")
    told = record_told(journal, begin_run(journal, new_run(run_plan={}, prediction={})))
    journal.close()
    assert told.curve.main.curves == ()
    assert told.compared == ()
    assert told.outcome == "Nobody has said yet how it came out"


def test_what_was_predicted_beside_what_came(tmp_path):
    journal, _ = open_journal(practised(tmp_path))
    told = record_told(journal, 1)
    journal.close()
    found = {one.what: one for one in told.compared}
    target = practice_record().run_plan["predicted"]["to_target_s"]
    came = next(one for one in practice_record().events
                if one.kind == "cue" and one.data["cue"] == "target")  # fmt: skip
    on = next(one for one in practice_record().events if one.kind == "heat_on")
    assert target["low"] < came.at_s - on.at_s < target["high"]
    assert found["Heat on to target"].verdict == "within"
    assert found["Tightest bend"].predicted.endswith("of what it bears")
    assert found["Under heat"].came == "7 min 50 s"
    assert found["Hottest reading"].verdict == ""
    assert 0 < int(found["Probe in its band"].came.partition("%")[0]) <= 100
    assert told.learnt[0].startswith("Learnt of this blanket")


def test_verdicts(hard):
    found = {one.what: one for one in hard.compared}
    assert found["Heat on to early call"].came == "1 min 50 s"
    assert found["Power that holds"].verdict == "more"
    assert found["Hottest reading"].came == "185 °C"
    assert found["Hottest reading"].verdict == "over the limit"
    assert hard.alarms == 2


def test_the_chance_of_a_crack_and_what_became_of_it():
    plan = plan_of(practice_record())
    chance = Ranged(middle=0.37, low=0.09, high=0.72)
    plan = replace(plan, predicted=replace(plan.predicted, crack_chance=chance))

    def told(outcome):
        found = {one.what: one for one in compared_of(plan, [], None, (), outcome)}
        return found["Chance of a crack"]

    assert told("cracked").predicted == "37% (9% to 72%)"
    assert [told(words).came for words in ("cracked", "")] == ["cracked", "not said"]


def test_sooner_later_and_not_reached():
    plan = plan_of(practice_record())
    early = plan.predicted.to_early_alarm_s

    def compared(after_s):
        cue = EventRow(2, 10.0 + after_s, BEGUN, "cue", {"cue": "early", "words": ""})
        on = EventRow(1, 10.0, BEGUN, "heat_on", {"share": 1.0})
        events = [on] if after_s is None else [on, cue]
        return compared_of(plan, events, heat_span(events), (), "")[0]

    assert compared(early.low - 1.0).verdict == "sooner"
    assert compared(early.high + 1.0).verdict == "later"
    on = [EventRow(1, 10.0, BEGUN, "heat_on", {"share": 1.0})]
    assert compared_of(plan, on, heat_span(on), (), "")[0].came == "not reached"
    assert compared_of(plan, [], None, (), "")[0].came == "not reached"


def test_the_share_of_its_band():
    """A probe on the middle of the band is inside; one above all of it is not."""
    plan = plan_of(practice_record())
    told = plan.predicted
    heat = HeatSpan(on_s=100.0, off_s=100.0 + told.time_s[-1])

    def inside(move):
        read = [
            Stretch(0, 100.0 + at_s, celsius + move, celsius + move)
            for at_s, celsius in zip(told.time_s, told.probe_c, strict=True)
        ]
        found = {one.what: one for one in compared_of(plan, [], heat, read, "")}
        return found["Probe in its band"].came

    assert inside(0.0) == "100% inside it"
    assert inside(60.0) == "0% inside it"


def test_a_gap_stays_a_gap(hard):
    waist, horn = hard.curve.main.curves
    assert (waist.name, horn.name) == ("waist", "horn")

    def crossed(curve, moment):
        return any(piece[0][0] < moment - HEAT_ON < piece[-1][0] for piece in curve.pieces)

    assert len(waist.pieces) == 3
    assert len(horn.pieces) == 2
    for moment in (270.0, 290.0):
        assert not crossed(waist, moment)
        assert not crossed(horn, moment)
    assert not crossed(waist, 330.0)
    assert crossed(horn, 330.0)
    assert crossed(waist, 250.0)


def test_no_peak_is_lost(hard):
    (waist, _) = hard.curve.main.curves
    highest = max(celsius for piece in waist.pieces for _, celsius in piece)
    assert highest == max(reading(second) for second in range(1, 1000)) == 185.0
    assert len([point for piece in waist.pieces for point in piece]) <= 2 * 520


def test_calls_alarms_and_steps_stand_on_the_curve(hard):
    marks = [(one.words, one.kind) for one in hard.curve.main.marks]
    assert marks == [
        ("Early call", "call"), ("At target", "call"), ("Too hot", "alarm"),
        ("No reading", "alarm"),
    ]  # fmt: skip
    assert hard.curve.main.marks[0].at_s == 166.0 - HEAT_ON
    assert hard.curve.main.marks[0].celsius == pytest.approx(reading(166.0), abs=2.0)
    assert hard.curve.main.marks[3].celsius is None, "no probe read then"
    assert [one.title for one in hard.curve.main.ticks][:2] == ["Warm up", "Waist, nearly home"]
    assert [words for words, _ in hard.curve.lines] == [
        "early call 100 °C", "target 110 °C", "limit 180 °C",
    ]  # fmt: skip


def test_a_probe_that_is_read_seldom_has_no_gaps():
    slow = [Stretch(0, 30.0 * n, 20.0 + n, 20.0 + n) for n in range(20)]
    assert len(pieces_of(slow, 1.0, 0.0, ())) == 1
    hole = [*slow[:10], *[replace(one, at_s=one.at_s + 200.0) for one in slow[10:]]]
    assert len(pieces_of(hole, 1.0, 0.0, ())) == 2
    assert pieces_of([], 1.0, 0.0, ()) == ()


def test_times_that_were_not_watched():
    def row(at_s, kind, **data):
        return EventRow(1, at_s, BEGUN, kind, data)

    events = [
        row(50.0, "gap", seconds=20.0), row(60.0, "probe_fault", probe=0, fault="open"),
        row(62.0, "probe_fault", probe=0, fault="open"), row(70.0, "probe_back", probe=0),
        row(65.0, "probe_fault", probe=1, fault="open"), row(90.0, "gap", seconds="x"),
        row(95.0, "probe_fault", probe=0, fault="stuck"),
    ]  # fmt: skip
    assert blind_spans(events, 0, 100.0) == ((30.0, 50.0), (60.0, 70.0), (95.0, 100.0))
    assert blind_spans(events, 1, 100.0) == ((30.0, 50.0), (65.0, 100.0))


def test_windows_of_a_heat_and_its_rest():
    heat = HeatSpan(on_s=HEAT_ON, off_s=HEAT_OFF)
    assert windows_of(heat, 1000.0).main == (HEAT_ON, HEAT_OFF + 150.0)
    assert windows_of(heat, 1000.0).rest is None, "too short for a panel of its own"
    assert windows_of(heat, 90_000.0).rest == (HEAT_OFF + 150.0, 90_000.0)
    on = HeatSpan(on_s=HEAT_ON, off_s=None)
    assert windows_of(on, 300.0).main == (HEAT_ON, 300.0)
    assert windows_of(None, 500.0).main == (0.0, 500.0)
    assert windows_of(None, 0.0).main[1] > 0.0


def test_the_side_that_was_bent(hard):
    facts = dict(hard.side_facts)
    assert facts["Thickness, measured"] == "tail end 2.15 mm, waist 2.10 mm (at 268.0 mm)"
    assert facts["Moisture"] == "8.1%, by the one with pins"
    assert facts["Air"] == "44.0% humidity, by the brass one"
    assert facts["Board"] == "7 a of plank 7, 820.0 mm × 120.0 mm × 3.50 mm, run-out 1.1°"
    assert facts["Wood"] == "pond walnut"
    assert facts["Its mate"] == "Wren 14 bass (side 1)"
    assert facts["Tightest bend"].startswith("horn, 22 mm radius")
    assert dict(hard.bench_facts)["Early call, target, limit"] == "100 °C, 110 °C, 180 °C"
