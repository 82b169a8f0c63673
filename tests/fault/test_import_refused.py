"""Exports that were tampered with: refused in one line, nothing taken in, nothing read outside."""

import csv
import io
import json
import os
import random
import resource
import shutil
import time
import zipfile

import pyarrow as pa
import pytest
from pyarrow import parquet

from counts import times
from journal_filled import fill, picture
from rimwright.errors import JournalError, PictureError, RimwrightError
from rimwright.journal import exchange_parquet
from rimwright.journal.backup import back_up
from rimwright.journal.exchange import FORMS, export_records, import_records
from rimwright.journal.exchange_tables import BY_NAME, TABLES
from rimwright.journal.keeping import instruments, sides, woods
from rimwright.journal.opening import open_journal
from rimwright.journal.photographs import photographs_of
from rimwright.journal.runs import run_lines

#: Nothing is looked at for longer than this. [s]
HANG_S = 30.0
LOST = "00000000-0000-4000-8000-000000000000"


@pytest.fixture(scope="module")
def exported(tmp_path_factory):
    """One small export of each form, to be spoiled."""
    home = tmp_path_factory.mktemp("exported")
    journal, _ = open_journal(home / "journal.sqlite")
    run, still_open = fill(journal, samples=20)
    for form in FORMS:
        export_records(journal, home / form, form, [run, still_open])
    journal.close()
    return home


@pytest.fixture
def target(tmp_path):
    """A journal that stays empty, whatever comes."""
    journal, _ = open_journal(tmp_path / "target.sqlite")
    yield journal
    journal.close()


def empty(journal):
    things = (run_lines(journal), woods(journal), sides(journal), instruments(journal))
    return things == ((),) * 4


def refused(target, folder):
    begun = time.monotonic()
    with pytest.raises(RimwrightError) as error:
        import_records(target, folder)
    line = str(error.value)
    assert time.monotonic() - begun < HANG_S
    assert "\n" not in line
    assert len(line) < 700, line
    assert isinstance(error.value, JournalError | PictureError)
    assert empty(target)
    return line


def csv_rows(folder, table):
    with (folder / f"{table}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def write_csv(folder, table, rows, columns=None):
    columns = columns or [column.name for column in BY_NAME[table].columns]
    with (folder / f"{table}.csv").open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, columns, extrasaction="ignore")
        writer.writeheader()
        writer.writerows(rows)


#: Table, column, what is put there, what the line says.
WRONG_CELLS = [
    ("samples", "celsius", "warm", "celsius 'warm'"),
    ("samples", "celsius", "nan", "an ordinary number"),
    ("samples", "celsius", "inf", "an ordinary number"),
    ("samples", "celsius", "1e999", "celsius"),
    ("samples", "celsius", "1" * 500, "celsius"),
    ("samples", "celsius", "2e6", "a temperature of 2e+06 °C"),
    ("samples", "celsius", "1_0", "celsius '1_0'"),
    ("samples", "celsius", "0x10", "celsius '0x10'"),
    ("samples", "celsius", "21,5", "celsius '21,5'"),
    ("samples", "celsius", "٣", "celsius"),
    ("samples", "fault", "open", "a temperature and a fault"),
    ("samples", "seq", "0", "a number in its run"),
    ("samples", "seq", "-5", "a number in its run"),
    ("samples", "seq", "2147483648", "a number in its run"),
    ("samples", "seq", "9" * 40, "a whole number"),
    ("samples", "seq", "1.0", "a whole number"),
    ("samples", "seq", "2", "twice"),
    ("samples", "seq", "", "a whole number"),
    ("samples", "at_ms", "9" * 18, "a time"),
    ("samples", "probe", "40000", "a probe's number"),
    ("samples", "run_uid", LOST, "the uid of a run in the same export"),
    ("samples", "run_uid", "../../etc/passwd", "run_uid '../../etc/passwd'"),
    ("events", "kind", "Ended!", "a kind of event"),
    ("events", "kind", "x" * 30, "a kind of event"),
    ("events", "data", "{", "data '{'"),
    ("events", "data", '{"a": NaN}', "plain JSON without NaN"),
    ("events", "data", '{"a": 1e999}', "plain JSON without NaN"),
    ("events", "data", "[1]", "an object"),
    ("events", "data", "[" * 100_000, "plain JSON"),
    ("events", "key", "k" * 65, "a key or device too long"),
    ("events", "wall_s", "1e18", "a moment"),
    ("events", "at_s", "-1e300", "at_s"),
    ("runs", "uid", "../../../home/journal", "uid '../../../home/journal'"),
    ("runs", "uid", LOST.replace("-", "/"), "uid"),
    ("runs", "uid", "C:\\windows\\system32", "uid"),
    ("runs", "hand", "left", "one of 'bass', 'treble'"),
    ("runs", "state", "running", "one of 'open', 'ended', 'abandoned'"),
    ("runs", "simulated", "maybe", "true or false"),
    ("runs", "run_plan", "[]", "an object"),
    ("runs", "probe_settings", "{}", "a list"),
    ("runs", "begun_wall_s", "yesterday", "begun_wall_s 'yesterday'"),
    ("runs", "model", "x" * 2000, "model of 2000 characters"),
    ("runs", "model", "a\0b", "model"),
    ("runs", "side_uid", LOST, "the uid of a side in the same export"),
    ("sides", "mate_uid", LOST, "the uid of a side in the same export"),
    ("sides", "moisture", "12", "a moisture from 0 to 2"),
    ("sides", "moisture_meter", "", "nothing that measured it"),
    ("sides", "name", "", "a side's name"),
    ("boards", "length_m", "820", "a length from 0.05 to 5 m"),
    ("boards", "wood_uid", LOST, "the uid of a wood in the same export"),
    ("side_thicknesses", "thickness_m", "2.1", "a thickness from 0.0002 to 0.02 m"),
    ("side_thicknesses", "number", "0", "a number from 1 to 100"),
    ("run_probes", "kind", "x" * 11, "a kind"),
    ("outcomes", "kind", "broken", "one of 'sound'"),
    ("outcomes", "uid", "", "a uid"),
    ("photographs", "uid", "..%2f..%2fetc%2fpasswd", "uid"),
    ("photographs", "uid", LOST, "no file"),
    ("notes", "subject", "wood", "one of 'run'"),
    ("notes", "subject_uid", LOST, "in the same export"),
    ("heat_fits", "values", '{"a": 1}', "middle, low and high"),
    ("heat_fits", "values", '{"a": [1, 2]}', "middle, low and high"),
    ("heat_fits", "points", "1e3", "a whole number"),
    ("woods", "properties", "null", "properties"),
]


def test_cells_that_are_none(exported, target, tmp_path):
    for number, (table, column, cell, words) in enumerate(WRONG_CELLS):
        folder = shutil.copytree(exported / "csv", tmp_path / str(number))
        rows = csv_rows(folder, table)
        rows[0][column] = cell
        write_csv(folder, table, rows)
        line = refused(target, folder)
        assert words in line, (table, column, cell, line)
        shutil.rmtree(folder)
    print(f"{len(WRONG_CELLS)} cells that cannot be: all refused in one line, nothing taken in")


def test_columns_that_are_wrong(exported, target, tmp_path):
    for number, table in enumerate(TABLES):
        names = [column.name for column in table.columns]
        for change, words in (
            (names[1:], f"no column '{names[0]}'"),
            ([*names, "price"], "the column 'price'"),
            ([*names[:-1], names[0]], "no column"),
            ([name.title() for name in names], "the column"),
        ):
            folder = shutil.copytree(exported / "csv", tmp_path / f"{number}", dirs_exist_ok=True)
            write_csv(folder, table.name, csv_rows(folder, table.name), change)
            assert words in refused(target, folder)
        shutil.rmtree(folder)


def test_files_that_are_no_csv(exported, target, tmp_path):
    whole = (exported / "csv" / "samples.csv").read_bytes()
    heading = whole.splitlines(keepends=True)[0]
    spoiled = {
        "empty": b"", "letters": b"Dear shop,\r\n", "not UTF-8": whole + b"\xff\xfe\xfa",
        "a quote without an end": heading + b'"' + whole[len(heading) :],
        "one line without end": heading + b'"' + b"x" * 9_000_000,
        "cells too many": whole + b"1,2,3,4,5,6,7\r\n", "a blank row": whole + b",,,,,\r\n",
        "a row less": b"".join(whole.splitlines(keepends=True)[:-1]),
        "a row twice": whole + whole.splitlines(keepends=True)[-1],
        "a zip": zipped(b"samples.csv", whole), "UTF-16": whole.decode().encode("utf-16"),
    }  # fmt: skip
    folder = shutil.copytree(exported / "csv", tmp_path / "csv")
    for data in spoiled.values():
        (folder / "samples.csv").write_bytes(data)
        assert "samples.csv" in refused(target, folder)
    (folder / "samples.csv").unlink()
    assert "no file 'samples.csv'" in refused(target, folder)


def zipped(name, data):
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(name.decode(), data)
    return stream.getvalue()


def test_folders_that_are_no_export(exported, target, tmp_path):
    archive = tmp_path / "records.zip"
    archive.write_bytes(zipped(b"../../index.json", b"{}"))
    assert "unpacked" in refused(target, archive)
    assert "no such folder" in refused(target, tmp_path / "nowhere")
    (tmp_path / "bare").mkdir()
    assert "index.json" in refused(target, tmp_path / "bare")
    folder = shutil.copytree(exported / "csv", tmp_path / "csv")
    index = json.loads((folder / "index.json").read_text())
    for change in (
        {"format": "rimwright-records/2"}, {"format": None}, {"form": "xlsx"}, {"form": "json"},
        {"form": "parquet"}, {"tables": []}, {"tables": {}}, {"form": ["csv"]},
        {"tables": {**index["tables"], "samples": 10**30}},
    ):  # fmt: skip
        (folder / "index.json").write_text(json.dumps({**index, **change}))
        refused(target, folder)
    for text in ("", "[]", "{", "null", '{"format"', "\0", '{"a":' * 50_000, '{"format": 1} x'):
        (folder / "index.json").write_text(text)
        refused(target, folder)


def test_nothing_outside_of_the_folder_is_read(exported, target, tmp_path):
    folder = shutil.copytree(exported / "csv", tmp_path / "csv")
    secret = tmp_path / "secret.csv"
    shutil.move(folder / "samples.csv", secret)
    (folder / "samples.csv").symlink_to(secret)
    assert "no file 'samples.csv' in the folder itself" in refused(target, folder)
    (folder / "samples.csv").unlink()
    # A pipe would be waited for without end.
    os.mkfifo(folder / "samples.csv")
    assert "no file 'samples.csv' in the folder itself" in refused(target, folder)
    (folder / "samples.csv").unlink()
    (folder / "samples.csv").symlink_to("/dev/zero")
    refused(target, folder)
    (folder / "samples.csv").unlink()
    (folder / "samples.csv").symlink_to("samples.csv")
    refused(target, folder)


def test_photographs_that_are_none(exported, target, tmp_path):
    folder = shutil.copytree(exported / "parquet", tmp_path / "parquet")
    (path,) = folder.glob("photographs/*.jpg")
    for data in (b"", b"GIF89a", picture()[:500], b"\xff\xd8" + b"\0" * 13_000_000):
        path.write_bytes(data)
        assert path.name in refused(target, folder)
    path.unlink()
    assert "no file" in refused(target, folder)


def test_a_photograph_that_was_exchanged_is_made_fit_again(exported, tmp_path):
    folder = shutil.copytree(exported / "csv", tmp_path / "csv")
    (path,) = folder.glob("photographs/*.jpg")
    path.write_bytes(picture((3000, 200), "PNG"))
    journal, _ = open_journal(tmp_path / "journal.sqlite")
    import_records(journal, folder)
    (line,) = photographs_of(journal, 1)
    assert (line.width_px, line.height_px) == (2400, 160)
    journal.close()


def test_parquet_of_other_types(exported, target, tmp_path):
    folder = shutil.copytree(exported / "parquet", tmp_path / "parquet")
    path = folder / "samples.parquet"
    whole = parquet.read_table(path)
    data = path.read_bytes()
    text = pa.array(["warm"] * len(whole))
    wrong = [
        (whole.set_column(4, "celsius", text), "celsius of type string"),
        (whole.set_column(1, "seq", pa.array([1.5] * len(whole))), "seq of type double"),
        (whole.set_column(0, "run_uid", pa.array([b"x"] * len(whole))), "run_uid of type binary"),
        (whole.set_column(4, "celsius", pa.array([[1.0]] * len(whole))), "celsius of type list"),
        (whole.set_column(4, "celsius", pa.array([float("nan")] * len(whole))), "celsius nan"),
        (whole.set_column(4, "celsius", pa.array([1e300] * len(whole))), "celsius"),
        (whole.set_column(1, "seq", pa.array([None] * len(whole), pa.int64())), "seq None"),
        (whole.drop_columns(["fault"]), "no column 'fault'"),
        (whole.append_column("price", text), "the column 'price'"),
        (whole.append_column("celsius", whole["celsius"]), "a column twice"),
        (whole.slice(1), "as index.json says"),
    ]
    for table, words in wrong:
        parquet.write_table(table, path)
        assert words in refused(target, folder)
    for spoiled in (b"", b"PAR1", data[: len(data) // 2], b"PAR1" + os.urandom(500) + b"PAR1"):
        path.write_bytes(spoiled)
        assert "samples.parquet" in refused(target, folder)


def test_parquet_as_another_program_writes_it_again(exported, tmp_path):
    folder = shutil.copytree(exported / "parquet", tmp_path / "parquet")
    path = folder / "samples.parquet"
    whole = parquet.read_table(path)
    again = whole.set_column(1, "seq", whole["seq"].cast(pa.int32()))
    again = again.set_column(0, "run_uid", whole["run_uid"].dictionary_encode())
    again = again.set_column(4, "celsius", whole["celsius"].cast(pa.float32()))
    again = again.set_column(5, "fault", pa.nulls(len(whole)))
    parquet.write_table(again.select(whole.schema.names[::-1]), path)
    journal, _ = open_journal(tmp_path / "journal.sqlite")
    assert import_records(journal, folder).added["samples"] == 20
    journal.close()


def test_small_parquet_files_that_unpack_to_gigabytes(exported, target, tmp_path, monkeypatch):
    folder = shutil.copytree(exported / "parquet", tmp_path / "parquet")
    path = folder / "samples.parquet"
    whole = parquet.read_table(path)
    # One text a million times: it stands in the file once, and is never laid out.
    count = 1_000_000
    same = pa.DictionaryArray.from_arrays(
        pa.array([0] * count, pa.int32()), pa.array(["x" * 1_000_000])
    )
    rest = {
        name: pa.repeat(whole[name][0], count) for name in whole.schema.names if name != "fault"
    }
    parquet.write_table(pa.table({**rest, "fault": same}), path, compression="zstd")
    assert path.stat().st_size < 5_000_000
    before_kb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    assert "fault 'xxx" in refused(target, folder)
    grown_mb = (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before_kb) / 1e3
    print(f"a terabyte of text in {path.stat().st_size / 1e6:.1f} MB: refused, memory grew by "
          f"{grown_mb:.0f} MB, limit 200 MB")  # fmt: skip
    assert grown_mb < 200.0
    # Much text in little space: its size unpacked is read first.
    monkeypatch.setattr(exchange_parquet, "_MOST_UNPACKED", 20_000_000)
    much = pa.array(["x" * 4_000_000] * 8)
    eight = {name: column.slice(0, 8) for name, column in rest.items()}
    parquet.write_table(pa.table({**eight, "fault": much}), path, use_dictionary=False)
    assert "a group of 32 MB unpacked" in refused(target, folder)


def test_json_that_was_tampered_with(exported, target, tmp_path):
    folder = shutil.copytree(exported / "json", tmp_path / "json")
    paths = sorted((folder / "runs").glob("*.json"))
    path = next(one for one in paths if json.loads(one.read_text())["outcomes"])
    whole = path.read_text()
    run = json.loads(whole)
    changes = [
        ({"format": "rimwright-run/9"}, "rimwright-run/1"),
        ({"price": 5}, "'price' missing or unknown"),
        ({"run": {**run["run"], "uid": LOST}}, "as the index says"),
        ({"run": []}, "an object"),
        ({"run": {**run["run"], "begun_wall_s": 10**400}}, "begun_wall_s"),
        ({"run": {**run["run"], "simulated": 1}}, "true or false"),
        ({"samples": run["samples"][:-1]}, "as index.json says"),
        ({"samples": {"0": [1]}}, "JSON as it was exported"),
        ({"samples": [[1, 0, 0, "warm", None]]}, "celsius 'warm'"),
        ({"samples": [[1, 0, 0]]}, "a list of 5 values"),
        ({"samples": [[True, 0, 0, 1.0, None]]}, "seq True"),
        ({"samples": [[10**400, 0, 0, 1.0, None]]}, "a whole number"),
        ({"sample_columns": ["celsius", "seq"]}, "other columns"),
        ({"events": [{"seq": 1}]}, "no column"),
        ({"events": [1, 2]}, "an object"),
        ({"outcomes": {}}, "a list"),
        ({"outcomes": [{**run["outcomes"][0], "run_uid": LOST, "s_m": "x"}]}, "s_m 'x'"),
        ({"notes": [{**run["notes"][0], "price": 1}]}, "the column 'price'"),
    ]
    for change, words in changes:
        path.write_text(json.dumps({**run, **change}))
        line = refused(target, folder)
        assert words in line, (change, line)
    for text in (
        "", "[]", whole[: len(whole) // 2], whole + "{}", whole.replace(':1,', ':NaN,', 1),
        '{"format":' + "[" * 200_000, '{"samples":[' + "[" * 200_000,
        '{"format": "' + "x" * 40_000_000,
    ):  # fmt: skip
        path.write_text(text)
        assert path.name in refused(target, folder)


def test_names_in_the_index_are_no_paths(exported, target, tmp_path):
    folder = shutil.copytree(exported / "json", tmp_path / "json")
    index = json.loads((folder / "index.json").read_text())
    outside = tmp_path / "outside.json"
    shutil.copyfile(next((folder / "runs").glob("*.json")), outside)
    for name in (
        "../../outside", str(outside.with_suffix("")), "..\\..\\outside", "a.zip/../../outside", "",
        "%2e%2e/%2e%2e/outside", ".", "con", LOST + "/../" + LOST, LOST + "\0", None, 5, {},
        index["runs"][0]["uid"].upper(), LOST,
    ):  # fmt: skip
        for listed in ({**index["runs"][0], "uid": name}, name):
            (folder / "index.json").write_text(json.dumps({**index, "runs": [listed]}))
            refused(target, folder)


def test_members_in_another_order_are_as_good(exported, tmp_path):
    folder = shutil.copytree(exported / "json", tmp_path / "json")
    for path in (*(folder / "runs").glob("*.json"), folder / "index.json"):
        path.write_text(json.dumps(json.loads(path.read_text()), sort_keys=True, indent=2))
    journal, _ = open_journal(tmp_path / "journal.sqlite")
    assert import_records(journal, folder).added["samples"] == 20
    journal.close()


def spoil(data, dice):
    """Bytes flipped, cut, doubled or exchanged for hostile ones."""
    at = dice.randrange(len(data) + 1)
    match dice.randrange(5):
        case 0:
            return data[:at]
        case 1:
            return data[:at] + data[max(at - dice.randrange(1, 40), 0) :]
        case 2:
            return data[:at] + data[at + dice.randrange(1, 40) :]
        case 3:
            hostile = [
                b"1e999",
                b"-",
                b"null",
                b'"',
                b",",
                b"\n",
                b"\0",
                b"9" * 30,
                b"\xff",
                b"../",
            ]
            return data[:at] + dice.choice(hostile) + data[at:]
        case _:
            spoiled = bytearray(data)
            for _ in range(dice.choice([1, 1, 3, 20])):
                spoiled[dice.randrange(len(spoiled))] = dice.randrange(256)
            return bytes(spoiled)


@pytest.mark.parametrize("form", FORMS)
def test_spoiled_anywhere_it_is_refused_or_whole(form, exported, tmp_path):
    """Whatever comes of it: one line, or a journal that a backup finds sound."""
    dice = random.Random(f"spoiled {form}")
    folder = shutil.copytree(exported / form, tmp_path / form)
    paths = sorted(path for path in folder.rglob("*") if path.is_file() and path.stat().st_size)
    journal, _ = open_journal(tmp_path / "journal.sqlite")
    refusals, taken, longest = 0, 0, 0.0
    for _ in range(times(40)):
        path = dice.choice(paths)
        whole = path.read_bytes()
        path.write_bytes(spoil(whole, dice))
        begun = time.monotonic()
        try:
            import_records(journal, folder)
            taken += 1
        except RimwrightError as error:
            refusals += "\n" not in str(error)
        longest = max(longest, time.monotonic() - begun)
        path.write_bytes(whole)
    back_up(journal)
    journal.close()
    print(f"{form}: {refusals} refused, {taken} taken in, of {times(40)}; longest {longest:.1f} s, "
          f"limit {HANG_S:.0f} s")  # fmt: skip
    assert refusals + taken == times(40)
    assert refusals > times(40) // 4
    assert longest < HANG_S
