"""A damaged journal file at the start: it starts, keeps what it found, and says what is lost."""

import random
import re
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from counts import SOAK
from journal_rows import event, new_run, put, sample
from journal_states import NAME, State, content, is_prefix
from rimwright.journal.backup import back_up
from rimwright.journal.opening import open_journal
from rimwright.journal.runs import begin_run, end_run, run_record, samples_after
from rimwright.journal.writer import Writer

_PAGE = 4096
_MUTATIONS = 1000 if SOAK else 100


@pytest.fixture(scope="module")
def state(tmp_path_factory: pytest.TempPathFactory) -> State:
    """Run 1 is in the backup too; run 2 came after it, its end only in the log."""
    folder = tmp_path_factory.mktemp("before") / "journal"
    journal, _ = open_journal(folder / NAME)
    put(journal, begin_run(journal, new_run()), *rows(400))
    end_run(journal, 1, "ended", 1.0)
    back_up(journal)
    journal.close()
    journal, _ = open_journal(folder / NAME)
    begin_run(journal, new_run(model="Curlew"))
    put(journal, 2, *rows(900))
    journal.close()
    journal, _ = open_journal(folder / NAME)
    writer = Writer(journal)
    writer.put(2, [sample(seq) for seq in range(901, 1201)], [event(n) for n in range(91, 121)])
    assert writer.flush(20.0)
    found = State.of(folder, writer.kept(2))
    writer.stop()
    journal.close()
    return found


def rows(samples: int) -> tuple[list, list]:
    return (
        [sample(seq) for seq in range(1, samples + 1)],
        [event(seq) for seq in range(1, samples // 10 + 1)],
    )


def zero_length(_: bytearray, __: random.Random) -> bytes:
    return b""


def cut(main: bytearray, places: random.Random) -> bytes:
    return bytes(main[: places.randrange(len(main))])


def random_bytes(main: bytearray, places: random.Random) -> bytes:
    for _ in range(places.choice((1, 8, 64))):
        main[places.randrange(len(main))] = places.randrange(256)
    return bytes(main)


def random_page(main: bytearray, places: random.Random) -> bytes:
    page = places.randrange(len(main) // _PAGE) * _PAGE
    main[page : page + _PAGE] = places.randbytes(_PAGE)
    return bytes(main)


def empty_pages(main: bytearray, places: random.Random) -> bytes:
    for _ in range(3):
        page = places.randrange(len(main) // _PAGE) * _PAGE
        main[page : page + _PAGE] = bytes(_PAGE)
    return bytes(main)


def swapped_pages(main: bytearray, places: random.Random) -> bytes:
    one, other = (
        slice(page * _PAGE, (page + 1) * _PAGE)
        for page in places.sample(range(1, len(main) // _PAGE), 2)
    )
    main[one], main[other] = main[other], main[one]
    return bytes(main)


def lost_beginning(main: bytearray, places: random.Random) -> bytes:
    length = places.choice((16, 100, _PAGE))
    main[:length] = places.randbytes(length)
    return bytes(main)


def all_random(main: bytearray, places: random.Random) -> bytes:
    return places.randbytes(len(main))


def text_instead(_: bytearray, __: random.Random) -> bytes:
    return b"<html>404 not found</html>\n" * 30


Mutation = Callable[[bytearray, random.Random], bytes]
_OF_THE_FILE: tuple[Mutation, ...] = (
    zero_length, cut, random_bytes, random_page, empty_pages, swapped_pages, lost_beginning,
    all_random, text_instead,
)  # fmt: skip


@pytest.mark.slow
def test_a_damaged_file_at_the_start(state: State, tmp_path: Path):
    places = random.Random(24)
    slowest, shown, results = 0.0, set(), {}
    for number in range(_MUTATIONS):
        mutation = _OF_THE_FILE[number % len(_OF_THE_FILE)]
        main = mutation(bytearray(state.files[NAME]), places)
        changed: dict[str, bytes | None] = {"main": main}
        if number // len(_OF_THE_FILE) % 3 == 1:
            changed["wal"] = None
        path = state.lay(tmp_path / "damaged", **changed)
        began = time.monotonic()
        journal, notices = open_journal(path)
        slowest = max(slowest, time.monotonic() - began)
        result = looked_over(path, journal, notices, main, state)
        if mutation.__name__ not in shown and notices:
            shown.add(mutation.__name__)
            print(f"{mutation.__name__}: {notices[0]}".replace(str(path.parent), "..."))
        results[result] = results.get(result, 0) + 1
    print(f"{_MUTATIONS} damaged files: {results}")
    print(f"start with a damaged file: measured {slowest:.2f} s, limit 5.00 s")
    assert slowest <= 5.0
    assert len(shown) == len(_OF_THE_FILE)


def looked_over(path, journal, notices, main: bytes, state: State) -> str:
    """All of the backup is there, nothing is invented, what is missing is named; it is usable."""
    found = {run: [row.seq for row in samples_after(journal, run)] for run in (1, 2)}
    first = run_record(journal, 1)
    assert first.run_plan in (new_run().run_plan, {})
    assert found[1] == list(range(1, 401))
    assert begin_run(journal, new_run()) >= 2
    journal.close()
    numbers, _, again = content(path, 1)
    assert again == ()
    assert is_prefix(numbers)
    if notices:
        assert "run 2" in notices[0] or found[2] == list(range(1, 1201))
    complete = found[2] == list(range(1, 1201))
    if not complete:
        assert "run 2" in notices[0], notices
        assert re.search("Lost: .*(seconds|minutes|as a whole)", notices[0])
    if notices:
        (aside,) = path.parent.glob("*-damaged-*.sqlite")
        if "was damaged" in notices[0]:
            assert aside.read_bytes() == main
    return "whole" if complete else "part of run 2 lost" if found[2] else "run 2 lost"


@pytest.mark.parametrize("left", ["log", "backup", "nothing"])
def test_the_file_is_gone(state: State, tmp_path: Path, left: str):
    path = state.lay(
        tmp_path / "gone",
        main=None,
        wal=state.files[f"{NAME}-wal"] if left == "log" else None,
    )
    if left != "backup":
        for backup in (path.parent / "backups").iterdir():
            backup.unlink()
    journal, notices = open_journal(path)
    print(notices[0].replace(str(path.parent), "..."))
    assert "the file is gone" in notices[0]
    assert bool(samples_after(journal, 1)) is (left == "backup")
    assert (left == "backup") is ("The backup of" in notices[0])
    assert "run 2 as a whole" in notices[0]
    begin_run(journal, new_run())
    journal.close()


def test_the_log_is_gone_after_the_backup(state: State, tmp_path: Path):
    path = state.lay(tmp_path / "gone", wal=None)
    samples, _, notices = content(path, 2)
    assert samples == list(range(1, 901))
    assert "the last 30.0 seconds of run 2 (300 samples, 30 events)" in notices[0]


def test_the_backup_takes_its_place_where_it_has_more(state: State, tmp_path: Path):
    """A journal that somebody put back to an older state is noticed, the backup is newer."""
    path = state.lay(tmp_path / "older", wal=None)
    journal, _ = open_journal(path)
    back_up(journal, wall_s=2e9)
    journal.close()
    only_one = tmp_path / "one" / NAME
    journal, _ = open_journal(only_one)
    put(journal, begin_run(journal, new_run()), *rows(50))
    journal.close()
    journal, _ = open_journal(path)
    begin_run(journal, new_run())
    journal.close()
    with path.open("rb+") as file:
        file.truncate()
        file.write(only_one.read_bytes())
    samples, _, notices = content(path, 2)
    assert samples == list(range(1, 901))
    assert "it lacks" in notices[0]
    assert "The backup of" in notices[0]
    assert "run 3 as a whole" in notices[0]
