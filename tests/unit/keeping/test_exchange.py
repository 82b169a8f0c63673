"""Records out and in again: three forms, chosen runs, what is there already, nothing half."""

import csv
import json
import resource
import shutil

import pytest
from pyarrow import parquet

from journal_filled import NOW, fill, picture, told
from journal_rows import event, new_run, put, sample
from rimwright.errors import JournalError, OutputError
from rimwright.journal import exchange_rows
from rimwright.journal.exchange import FORMS, export_records, import_records
from rimwright.journal.exchange_tables import BY_NAME, TABLES
from rimwright.journal.keeping import (
    Outcome,
    Side,
    Wood,
    add_note,
    record_outcome,
    save_side,
    save_wood,
    sides,
    woods,
)
from rimwright.journal.opening import open_journal
from rimwright.journal.photographs import keep_photograph
from rimwright.journal.runs import begin_run, end_run, run_lines, samples_after


@pytest.fixture
def other(tmp_path):
    """Another journal, a file."""
    opened, _ = open_journal(tmp_path / "other.sqlite")
    yield opened
    opened.close()


def test_a_round_trip_is_equal_in_every_form(journal, tmp_path):
    run, _ = fill(journal)
    before = told(journal, tmp_path / "before", ended_only=True)
    samples = samples_after(journal, run)
    assert {one.fault for one in samples} == {None, "open"}
    for form in FORMS:
        folder = tmp_path / form
        exported = export_records(journal, folder, form)
        assert (exported.runs, exported.samples) == (2, 280)
        assert sorted(exported.files) == sorted(p for p in folder.rglob("*") if p.is_file())
        target, _ = open_journal(tmp_path / f"{form}.sqlite")
        done = import_records(target, folder)
        assert done.still_open == 1
        assert (done.added["runs"], done.added["samples"], done.there) == (1, 250, {})
        assert told(target, tmp_path / f"after-{form}") == before
        assert samples_after(target, run_lines(target)[0].id) == samples
        again = import_records(target, folder)
        assert again.added == {}
        assert sum(again.there.values()) == 15
        assert "15 there already" in again.words
        assert told(target, tmp_path / f"again-{form}") == before
        target.close()


def test_into_a_server_and_out_of_it_again(store, other, tmp_path):
    fill(other, photographs=2)
    export_records(other, tmp_path / "out", "parquet")
    journal = store.open()
    add_note(journal, "run", begin_run(journal, new_run()), "here before", NOW)
    assert import_records(journal, tmp_path / "out").added["photographs"] == 2
    chosen = [line.id for line in run_lines(journal) if line.state == "ended"]
    export_records(journal, tmp_path / "back", "csv", chosen)
    journal.close()
    third, _ = open_journal(tmp_path / "third.sqlite")
    import_records(third, tmp_path / "back")
    wanted = told(other, tmp_path / "a", ended_only=True)
    assert told(third, tmp_path / "b") == wanted
    third.close()


def test_chosen_runs_come_with_all_they_rest_on_and_nothing_else(journal, other, tmp_path):
    run, _ = fill(journal)
    save_wood(journal, Wood(name="Rosewood, never used"))
    save_side(journal, Side(name="another", hand="bass"))
    alone = begin_run(journal, new_run(plan_code="CURLEW-1"))
    end_run(journal, alone, "abandoned", NOW)
    export_records(journal, tmp_path / "one", "json", [alone])
    import_records(other, tmp_path / "one")
    assert [line.plan_code for line in run_lines(other)] == ["CURLEW-1"]
    assert sides(other) == woods(other) == ()
    export_records(journal, tmp_path / "both", "csv", [run, alone])
    done = import_records(other, tmp_path / "both")
    assert (done.added["runs"], done.there["runs"]) == (1, 1)
    assert [one.name for one in sides(other)] == ["Wren 14 bass", "Wren 14 treble"]
    assert [one.mate_id for one in sides(other)] == [2, 1]
    assert [one.name for one in woods(other)] == ["Maple of 2019"]
    with pytest.raises(JournalError, match="no run 99"):
        export_records(journal, tmp_path / "none", "csv", [99])
    assert not (tmp_path / "none").exists()


def test_what_was_said_of_a_run_later_comes_with_the_next_import(journal, other, tmp_path):
    run, still_open = fill(journal)
    export_records(journal, tmp_path / "first", "csv")
    import_records(other, tmp_path / "first")
    record_outcome(journal, run, Outcome(kind="ripples", wall_s=NOW))
    add_note(journal, "run", run, "ripples on the third day", NOW)
    keep_photograph(journal, run, picture(), "ripples", NOW)
    end_run(journal, still_open, "ended", NOW)
    export_records(journal, tmp_path / "second", "csv")
    done = import_records(other, tmp_path / "second")
    added = {name: count for name, count in done.added.items() if name in BY_NAME and count}
    assert added == {
        "outcomes": 1, "notes": 1, "photographs": 1, "runs": 1, "run_probes": 2, "samples": 30,
        "events": 1,
    }  # fmt: skip
    assert told(other, tmp_path / "a") == told(journal, tmp_path / "b")


def test_a_mate_that_is_there_keeps_the_mate_it_has(journal, other, tmp_path):
    fill(journal)
    export_records(journal, tmp_path / "first", "json")
    import_records(other, tmp_path / "first")
    bass = sides(journal, hand="bass")[0]
    third = save_side(journal, Side(name="third", hand="treble"))
    (old,) = [one for one in sides(journal, hand="treble") if one.id != third]
    with journal.writing() as connection:
        connection.exec_driver_sql(f"UPDATE sides SET mate_id = {third} WHERE id = {bass.id}")
        connection.exec_driver_sql(f"UPDATE sides SET mate_id = NULL WHERE id = {old.id}")
        connection.exec_driver_sql(f"UPDATE sides SET mate_id = {bass.id} WHERE id = {third}")
    export_records(journal, tmp_path / "second", "json")
    import_records(other, tmp_path / "second")
    assert [one.mate_id for one in sides(other)][:2] == [2, 1]


def test_units_are_in_the_names_and_gaps_stay_gaps(journal, tmp_path):
    fill(journal)
    export_records(journal, tmp_path / "csv", "csv")
    with (tmp_path / "csv" / "samples.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert list(rows[0]) == ["run_uid", "seq", "at_ms", "probe", "celsius", "fault"]
    faults = [row for row in rows if row["fault"]]
    assert [row["seq"] for row in faults] == ["99", "199"]
    assert {(row["celsius"], row["fault"]) for row in faults} == {("", "open")}
    export_records(journal, tmp_path / "parquet", "parquet")
    table = parquet.read_table(tmp_path / "parquet" / "samples.parquet")
    assert str(table.schema.field("celsius").type) == "double"
    assert table["celsius"].null_count == 2
    plain = {"moisture", "humidity", "number", "seq", "probe", "points", "media_type", "values"}
    for exported in TABLES:
        for column in exported.columns:
            if column.kind in ("integer", "number"):
                unit = column.name.rpartition("_")[2]
                assert unit in {"s", "ms", "m", "rad", "px", "k", "celsius"} or (
                    column.name in plain
                ), column.name


def test_a_run_of_a_day_goes_through_in_little_memory(tmp_path, monkeypatch):
    """The pieces are made small instead of the run large; the soak has the day itself."""
    monkeypatch.setattr(exchange_rows, "PIECE", 100)
    journal, _ = open_journal(tmp_path / "journal.sqlite")
    run = begin_run(journal, new_run())
    put(journal, run, [sample(n) for n in range(1, 1001)], [event(n) for n in range(1, 251)])
    end_run(journal, run, "ended", NOW)
    for form in FORMS:
        export_records(journal, tmp_path / form, form)
        other, _ = open_journal(tmp_path / f"{form}.sqlite")
        import_records(other, tmp_path / form)
        assert samples_after(other, 1) == samples_after(journal, run)
        other.close()
    journal.close()


def test_a_folder_that_holds_something_is_left_alone(journal, tmp_path):
    fill(journal, photographs=0)
    folder = tmp_path / "full"
    folder.mkdir()
    (folder / "letter.txt").write_text("mine")
    with pytest.raises(OutputError, match="not empty"):
        export_records(journal, folder, "csv")
    with pytest.raises(OutputError, match="not empty"):
        export_records(journal, folder / "letter.txt", "csv")
    assert [path.name for path in folder.iterdir()] == ["letter.txt"]
    with pytest.raises(JournalError, match="one of csv, parquet, json"):
        export_records(journal, tmp_path / "new", "xlsx")


@pytest.mark.parametrize("form", FORMS)
def test_an_export_that_fails_leaves_nothing(form, tmp_path, monkeypatch):
    journal, _ = open_journal(tmp_path / "journal.sqlite")
    fill(journal)

    def breaks(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("rimwright.journal.exchange.picture_of", breaks)
    with pytest.raises(OutputError, match="a full disk"):
        export_records(journal, tmp_path / "out", form)
    assert not (tmp_path / "out").exists()
    journal.close()


def test_an_import_stopped_between_runs_leaves_whole_runs(journal, other, tmp_path, monkeypatch):
    for number in range(4):
        run = begin_run(journal, new_run(plan_code=f"WREN-{number}"))
        put(journal, run, [sample(n) for n in range(1, 51)], [event(1)])
        end_run(journal, run, "ended", NOW)
    export_records(journal, tmp_path / "out", "csv")
    writing = type(other).writing
    calls = []

    def third_fails(self):
        calls.append(self)
        if len(calls) == 4:
            raise JournalError("a full disk", "free space", "make room")
        return writing(self)

    monkeypatch.setattr(type(other), "writing", third_fails)
    with pytest.raises(JournalError, match="after 2 runs taken in whole"):
        import_records(other, tmp_path / "out")
    monkeypatch.undo()
    assert [line.samples for line in run_lines(other)] == [50, 50]
    done = import_records(other, tmp_path / "out")
    assert (done.added["runs"], done.there["runs"]) == (2, 2)
    assert told(other, tmp_path / "a") == told(journal, tmp_path / "b")


def test_the_folder_may_be_moved_and_its_index_says_what_it_is(journal, other, tmp_path):
    fill(journal)
    export_records(journal, tmp_path / "out", "csv")
    index = json.loads((tmp_path / "out" / "index.json").read_text())
    assert index["format"] == "rimwright-records/1"
    assert index["tables"]["samples"] == 280
    shutil.move(tmp_path / "out", tmp_path / "elsewhere")
    assert import_records(other, tmp_path / "elsewhere").added["runs"] == 1


@pytest.mark.soak
@pytest.mark.parametrize("form", FORMS)
def test_a_day_at_ten_a_second(form, tmp_path):
    journal, _ = open_journal(tmp_path / "journal.sqlite")
    run = begin_run(journal, new_run())
    for first in range(1, 864_001, 20_000):
        put(journal, run, [sample(n) for n in range(first, min(first + 20_000, 864_001))])
    end_run(journal, run, "ended", NOW)
    before_kb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    export_records(journal, tmp_path / "out", form)
    other, _ = open_journal(tmp_path / "other.sqlite")
    import_records(other, tmp_path / "out")
    grown_mb = (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before_kb) / 1e3
    assert run_lines(other)[0].samples == 864_000
    print(f"a day as {form}: memory grew by {grown_mb:.0f} MB, limit 200 MB")
    assert grown_mb < 200.0
    other.close()
    journal.close()
