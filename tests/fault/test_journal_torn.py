"""The log beside a journal is cut or altered: what opens is true, and what is missing is said."""

import contextlib
import random
import sqlite3
from pathlib import Path

import pytest
from sqlalchemy import insert

from counts import SOAK
from journal_rows import event, new_run, sample
from journal_states import NAME, State, content, grown, is_prefix
from rimwright.journal import tables
from rimwright.journal.opening import open_journal
from rimwright.journal.row_values import event_values, sample_values
from rimwright.journal.runs import begin_run
from rimwright.journal.sqlite_file import driver, log_is_sound
from rimwright.journal.writer import Writer

_TRIES = 1000 if SOAK else 60

#: Lengths of the write-ahead log's parts (sqlite.org, "Database File Format"). [bytes]
_LOG_HEADER, _FRAME = 32, 24 + 4096

needs_log = pytest.mark.skipif(
    not log_is_sound(driver().sqlite_version_info), reason="no write-ahead log with this SQLite"
)


@pytest.fixture(scope="module")
def logged(tmp_path_factory: pytest.TempPathFactory) -> State:
    """A journal with half a minute in its log."""
    state = grown(tmp_path_factory.mktemp("grown") / "journal", 300)
    assert len(state.files[f"{NAME}-wal"]) > 100 * _FRAME
    return state


def opens(path: Path, state: State) -> str:
    """Open what was torn: "whole", "shorter", or "kept aside"; all else fails."""
    samples, events, notices = content(path)
    assert is_prefix(samples)
    assert is_prefix(events)
    whole = (len(samples), len(events)) == state.acknowledged
    assert whole or notices, "rows are missing and nobody says so"
    if not notices:
        return "whole"
    assert "run 1" in notices[0]
    assert list(path.parent.glob("*-damaged-*"))
    return "kept aside"


@needs_log
@pytest.mark.slow
def test_the_log_is_cut(logged: State, tmp_path: Path):
    log = logged.files[f"{NAME}-wal"]
    edges = list(range(_LOG_HEADER, len(log), _FRAME))
    places = random.Random(21)
    cuts = edges if SOAK else edges[:: max(1, len(edges) // _TRIES)]
    cuts = [0, 1, _LOG_HEADER - 1, *cuts, *(places.randrange(len(log)) for _ in range(_TRIES))]
    found: dict[str, int] = {}
    for cut in cuts:
        result = opens(logged.lay(tmp_path / "torn", wal=log[:cut]), logged)
        found[result] = found.get(result, 0) + 1
    print(f"log cut at {len(cuts)} places: {found}; invented: measured 0, limit 0")
    assert found["kept aside"] > 0.8 * len(cuts)


@needs_log
@pytest.mark.slow
def test_a_bit_of_the_log_is_flipped(logged: State, tmp_path: Path):
    log = logged.files[f"{NAME}-wal"]
    places = random.Random(22)
    found: dict[str, int] = {}
    for _ in range(_TRIES):
        torn = bytearray(log)
        torn[places.randrange(len(torn))] ^= 1 << places.randrange(8)
        result = opens(logged.lay(tmp_path / "torn", wal=bytes(torn)), logged)
        found[result] = found.get(result, 0) + 1
    print(f"bit of the log flipped {_TRIES} times: {found}; invented: measured 0, limit 0")
    assert found["kept aside"] > 0.8 * _TRIES


@needs_log
def test_the_log_is_gone(logged: State, tmp_path: Path):
    samples, _, notices = content(logged.lay(tmp_path / "torn", wal=None))
    assert is_prefix(samples)
    assert "run 1" in notices[0]
    # Said once: from then on it is known.
    assert content(tmp_path / "torn" / NAME)[2] == ()


@pytest.fixture(scope="module")
def hot(tmp_path_factory: pytest.TempPathFactory) -> State:
    """A journal cut off in the middle of a transaction, where a rollback journal is used."""
    folder = tmp_path_factory.mktemp("hot") / "journal"
    with pytest.MonkeyPatch.context() as patch:
        _use_rollback_journal(patch)
        journal, _ = open_journal(folder / NAME)
        run = begin_run(journal, new_run())
        writer = Writer(journal)
        writer.put(run, [sample(seq) for seq in range(1, 1001)], [event(n) for n in range(1, 101)])
        assert writer.flush(20.0)
        writer.stop()

        class CutOffError(Exception):
            pass

        with contextlib.suppress(CutOffError), journal.writing() as connection:
            # So little memory that pages go to the file before the commit.
            connection.exec_driver_sql("PRAGMA cache_size = 4")
            rows = [sample_values(run, sample(seq)) for seq in range(1001, 3001)]
            connection.execute(insert(tables.samples), rows)
            rows = [event_values(run, event(seq)) for seq in range(101, 301)]
            connection.execute(insert(tables.events), rows)
            state = State.of(folder, (1000, 100), (3000, 300))
            raise CutOffError
        journal.close()
    assert len(state.files[f"{NAME}-journal"]) > 2 * 4096
    return state


def _use_rollback_journal(patch: pytest.MonkeyPatch) -> None:
    """The SQLite that comes with Python may have a log that cannot be trusted; or we say so."""
    for module in ("sqlite_file", "starting"):
        patch.setattr(f"rimwright.journal.{module}.driver", lambda: sqlite3)
    patch.setattr("rimwright.journal.sqlite_file.log_is_sound", lambda _: False)


def after_the_cut(path: Path, state: State) -> str:
    """Open a journal whose rollback journal was torn; nothing in it may be invented."""
    samples, events, notices = content(path)
    if notices:
        assert list(path.parent.glob("*-damaged-*"))
        return "kept aside"
    # What was not acknowledged may be there, or not; what was is.
    for numbers, least, most in zip(
        (samples, events), state.acknowledged, state.handed_in, strict=True
    ):
        assert is_prefix(numbers)
        assert least <= len(numbers) <= most
    return "whole"


@pytest.mark.slow
@pytest.mark.parametrize("how", ["cut", "flipped"])
def test_the_rollback_journal_is_torn(
    hot: State, tmp_path: Path, how: str, monkeypatch: pytest.MonkeyPatch
):
    _use_rollback_journal(monkeypatch)
    beside = hot.files[f"{NAME}-journal"]
    assert after_the_cut(hot.lay(tmp_path / "torn"), hot) == "whole"
    places = random.Random(23)
    found: dict[str, int] = {}
    for _ in range(_TRIES):
        torn = bytearray(beside)
        place = places.randrange(len(torn))
        if how == "cut":
            del torn[place:]
        else:
            torn[place] ^= 1 << places.randrange(8)
        result = after_the_cut(hot.lay(tmp_path / "torn", journal=bytes(torn)), hot)
        found[result] = found.get(result, 0) + 1
    print(f"rollback journal {how} {_TRIES} times: {found}; invented: measured 0, limit 0")
