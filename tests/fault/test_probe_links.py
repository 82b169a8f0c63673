"""A board on a serial port that is unplugged, garbled, torn and plugged in again."""

import gc
import itertools
import time
from pathlib import Path

import pytest

from counts import times
from probe_links import Board, Listener, handles, probe_threads
from rimwright.equipment.probes import parse_probe
from rimwright.errors import ProbeError
from rimwright.live.clock import SystemClock
from rimwright.live.probes.make import make_source
from rimwright.live.readings import Fault

CLOCK = SystemClock()


def start(text: str, number: int = 0):
    source, heard = make_source(parse_probe(text), number), Listener()
    source.start(heard, CLOCK)
    return source, heard


@pytest.fixture
def board(tmp_path: Path):
    board = Board(tmp_path / "tty")
    yield board
    board.unplug()
    end = time.monotonic() + 2.0
    while probe_threads() and time.monotonic() < end:
        time.sleep(0.01)
    assert probe_threads() == []


def test_lines_become_temperatures_and_words_become_faults(board: Board):
    source, heard = start(f"waist=serial:{board.link}")
    said = {
        b"108.5": 108.5, b"open": Fault.OPEN, b"SHORT": Fault.SHORT, b"nan": Fault.OPEN,
        b"inf": Fault.OUT_OF_RANGE, b"65535": Fault.OUT_OF_RANGE, b"1O8.5": Fault.GARBLED,
        b"\xff\x00\x81": Fault.GARBLED, b"108,5": Fault.GARBLED, b"109.5 C": 109.5,
    }  # fmt: skip
    for words, what in said.items():
        line = [words]
        count = len(heard.readings)
        with board.saying(lambda line=line: line[0] + b"\r\n"):
            heard.wait_for(what, after=count)
    source.stop()
    assert set(heard.numbers()) == {108.5, 109.5}


@pytest.mark.parametrize("end", [b"\r\n", b"\n", b"\r"])
def test_every_end_of_line(board: Board, end: bytes):
    source, heard = start(f"waist=serial:{board.link}")
    with board.saying(lambda: b"21.5" + end):
        heard.wait_for(21.5)
    source.stop()
    assert set(heard.numbers()) == {21.5}


def test_a_board_that_ends_no_line(board: Board):
    source, heard = start(f"waist=serial:{board.link},ends=pause")
    with board.saying(lambda: b"108.5", every_s=0.3):
        heard.wait_for(108.5)
    source.stop()
    assert set(heard.numbers()) == {108.5}


def test_no_end_of_line_is_garbled_however_long(board: Board):
    source, heard = start(f"waist=serial:{board.link}")
    with board.saying(lambda: b"108.5 "):
        heard.wait_for(Fault.GARBLED)
    count = len(heard.readings)
    with board.saying(lambda: b"7" * 400):
        heard.wait_for(Fault.GARBLED, after=count)
    with board.saying(lambda: b"\n21.5\n"):
        heard.wait_for(21.5, after=count)
    source.stop()
    assert set(heard.numbers()) == {21.5}


def test_half_a_line_is_never_a_temperature(board: Board):
    # "8.5" is the rest of a line whose beginning was sent before we listened.
    source, heard = start(f"waist=serial:{board.link}")
    time.sleep(0.3)
    board.says(b"8.5\n")
    board.says(b"108.")
    time.sleep(0.3)
    board.says(b"5\n")
    heard.wait_for(108.5)
    source.stop()
    assert heard.numbers() == [108.5]


def test_unplugged_and_plugged_in_again(board: Board):
    worst = 0.0
    source, heard = start(f"waist=serial:{board.link}")
    for turn in range(times(3)):
        count = len(heard.readings)
        with board.saying(lambda turn=turn: b"%d.5\n" % (turn + 20)):
            heard.wait_for(turn + 20.5, after=count)
        count = len(heard.readings)
        pulled = time.monotonic()
        board.unplug()
        heard.wait_for(Fault.UNPLUGGED, after=count)
        worst = max(worst, time.monotonic() - pulled)
        time.sleep(0.4)
        board.plug()
    with board.saying(lambda: b"99.0\n"):
        heard.wait_for(99.0)
    source.stop()
    print(f"unplugged is told after {worst:.3f} s at most, limit 2 s")
    assert worst < 2.0
    assert heard.faults() == {Fault.UNPLUGGED}


def test_no_port_is_told_each_second_until_there_is_one(tmp_path: Path):
    source, heard = start(f"waist=serial:{tmp_path / 'tty'}")
    time.sleep(3.0)
    told = [at for at, one in zip(heard.at, heard.readings, strict=True) if one.fault]
    gaps = [b - a for a, b in itertools.pairwise(told)]
    assert heard.faults() == {Fault.UNPLUGGED}
    assert max(gaps) < 1.5
    board = Board(tmp_path / "tty")
    with board.saying(lambda: b"21.5\n"):
        heard.wait_for(21.5, within_s=5.0)
    source.stop()
    board.unplug()


def test_two_probes_of_one_board(board: Board):
    one, first = start(f"waist=serial:{board.link},column=1")
    two, second = start(f"horn=serial:{board.link},column=2", 1)
    with board.saying(lambda: b"108.5,21.5\r\n"):
        first.wait_for(108.5)
        second.wait_for(21.5)
        one.stop()
        count = len(second.readings)
        second.wait_for(21.5, after=count + 3)
    two.stop()
    assert {r.probe for r in second.readings} == {1}
    assert set(first.numbers()) == {108.5}


def test_one_port_is_not_set_two_ways(board: Board):
    one, _ = start(f"waist=serial:{board.link},baud=9600")
    other = make_source(parse_probe(f"horn=serial:{board.link},baud=19200"), 1)
    with pytest.raises(ProbeError, match="in use with other settings"):
        other.start(Listener(), CLOCK)
    other.stop()
    one.stop()


def test_a_pattern_picks_its_own_lines(board: Board):
    source, heard = start(rf'waist=serial:{board.link},pattern="T1=(\S+)"')
    with board.saying(lambda: b"T1=108.5\nT2=21.5\n"):
        heard.wait_for(108.5)
    with board.saying(lambda: b"T1=open\n"):
        heard.wait_for(Fault.OPEN)
    assert heard.faults() == {Fault.OPEN}
    with board.saying(lambda: b"T2=21.5\n"):
        heard.wait_for(Fault.GARBLED)
    source.stop()
    assert set(heard.numbers()) == {108.5}


def test_after_a_pause_the_newest_line_counts(board: Board):
    source, heard = start(f"waist=serial:{board.link}")
    time.sleep(0.3)
    board.says(b"\n" + b"".join(b"%d.5\n" % n for n in range(20, 120)))
    heard.wait_for(119.5)
    source.stop()
    assert len(heard.numbers()) < 5


def test_some_ten_a_second_are_passed_on(board: Board):
    source, heard = start(f"waist=serial:{board.link}")
    with board.saying(lambda: b"21.5\n", every_s=0.002):
        heard.wait_for(21.5)
        count = len(heard.readings)
        time.sleep(2.0)
        count = len(heard.readings) - count
    source.stop()
    print(f"{count / 2:.1f} readings a second from a board that prints 500, limit 8 to 12")
    assert 12 < count < 25


def test_many_starts_and_stops_leave_nothing(board: Board):
    start(f"waist=serial:{board.link}")[0].stop()
    before, longest = handles(), 0.0
    for turn in range(times(20)):
        source, heard = start(f"waist=serial:{board.link}")
        if turn % 2:
            with board.saying(lambda: b"21.5\n", every_s=0.005):
                heard.wait_for(21.5)
        begun = time.monotonic()
        source.stop()
        longest = max(longest, time.monotonic() - begun)
        count = len(heard.readings)
        board.says(b"22.5\n22.5\n")
        assert len(heard.readings) == count
    assert probe_threads() == []
    gc.collect()
    print(
        f"stop takes {longest:.3f} s at most, limit 1 s; {handles() - before} files more, limit 0"
    )
    assert longest < 1.0
    assert handles() <= before


def test_garbage_is_never_a_temperature(board: Board):
    """Bytes of every value, in bursts, with ends of line among them."""
    source, heard = start(f"waist=serial:{board.link}")
    time.sleep(0.2)
    letters = bytes(b for b in range(256) if not 48 <= b <= 57)  # no figures: no number in it
    state = 12345
    for _ in range(times(60)):
        burst = bytearray()
        for _ in range(300):
            state = (1103515245 * state + 12345) % 2**31
            burst.append(letters[state // 65536 % len(letters)])
        board.says(bytes(burst) + b"\n")
        time.sleep(0.01)
    heard.wait_for(Fault.GARBLED)
    count = len(heard.readings)
    with board.saying(lambda: b"\n21.5\n"):
        heard.wait_for(21.5, after=count)
    source.stop()
    assert set(heard.numbers()) == {21.5}
