"""`server.json`: how the command line finds the server, readable by its user alone."""

from __future__ import annotations

import contextlib
import json
import os
import stat
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from rimwright.errors import OutputError, RimwrightError
from rimwright.files import make_folder
from rimwright.web.access import Access

if TYPE_CHECKING:
    from rimwright.journal.engine import Journal

NAME = "server.json"


@dataclass(frozen=True, slots=True)
class Running:
    """A server that runs, as its file says."""

    port: int
    token: str
    process: int
    lan: str

    @property
    def address(self) -> str:
        """Of its first page."""
        return f"http://127.0.0.1:{self.port}/"


def folder_of(journal: Journal) -> Path:
    """Where a journal's `server.json` is: beside its file, or where the system keeps such."""
    return folder_of_servers() if journal.path is None else journal.path.parent


def folder_of_servers() -> Path:
    """Where `server.json` of a journal on a database server is: in a folder of its user alone."""
    from platformdirs import user_data_path, user_runtime_path

    if os.environ.get("XDG_RUNTIME_DIR"):
        return user_runtime_path("rimwright", appauthor=False)
    # Without a session the system has no such folder, and one in /tmp is anybody's.
    return user_data_path("rimwright", appauthor=False)


def running(folder: Path) -> Running | None:
    """The server that a folder's file names; None where there is none, or it is gone."""
    path = folder / NAME
    try:
        if stat.S_IMODE(path.stat().st_mode) & 0o077 or path.stat().st_uid != os.getuid():
            # Somebody else may have written it: its token is worth nothing.
            return None
        said = json.loads(path.read_text(encoding="utf-8"))
        found = Running(
            int(said["port"]), str(said["token"]), int(said["process"]), str(said["lan"])
        )
    except (OSError, ValueError, KeyError, TypeError):
        return None
    return found if _answers(found) else None


def _answers(found: Running) -> bool:
    """Whether it is there and takes its own token: a file may be left of a power cut."""
    from http.client import HTTPConnection, HTTPException

    connection = HTTPConnection("127.0.0.1", found.port, timeout=2.0)
    try:
        connection.request("GET", "/api/state", headers={"Authorization": f"Bearer {found.token}"})
        answer = connection.getresponse()
        return answer.status == 200 and b'"boot"' in answer.read(65536)
    except (OSError, HTTPException, ValueError):
        return False
    finally:
        connection.close()


class ServerFile:
    """The file of one server."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self._written = False

    def write(self, access: Access) -> None:
        """Write it whole, for its user alone from the first moment on.

        Raises
        ------
        OutputError
            If it cannot be written.
        """
        said = {
            "port": access.port,
            "token": access.token,
            "process": os.getpid(),
            "lan": access.lan,
        }
        beside = self._path.with_name(f".{NAME}.{os.urandom(6).hex()}.part")
        try:
            number = os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
            with os.fdopen(number, "w", encoding="utf-8") as file:
                json.dump(said, file)
            beside.replace(self._path)
        except OSError as error:
            with contextlib.suppress(OSError):
                beside.unlink()
            raise OutputError(
                str(error.strerror), "a folder that can be written", "look at disk and permissions",
                where=str(self._path),
            ) from error  # fmt: skip
        self._written = True

    def remove(self) -> None:
        """Take it away, if it is this server's."""
        if self._written:
            with contextlib.suppress(OSError):
                self._path.unlink()


@contextlib.contextmanager
def server_file(journal: Journal, folder: Path | None = None) -> Iterator[ServerFile]:
    """The file of a server of this journal, which is gone again at its end.

    Raises
    ------
    RimwrightError
        If another server has this journal.
    """
    folder = folder or folder_of(journal)
    make_folder(folder)
    other = running(folder)
    if other is not None:
        raise RimwrightError(
            f"a server of this journal at {other.address}", "one at a time",
            "open that address, or end the other server first", where=str(folder / NAME),
        )  # fmt: skip
    file = ServerFile(folder / NAME)
    try:
        yield file
    finally:
        file.remove()
