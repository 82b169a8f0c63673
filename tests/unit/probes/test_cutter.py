"""Bytes into lines, however they are torn on the way."""

from hypothesis import given
from hypothesis import strategies as st

from rimwright.live.probes.cutter import LONGEST_LINE, LineCutter


def in_pieces(data: bytes, cuts: list[int]) -> list[str | None]:
    cutter, lines, at = LineCutter(), [], 0
    for cut in [*sorted(cut % (len(data) + 1) for cut in cuts), len(data)]:
        lines += cutter.feed(data[at:cut])
        at = cut
    return lines


@given(
    st.lists(st.sampled_from([b"108.5", b"\r\n", b"\n", b"\r", b"x" * 90, b"\x00\xff", b" "])),
    st.lists(st.integers(0, 10_000), max_size=12),
)
def test_how_bytes_arrive_changes_nothing(words: list[bytes], cuts: list[int]):
    data = b"".join(words)
    assert in_pieces(data, cuts) == in_pieces(data, [])
    assert in_pieces(data, list(range(len(data)))) == in_pieces(data, [])


def test_what_came_before_the_first_end_is_thrown_away():
    assert in_pieces(b"8.5\n108.5\n109.", []) == ["108.5"]


def test_a_line_without_end_is_told_once_and_takes_no_room():
    cutter = LineCutter()
    cutter.feed(b"\n")
    told = [line for _ in range(1000) for line in cutter.feed(b"7" * 100)]
    assert told == [None]
    assert len(cutter._kept) <= LONGEST_LINE
    assert cutter.since_end == 100_000
    assert cutter.feed(b"7\n21.5\n") == ["21.5"]
    assert cutter.since_end == 0


def test_a_pause_ends_what_was_begun_after_a_pause():
    cutter = LineCutter()
    assert cutter.feed(b"8.5") == []
    assert cutter.pause() == []  # its beginning may be lost
    assert cutter.feed(b"108") == []
    assert cutter.feed(b".5") == []
    assert cutter.pause() == ["108.5"]
    assert cutter.pause() == []
