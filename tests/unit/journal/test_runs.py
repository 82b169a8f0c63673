"""Runs in the journal: begun, written, ended, listed, read back; on both kinds of store."""

import math

import pytest
from sqlalchemy import func, insert, select

from journal_rows import new_run, put
from rimwright.errors import JournalError
from rimwright.journal import tables
from rimwright.journal.engine import Journal
from rimwright.journal.runs import (
    EventRow,
    RunFilter,
    SampleRow,
    Stretch,
    begin_run,
    end_run,
    events_of,
    last_sample,
    open_runs,
    run_lines,
    run_record,
    samples_after,
    stretches_of,
)


def called(seq: int, alarm: str) -> EventRow:
    data = {"alarm": alarm, "before": "normal", "after": "active_unacknowledged"}
    return EventRow(seq, float(seq), 1.764e9, "alarm", data)


def test_a_run_reads_back_as_it_was_written(journal: Journal):
    new = new_run()
    run = begin_run(journal, new)
    samples = [
        SampleRow(1, 0, 0, 21.25, None),
        SampleRow(2, 100, 1, None, "out of range"),
        SampleRow(3, 86_400_000 * 30, 0, 180.000001, None),
    ]
    events = [
        EventRow(1, 0.0, 1_764_000_000.125, "begun", {}),
        EventRow(
            2, 1.5, 1.764e9, "held", {"words": "glue ″ 🪵", "deep": [{"a": None}]}, "k1", "tablet"
        ),
    ]
    put(journal, run, samples, events)
    assert samples_after(journal, run) == samples
    assert samples_after(journal, run, 1, 1) == samples[1:2]
    assert last_sample(journal, run) == samples[-1]
    assert events_of(journal, run) == events
    assert events_of(journal, run, 1) == events[1:]
    record = run_record(journal, run)
    for name in ("model", "plan_code", "hand", "run_plan", "plan_document", "design_text",
                 "prediction", "blanket", "begun_wall_s", "simulated"):  # fmt: skip
        assert getattr(record, name) == getattr(new, name)
    assert record.probe_settings == ({"kind": "serial", "port": "/dev/ttyUSB0"},)
    assert [probe["name"] for probe in record.probes] == ["waist", "horn"]
    assert (record.samples, record.samples_last_s) == (3, 86_400.0 * 30)
    assert record.events == tuple(events)
    assert record.side is None


def test_an_empty_run_and_one_that_is_not_there(journal: Journal):
    run = begin_run(journal, new_run(plan_document=None, design_text=None, probes=[]))
    assert samples_after(journal, run) == []
    assert last_sample(journal, run) is None
    assert run_record(journal, run).plan_document is None
    for call in (lambda: run_record(journal, 99), lambda: end_run(journal, 99, "ended", 1.0)):
        with pytest.raises(JournalError, match="no run 99"):
            call()


def test_begun_and_ended(journal: Journal):
    first, second, other = (
        begin_run(journal, new_run(bench=bench)) for bench in ("left", "left", "right")
    )
    assert open_runs(journal) == (first, second, other)
    end_run(journal, first, "ended", 1_764_000_500.0)
    assert open_runs(journal, "left") == (second,)
    end_run(journal, second, "abandoned", 1_764_000_600.0)
    assert open_runs(journal) == (other,)
    assert run_record(journal, first).ended_wall_s == 1_764_000_500.0


def test_the_list_and_each_of_its_filters(journal: Journal):
    wren = begin_run(journal, new_run())
    curlew = begin_run(
        journal, new_run(model="Curlew 100%", hand="bass", simulated=False, begun_wall_s=1.765e9)
    )
    put(
        journal,
        wren,
        [SampleRow(seq, seq * 100, 0, 20.0) for seq in range(1, 8)],
        [
            called(1, "too_hot"),
            EventRow(2, 2.0, 0.0, "alarm", {"alarm": "too_hot", "after": "active_acknowledged"}),
            called(3, "too_hot"),
            called(4, "no_reading"),
        ],
    )
    with journal.writing() as connection:
        for uid, kind in (("a" * 36, "scorched"), ("b" * 36, "hairline"), ("c" * 36, "hairline")):
            values = {"uid": uid, "run_id": wren, "kind": kind, "wall_s": 1.0}
            connection.execute(insert(tables.outcomes).values(values))
    end_run(journal, wren, "ended", 1_764_000_900.0)

    lines = run_lines(journal)
    assert [line.id for line in lines] == [curlew, wren]
    assert (lines[1].outcome, lines[1].alarms, lines[1].samples) == ("scorched, hairline", 3, 7)
    assert (lines[0].outcome, lines[0].alarms, lines[0].samples) == ("", 0, 0)

    for filters, found in (
        (RunFilter(model="wREN"), [wren]),
        (RunFilter(model="100%"), [curlew]),
        (RunFilter(model="%"), [curlew]),
        (RunFilter(hand="bass"), [curlew]),
        (RunFilter(state="ended"), [wren]),
        (RunFilter(outcome="hairline"), [wren]),
        (RunFilter(outcome="none"), [curlew]),
        (RunFilter(outcome="sound"), []),
        (RunFilter(alarm="no_reading"), [wren]),
        (RunFilter(alarm="left_alone"), []),
        (RunFilter(since=1.7645e9), [curlew]),
        (RunFilter(until=1.7645e9), [wren]),
        (RunFilter(since=1.764e9, until=1.765e9), [wren]),
        (RunFilter(simulated=False), [curlew]),
        (RunFilter(simulated=True, alarm="too_hot", outcome="scorched"), [wren]),
        (RunFilter(limit=1), [curlew]),
    ):
        assert [line.id for line in run_lines(journal, filters)] == found, filters


def test_everything_that_belongs_to_a_run(journal: Journal):
    def add(table, **values):
        with journal.writing() as connection:
            row = insert(table).values(uid=f"{len(made):036d}", **values)
            made.append(connection.execute(row).inserted_primary_key[0])
            return made[-1]

    made: list[int] = []
    wood = add(tables.woods, name="maple", properties={"density": 600})
    board_set = add(tables.board_sets, name="plank 3", wood_id=wood)
    board = add(tables.boards, name="3a", set_id=board_set, length_m=0.9)
    instrument = add(
        tables.instruments, name="no. 7", model="Wren", player="right", begun_wall_s=1.0
    )
    mate = add(tables.sides, name="bass of 7", hand="bass")
    side = add(
        tables.sides, name="treble of 7", hand="treble", board_id=board, mate_id=mate,
        instrument_id=instrument, moisture=0.08, moisture_meter="pin", humidity=0.45,
    )  # fmt: skip
    run = begin_run(journal, new_run(side_id=side))
    add(tables.outcomes, run_id=run, kind="cracked", place="waist", face="outside", wall_s=2.0)
    add(tables.notes, subject="run", subject_id=run, wall_s=3.0, words="slow")
    add(tables.notes, subject="side", subject_id=run, wall_s=3.0, words="of another thing")
    add(
        tables.photographs, run_id=run, wall_s=4.0, media_type="image/jpeg", width_px=4,
        height_px=3, data=b"bytes",
    )  # fmt: skip
    add(
        tables.heat_fits, run_id=run, blanket="b", wall_s=5.0, rms_k=0.5, points=100,
        values={"power_share": [0.9, 0.8, 1.0]},
    )  # fmt: skip
    with journal.writing() as connection:
        for number, place in enumerate(("waist", "horn")):
            row = {"side_id": side, "number": number, "place": place, "thickness_m": 0.0022}
            connection.execute(insert(tables.side_thicknesses).values(row))

    record = run_record(journal, run)
    assert record.side is not None
    assert record.side.name == "treble of 7"
    assert [one.place for one in record.side.thicknesses] == ["waist", "horn"]
    assert record.side.thicknesses[0].thickness_m == 0.0022
    assert record.side.mate == {"id": mate, "name": "bass of 7"}
    assert record.side.wood["name"] == "maple"  # of the set, for the board names none
    assert record.side.instrument["name"] == "no. 7"
    assert record.side.board_set["name"] == "plank 3"
    assert [one["kind"] for one in record.outcomes] == ["cracked"]
    assert [one["words"] for one in record.notes] == ["slow"]
    assert record.photographs[0]["width_px"] == 4
    assert "data" not in record.photographs[0]
    assert record.fits[0]["values"] == {"power_share": [0.9, 0.8, 1.0]}


def test_curves_in_few_points_keep_peaks_and_gaps(journal: Journal):
    run = begin_run(journal, new_run())
    rows = [
        SampleRow(seq, 100 * seq, 0, 20.0 + (80.0 if seq == 15 else 0.0), None)
        for seq in range(10, 30)
    ]
    rows += [SampleRow(seq, 100 * seq, 0, None, "open") for seq in range(30, 50)]
    rows += [SampleRow(50, 5000, 1, 33.0)]
    put(journal, run, rows)
    assert stretches_of(journal, run, 1.0) == [
        Stretch(0, 1.0, 20.0, 100.0),
        Stretch(0, 2.0, 20.0, 20.0),
        Stretch(1, 5.0, 33.0, 33.0),
    ]


def test_long_lists_are_read_in_pieces(journal: Journal, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr("rimwright.journal.rows._PIECE", 7)
    run = begin_run(journal, new_run())
    rows = [SampleRow(seq, seq, 0, 1.0) for seq in range(1, 30)]
    put(journal, run, rows)
    assert samples_after(journal, run) == rows
    assert samples_after(journal, run, 5, 14) == rows[5:19]


def test_what_no_number_is_becomes_a_hole(journal: Journal):
    run = begin_run(journal, new_run())
    put(
        journal,
        run,
        [SampleRow(seq, seq, 0, value) for seq, value in enumerate((math.nan, math.inf, 1e9), 1)],
        [
            EventRow(
                1, math.nan, 0.0, "kind" * 20, {"x": math.nan, 3: object}, "k" * 99, "a\0b\ud800"
            )
        ],
    )
    assert [row.celsius for row in samples_after(journal, run)] == [None, None, None]
    assert {row.fault for row in samples_after(journal, run)} == {"out of range"}
    event = events_of(journal, run)[0]
    assert (event.at_s, event.data["x"], len(event.key), event.device) == (0.0, None, 64, "ab?")


def test_who_reads_sees_one_moment_and_changes_nothing(journal: Journal):
    with journal.reading() as connection:
        query = select(func.count()).select_from(tables.runs)
        assert connection.execute(query).scalar_one() == 0
        begin_run(journal, new_run())
        assert connection.execute(query).scalar_one() == 0
    assert len(open_runs(journal)) == 1
    with pytest.raises(Exception, match=r"permission|read-only"), journal.reading() as connection:
        connection.execute(insert(tables.about).values(key="a", value="b"))


def test_a_transaction_is_kept_or_undone_as_a_whole(journal: Journal):
    def fail() -> None:
        with journal.writing() as connection:
            connection.execute(insert(tables.about).values(key="a", value="b"))
            raise ValueError("in the middle")

    with pytest.raises(ValueError, match="in the middle"):
        fail()
    with journal.reading() as connection:
        assert connection.execute(select(tables.about)).all() == []
    with journal.writing(), pytest.raises(RuntimeError, match="within another"):
        journal.writing().__enter__()
