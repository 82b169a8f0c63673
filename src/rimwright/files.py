"""The one safe way to write a file: whole, or not at all."""

from __future__ import annotations

import contextlib
import errno
import os
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import BinaryIO

from rimwright.errors import OutputError

#: What a file gets: bytes, text as UTF-8, or what a function writes bit by bit.
Content = bytes | str | Callable[[BinaryIO], object]

#: What the system says, in a maker's words: found, expected, next step.
_REASONS = {
    errno.ENOSPC: ("a full disk", "free space", "make room and try again"),
    errno.EDQUOT: ("a full disk quota", "free space", "make room and try again"),
    errno.EACCES: ("no permission to write", "a place you may write to", "choose another folder"),
    errno.EPERM: ("no permission to write", "a place you may write to", "choose another folder"),
    errno.EROFS: ("a read-only disk", "a place you may write to", "choose another folder"),
    errno.EISDIR: ("a folder of that name", "a file name", "choose another name"),
    errno.ENOENT: ("no such folder", "a folder that is there", "make the folder first"),
    errno.ENOTDIR: ("a file where a folder is wanted", "a folder", "choose another folder"),
    errno.EEXIST: ("a file where a folder is wanted", "a folder", "choose another folder"),
    errno.ENAMETOOLONG: ("a name that is too long", "a shorter name", "shorten the name"),
}


def write_atomically(path: Path, data: Content) -> None:
    """Write a file so that it is either wholly there or untouched.

    The data goes to a temporary name in the same folder and is moved into place; an
    existing file keeps its permissions, a link still points where it pointed.

    Parameters
    ----------
    path : Path
        Where it goes; the folder must exist (see `make_folder`).
    data : bytes, str or callable
        Text is written as UTF-8; a callable is handed the open file, for what is too large
        to be held at once.

    Raises
    ------
    OutputError
        If there is no space, no permission, or a folder of that name.

    Examples
    --------
    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     write_atomically(Path(folder) / "note.txt", "waist at 268 mm")
    ...     (Path(folder) / "note.txt").read_text()
    'waist at 268 mm'
    """
    try:
        temporary, target = _beside(path, data)
        _into_place(temporary, target)
    except (OSError, ValueError) as error:
        raise _output_error(path, error) from error


def write_all(folder: Path, files: Iterable[tuple[str, Content]]) -> tuple[Path, ...]:
    """Write several files into a folder, all of them or none.

    Every file goes to a temporary name first; only when all are on the disk are they moved
    into place. A refusal takes away what was begun, and the folders made for it.

    Parameters
    ----------
    folder : Path
        Made if it is not there.
    files : iterable of (str, bytes, str or callable)
        Name within the folder, with "/" for a folder below it, and content. They are taken
        one after the other, and moved into place in the same order.

    Raises
    ------
    OutputError
        As `write_atomically` and `make_folder`.
    """
    made: list[Path] = []
    waiting: list[tuple[Path, Path]] = []
    path = folder
    written = []
    try:
        for name, data in files:
            path = folder / name
            made += _make(path.parent)
            waiting.append(_beside(path, data))
            written.append(path)
        made.clear()
        while waiting:
            path = waiting[0][1]
            _into_place(*waiting[0])
            del waiting[0]
    except BaseException as error:
        for temporary, _ in waiting:
            with contextlib.suppress(OSError):
                temporary.unlink()
        _take_away(made)
        if isinstance(error, OSError | ValueError):
            raise _output_error(path, error) from error
        raise
    return tuple(written)


@contextlib.contextmanager
def made_beside(path: Path) -> Iterator[Path]:
    """A temporary name beside a file, for what writes by name; moved into place at the end.

    Nothing is left of it where the block fails.

    Raises
    ------
    OutputError
        As `write_atomically`.
    """
    temporary = _temporary(path)
    try:
        yield temporary
        with temporary.open("rb+") as file:
            os.fsync(file.fileno())
        _into_place(temporary, path)
        sync_folder(path.parent)
    except (OSError, ValueError) as error:
        raise _output_error(path, error) from error
    finally:
        with contextlib.suppress(OSError):
            temporary.unlink()


def sync_folder(folder: Path) -> None:
    """Put the new name itself on the disk, where the system lets a folder be opened."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _temporary(target: Path) -> Path:
    return target.with_name(f".{target.name[:100]}.{os.urandom(6).hex()}.part")


def _beside(path: Path, data: Content) -> tuple[Path, Path]:
    """The data under a temporary name in the file's own folder, and where it is to go."""
    target = Path(os.path.realpath(path))
    if target.is_dir():
        raise IsADirectoryError(errno.EISDIR, "is a directory")
    temporary = _temporary(target)
    try:
        # Made anew with the maker's usual permissions, which a tempfile would not have.
        with temporary.open("xb") as file:
            if callable(data):
                data(file)
            else:
                file.write(data.encode("utf-8") if isinstance(data, str) else data)
            file.flush()
            os.fsync(file.fileno())
        if target.exists():
            temporary.chmod(target.stat().st_mode & 0o7777)
    except BaseException:
        with contextlib.suppress(OSError):
            temporary.unlink()
        raise
    return temporary, target


def _into_place(temporary: Path, target: Path) -> None:
    try:
        temporary.replace(target)
    except BaseException:
        with contextlib.suppress(OSError):
            temporary.unlink()
        raise


def make_folder(path: Path) -> None:
    """Make a folder and those above it, if they are not there: all of them or none.

    Raises
    ------
    OutputError
        If it cannot be made.
    """
    try:
        _make(path)
    except (OSError, ValueError) as error:
        raise _output_error(path, error) from error


def _make(path: Path) -> list[Path]:
    """The folders that had to be made, outermost first; none is left where one fails."""
    made: list[Path] = []
    try:
        for folder in (*reversed(path.parents), path):
            if not folder.is_dir():
                folder.mkdir()
                made.append(folder)
    except FileExistsError:
        _take_away(made)
        if path.is_dir():  # somebody else made it meanwhile
            return []
        raise
    except (OSError, ValueError):
        _take_away(made)
        raise
    return made


def _take_away(folders: list[Path]) -> None:
    """Remove folders made for nothing, if they are still empty."""
    for folder in reversed(folders):
        with contextlib.suppress(OSError):
            folder.rmdir()


def _output_error(path: Path, error: OSError | ValueError) -> OutputError:
    """The system's error as one line."""
    number = error.errno if isinstance(error, OSError) else None
    reason = _REASONS.get(number or 0)
    if reason is None:
        words = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        reason = (words, "a file that can be written", "choose another place or name")
    return OutputError(*reason, where=str(path))
