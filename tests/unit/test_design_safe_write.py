"""Files are written whole or not at all, and refusals are one line."""

import errno
import os
from pathlib import Path

import pytest

from rimwright.errors import OutputError
from rimwright.files import make_folder, write_all, write_atomically


def test_text_and_bytes(tmp_path: Path):
    write_atomically(tmp_path / "a.txt", "5 ″\n")
    write_atomically(tmp_path / "b.bin", b"\x00\xff")
    assert (tmp_path / "a.txt").read_bytes() == "5 ″\n".encode()
    assert (tmp_path / "b.bin").read_bytes() == b"\x00\xff"
    assert sorted(p.name for p in tmp_path.iterdir()) == ["a.txt", "b.bin"]


def test_permissions_and_links_stay(tmp_path: Path):
    real, link = tmp_path / "real.txt", tmp_path / "link.txt"
    real.write_text("old")
    real.chmod(0o640)
    link.symlink_to(real)
    write_atomically(link, "new")
    assert link.is_symlink()
    assert real.read_text() == "new"
    assert real.stat().st_mode & 0o777 == 0o640


def test_a_new_file_has_the_usual_permissions(tmp_path: Path):
    (tmp_path / "usual").write_text("")
    write_atomically(tmp_path / "ours", "")
    assert (tmp_path / "ours").stat().st_mode == (tmp_path / "usual").stat().st_mode


@pytest.mark.parametrize(
    ("code", "words"),
    [
        (errno.ENOSPC, "found a full disk; expected free space"),
        (errno.EACCES, "no permission to write"),
        (errno.EROFS, "read-only disk"),
        (errno.EIO, "Input/output error"),
    ],
)
def test_a_failure_leaves_the_old_file_and_no_other(tmp_path: Path, monkeypatch, code, words):
    path = tmp_path / "plan.json"
    path.write_text("old")

    def fail(_descriptor: int) -> None:
        raise OSError(code, os.strerror(code))

    monkeypatch.setattr(os, "fsync", fail)
    with pytest.raises(OutputError) as caught:
        write_atomically(path, "new")
    assert words in str(caught.value)
    assert str(caught.value).startswith(str(path))
    assert path.read_text() == "old"
    assert [p.name for p in tmp_path.iterdir()] == ["plan.json"]


def test_places_that_cannot_be(tmp_path: Path):
    (tmp_path / "file").write_text("")
    for path, words in (
        (tmp_path, "a folder of that name"),
        (tmp_path / "gone" / "x", "no such folder"),
        (tmp_path / "file" / "x", "a file where a folder is wanted"),
        (tmp_path / "a\0b", "null"),
    ):
        with pytest.raises(OutputError, match=words):
            write_atomically(path, "x")
    with pytest.raises(OutputError, match="a file where a folder is wanted"):
        make_folder(tmp_path / "file")
    with pytest.raises(OutputError, match="name that is too long"):
        make_folder(tmp_path / ("x" * 300))
    make_folder(tmp_path / "a" / "b")
    assert (tmp_path / "a" / "b").is_dir()


def test_many_files_are_written_or_none(tmp_path: Path, monkeypatch):
    folder = tmp_path / "new" / "out"
    written = write_all(folder, [("a.json", "1"), ("dxf/b.dxf", b"2")])
    assert [path.read_bytes() for path in written] == [b"1", b"2"]
    real, calls = os.fsync, []

    def full_at_the_third(descriptor: int) -> None:
        calls.append(descriptor)
        if len(calls) == 3:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        real(descriptor)

    monkeypatch.setattr(os, "fsync", full_at_the_third)
    with pytest.raises(OutputError, match="full disk"):
        write_all(folder, [("a.json", "9"), ("svg/c.svg", "9"), ("svg/d.svg", "9")])
    assert (folder / "a.json").read_text() == "1"
    assert sorted(p.name for p in folder.rglob("*")) == ["a.json", "b.dxf", "dxf"]
    calls.clear()
    with pytest.raises(OutputError, match="full disk"):
        write_all(tmp_path / "x" / "y", [(f"{n}/f", "9") for n in range(4)])
    assert not (tmp_path / "x").exists()


def test_folders_made_for_nothing_are_taken_away(tmp_path: Path):
    with pytest.raises(OutputError, match="too long"):
        make_folder(tmp_path / "a" / "b" / ("x" * 300))
    assert list(tmp_path.iterdir()) == []
