"""Bringing an older journal up to date is cut off: it is the old or the new, never between."""

import random
import subprocess
import sys
import time
from pathlib import Path

import pytest

from counts import SOAK
from journal_older import old_journal, revisions
from rimwright.journal.opening import open_journal
from rimwright.journal.runs import events_of, open_runs, samples_after
from rimwright.journal.sqlite_file import driver

_KILLS = 50 if SOAK else 8

_PROGRAM = """
import os, sys
from pathlib import Path
from rimwright.journal import migrating
from rimwright.journal.opening import open_journal
upgrade = migrating.upgrade
def say(*words, **named):
    os.write(1, b"begun\\n")
    upgrade(*words, **named)
migrating.upgrade = say
open_journal(sys.argv[1], migrations=Path(sys.argv[2]))
os.write(1, b"done\\n")
"""


def found(path: Path) -> tuple[str, bool, bool, int]:
    """Schema, whether the new table and column are there, and rows already rewritten."""
    bare = driver().connect(str(path))
    try:
        assert bare.execute("PRAGMA integrity_check").fetchone()[0] == "ok"
        assert bare.execute("SELECT count(*) FROM samples").fetchone()[0] == 200
        revision = bare.execute("SELECT version_num FROM alembic_version").fetchone()[0]
        tables = {name for (name,) in bare.execute("SELECT name FROM sqlite_master")}
        columns = {row[1] for row in bare.execute("PRAGMA table_info(runs)")}
        moved = bare.execute("SELECT count(*) FROM events WHERE device = 'moved'").fetchone()[0]
        assert not any("alembic_tmp" in name for name in tables)
        return revision, "devices" in tables, "bench" in columns, moved
    finally:
        bare.close()


@pytest.mark.slow
def test_killed_while_it_is_brought_up_to_date(tmp_path: Path):
    old, new = ("0000", False, False, 0), ("0001", True, True, 50)
    # Half a second of rewriting, and a kill anywhere in it, or shortly after.
    way = revisions(tmp_path / "way", pause_s=0.01)
    moments = random.Random(26)
    results = {"old": 0, "new": 0}
    for number in range(_KILLS):
        path = tmp_path / str(number) / "journal.sqlite"
        old_journal(path, way)
        assert found(path) == old
        process = subprocess.Popen(
            [sys.executable, "-c", _PROGRAM, str(path), str(way)], stdout=subprocess.PIPE
        )
        assert process.stdout is not None
        assert process.stdout.readline() == b"begun\n"
        time.sleep(moments.uniform(0.0, 0.8))
        process.kill()
        process.wait(10.0)
        process.stdout.close()
        left = found(path)
        assert left in (old, new)
        results["old" if left == old else "new"] += 1
        (copy,) = (path.parent / "backups").glob("journal-schema-0000-*.sqlite")
        assert found(copy) == old
        # The next start finishes it, and says so.
        journal, notices = open_journal(path, migrations=way)
        assert open_runs(journal) == (1,)
        assert len(samples_after(journal, 1)) == 200
        assert {event.device for event in events_of(journal, 1)} == {"moved"}
        assert bool(notices) is (left == old)
        journal.close()
        assert found(path) == new
    print(f"killed in the middle: measured {results}, limit old or new, {_KILLS} of {_KILLS}")
    print(f"automatic copies kept: measured {_KILLS}, limit {_KILLS}")
    assert results["old"] > 0
