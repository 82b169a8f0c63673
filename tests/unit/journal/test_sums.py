"""Sums of rows: the same in Python and in the database, and no flipped bit leaves them as is."""

import json
import math
import random
import sqlite3
import struct

from hypothesis import example, given, settings
from hypothesis import strategies as st

from counts import times
from journal_rows import event
from rimwright.journal.damage import wrong_rows
from rimwright.journal.row_values import event_values, plain, sample_values
from rimwright.journal.runs import SampleRow
from rimwright.journal.sqlite_file import driver
from rimwright.journal.sums import SAMPLE_SUM, event_sum, sample_sum

_TABLE = (
    "CREATE TABLE samples (run_id INTEGER, seq INTEGER, at_ms BIGINT, probe SMALLINT,"
    " celsius FLOAT, fault VARCHAR(12), check_sum INTEGER)"
)

rows = st.builds(
    SampleRow,
    seq=st.integers(1, 2**31 - 1),
    at_ms=st.integers(0, 2**45),
    probe=st.integers(0, 2**15 - 1),
    celsius=st.none() | st.floats(allow_nan=True),
    fault=st.none() | st.text(max_size=14),
)


@settings(max_examples=times(300), deadline=None)
@given(rows)
@example(SampleRow(1, 0, 0, -0.0, None))
@example(SampleRow(1, 0, 0, 5e-324, ""))
@example(SampleRow(1, 0, 0, 999_999.999_999, "out of range"))
@example(SampleRow(2**31 - 1, 2**45, 7, -273.15, "\0\ud800🪵"))
def test_the_sum_is_the_same_in_the_database(row: SampleRow):
    values = sample_values(1, row)
    assert values["celsius"] is None or math.isfinite(values["celsius"])
    for module in (driver(), sqlite3):
        bare = module.connect(":memory:")
        bare.execute(_TABLE)
        bare.execute(f"INSERT INTO samples VALUES ({', '.join('?' * 7)})", tuple(values.values()))
        assert bare.execute(f"SELECT {SAMPLE_SUM} FROM samples").fetchone() == (
            values["check_sum"],
        )
        bare.close()


def test_a_flipped_bit_alters_the_sum():
    places = random.Random(27)
    for _ in range(times(2000)):
        row = [
            places.randrange(1, 2**21), places.randrange(2**28), places.randrange(8),
            places.choice((None, places.uniform(-50.0, 300.0))), None,
        ]  # fmt: skip
        before = sample_sum(*row)
        place = places.choice([0, 1, 2] + [3] * (row[3] is not None))
        if place < 3:
            row[place] ^= 1 << places.randrange(31)
        else:
            (bits,) = struct.unpack("<Q", struct.pack("<d", row[3]))
            (other,) = struct.unpack("<d", struct.pack("<Q", bits ^ 1 << places.randrange(64)))
            # What is no number, or far too large, the column's own check finds.
            if not abs(other) < 1e6 or abs(other - row[3]) < 1e-11:
                continue
            row[3] = other
        assert sample_sum(*row) != before


values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(),
    lambda inner: st.lists(inner) | st.dictionaries(st.text() | st.integers(), inner),
    max_leaves=10,
)


@settings(max_examples=times(200), deadline=None)
@given(st.dictionaries(st.text(), values))
def test_any_data_become_plain_and_keep_their_sum(data: dict):
    made = plain(data)
    text = json.dumps(made, allow_nan=False)
    assert plain(json.loads(text)) == json.loads(text)
    one = event_sum(1, 2.0, 3.0, kind="note", data=made, key=None)
    assert one == event_sum(1, 2.0, 3.0, kind="note", data=json.loads(text), key="")


def test_data_without_end_and_of_no_kind_become_text():
    deep: list = []
    deep.append(deep)
    assert json.dumps(plain({"deep": deep, "set": {1}, "at": object}))


def test_altered_rows_are_told_by_the_database():
    bare = driver().connect(":memory:", isolation_level=None)
    bare.execute(_TABLE)
    bare.execute(
        "CREATE TABLE events (run_id INTEGER, seq INTEGER, at_s FLOAT, wall_s FLOAT,"
        " kind VARCHAR(20), data JSON, key VARCHAR(64), device TEXT, check_sum BIGINT)"
    )
    made = event_values(1, event(1))
    made["data"] = json.dumps(made["data"])
    bare.execute(f"INSERT INTO events VALUES ({', '.join('?' * 9)})", tuple(made.values()))
    query = f"SELECT count(*) FROM events WHERE {wrong_rows(bare, 'events')}"
    assert bare.execute(query).fetchone() == (0,)
    for change in (
        "data = '{\"words\": \"mark 2\"}'", "data = '{'", "at_s = 1.5", "kind = 'held'",
        "key = 'k2'", "seq = 2", "wall_s = NULL", "data = x'00ff'",
    ):  # fmt: skip
        bare.execute("SAVEPOINT before")
        bare.execute(f"UPDATE events SET {change}")
        assert bare.execute(query).fetchone() == (1,), change
        bare.execute("ROLLBACK TO before")
    bare.close()
