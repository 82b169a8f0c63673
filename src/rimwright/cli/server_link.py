"""The command line's link to a server that runs: found by its file, spoken to by its token."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

from rimwright.errors import RunError

if TYPE_CHECKING:
    from websockets.sync.client import ClientConnection

    from rimwright.web.server_file import Running

_ANSWERS_WITHIN_S = 20.0


class ServerLink:
    """A server on this computer."""

    def __init__(self, server: Running) -> None:
        self._server = server
        self.address = server.address

    def get(self, path: str) -> Any:
        """An answer as plain values.

        Raises
        ------
        RunError
            If the server refuses, or does not answer.
        """
        return self._call("GET", path, None)

    def post(self, path: str, body: Mapping[str, Any]) -> Any:
        """The same for something to be done.

        Raises
        ------
        RunError
            As above.
        """
        return self._call("POST", path, body)

    def send(self, path: str, data: bytes, media_type: str, **query: str) -> Any:
        """The same with bytes, such as a photograph.

        Raises
        ------
        RunError
            As above.
        """
        return self._call("POST", path, None, data=data, media_type=media_type, query=query)

    def _call(
        self,
        method: str,
        path: str,
        body: Mapping[str, Any] | None,
        *,
        data: bytes | None = None,
        media_type: str = "",
        query: Mapping[str, str] | None = None,
    ) -> Any:
        import httpx

        more = {} if data is None else {"Content-Type": media_type}

        try:
            answer = httpx.request(
                method,
                f"http://127.0.0.1:{self._server.port}{path}",
                json=body,
                content=data,
                params=query or None,
                headers={"Authorization": f"Bearer {self._server.token}", **more},
                timeout=_ANSWERS_WITHIN_S,
                trust_env=False,
            )
        except httpx.HTTPError as error:
            raise RunError(
                f"a server that does not answer ({type(error).__name__})",
                "one that does", "look at its terminal",
            ) from error  # fmt: skip
        if answer.status_code < 400:
            return answer.json() if answer.content else None
        try:
            said = answer.json()
            raise RunError(said["found"], said["expected"], said["next"])
        except (ValueError, KeyError, TypeError):
            raise RunError(
                f"the answer {answer.status_code}", "one that says why", "look at its terminal"
            ) from None

    @contextmanager
    def live(self, run: int, since: int, boot: str) -> Iterator[ClientConnection]:
        """The live channel of a run, open.

        Raises
        ------
        OSError, websockets.exceptions.WebSocketException
            If it cannot be opened, or ends: open it again.
        """
        from websockets.sync.client import connect

        with connect(
            f"ws://127.0.0.1:{self._server.port}/ws/live/{run}?since={since}&boot={boot}",
            additional_headers={"Authorization": f"Bearer {self._server.token}"},
            open_timeout=3.0,
            close_timeout=1.0,
            max_size=16_000_000,
            proxy=None,
        ) as socket:
            yield socket


def message(text: str | bytes) -> dict[str, Any]:
    """A message of the live channel."""
    found: dict[str, Any] = json.loads(text)
    return found


def server_of(journal: str | None) -> ServerLink | None:
    """The server of this journal, if one runs on this computer."""
    from rimwright.web.server_file import running

    found = running(_folder(journal))
    if found is None:
        return None
    link = ServerLink(found)
    # Of another journal in the same folder perhaps: what is said must not go into that.
    return link if _same(link.get("/api/state")["journal"], journal) else None


def _same(where: str, journal: str | None) -> bool:
    from rimwright.journal.opening import where_of

    asked = where_of(journal)
    if where == asked or "://" in asked:
        return where == asked
    try:
        return Path(where).samefile(asked)
    except OSError:
        return False


def needed_server(journal: str | None) -> ServerLink:
    """The server of this journal.

    Raises
    ------
    RunError
        If none runs.
    """
    link = server_of(journal)
    if link is None:
        raise RunError(
            "no server of this journal on this computer", "one that runs",
            "start it with `rimwright serve`, or begin a run with `rimwright begin`",
        )  # fmt: skip
    return link


def _folder(journal: str | None) -> Path:
    from rimwright.journal.opening import named_place

    named = named_place(journal)
    if "://" in named:
        from rimwright.web.server_file import folder_of_servers

        return folder_of_servers()
    return Path(named).expanduser().absolute().parent
