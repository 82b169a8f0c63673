"""The one safe way to write a file: whole, or not at all."""

from __future__ import annotations

import contextlib
import errno
import os
from pathlib import Path

from rimwright.errors import OutputError

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


def write_atomically(path: Path, data: bytes | str) -> None:
    """Write a file so that it is either wholly there or untouched.

    The data goes to a temporary name in the same folder and is moved into place; an
    existing file keeps its permissions, a link still points where it pointed.

    Parameters
    ----------
    path : Path
        Where it goes; the folder must exist (see `make_folder`).
    data : bytes or str
        Text is written as UTF-8.

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
    content = data.encode("utf-8") if isinstance(data, str) else data
    try:
        target = Path(os.path.realpath(path))
        if target.is_dir():
            raise IsADirectoryError(errno.EISDIR, "is a directory")
        temporary = target.with_name(f".{target.name[:100]}.{os.urandom(6).hex()}.part")
        try:
            # Made anew with the maker's usual permissions, which a tempfile would not have.
            with temporary.open("xb") as file:
                file.write(content)
                file.flush()
                os.fsync(file.fileno())
            if target.exists():
                temporary.chmod(target.stat().st_mode & 0o7777)
            temporary.replace(target)
        except BaseException:
            with contextlib.suppress(OSError):
                temporary.unlink()
            raise
    except (OSError, ValueError) as error:
        raise _output_error(path, error) from error


def make_folder(path: Path) -> None:
    """Make a folder and those above it, if they are not there.

    Raises
    ------
    OutputError
        If it cannot be made.
    """
    try:
        path.mkdir(parents=True, exist_ok=True)
    except (OSError, ValueError) as error:
        raise _output_error(path, error) from error


def _output_error(path: Path, error: OSError | ValueError) -> OutputError:
    """The system's error as one line."""
    number = error.errno if isinstance(error, OSError) else None
    reason = _REASONS.get(number or 0)
    if reason is None:
        words = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        reason = (words, "a file that can be written", "choose another place or name")
    return OutputError(*reason, where=str(path))
