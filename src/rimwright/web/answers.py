"""What every answer has: headers that shut doors, and a refusal in one form."""

from __future__ import annotations

import json
from collections.abc import Awaitable, Callable
from typing import Any

from rimwright.errors import RimwrightError
from rimwright.web.access import Caller, RefusedError
from rimwright.web.callers import Scope
from rimwright.web.rules import DATA_POLICY, Rule
from rimwright.web.sessions import cookie_header

Message = Any
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]

#: A WebSocket closed for a reason of ours.
POLICY_VIOLATION = 1008
#: Everywhere, whatever answers; a page's own policy of content comes with its rule.
_HEADERS = {
    b"x-content-type-options": b"nosniff",
    b"referrer-policy": b"no-referrer",
    b"cross-origin-resource-policy": b"same-origin",
    b"permissions-policy": b"accelerometer=(), camera=(), display-capture=(), geolocation=(), "
    b"gyroscope=(), magnetometer=(), microphone=(), midi=(), payment=(), usb=()",
    b"cache-control": b"no-store",
}


class Answer:
    """Sends an answer with the headers that every one has."""

    def __init__(self, send: Send) -> None:
        self._send, self.begun, self._over = send, False, False
        self._headers = {**_HEADERS, b"content-security-policy": DATA_POLICY.encode()}
        self._cookie = b""

    def dress(self, rule: Rule, caller: Caller, new: str) -> None:
        """Headers of this rule and caller."""
        self._headers[b"content-security-policy"] = rule.policy.encode()
        if caller.here:
            # Browsers ignore it, with a complaint, where pages come by plain HTTP from afar.
            self._headers[b"cross-origin-opener-policy"] = b"same-origin"
        self._cookie = cookie_header(new).encode() if new else b""

    async def __call__(self, message: Message) -> None:
        if message["type"] == "http.response.start":
            self.begun = True
            headers = list(message.get("headers", []))
            there = {key.lower() for key, _ in headers}
            headers += [(key, value) for key, value in self._headers.items() if key not in there]
            if self._cookie and message["status"] == 200:
                headers.append((b"set-cookie", self._cookie))
            message = {**message, "headers": headers}
        await self._send(message)

    async def refuse(self, error: RefusedError) -> None:
        """Answer with a refusal and end the connection: its body may still be on its way."""
        data = as_json(error)
        headers = [
            (b"content-type", b"application/json"), (b"connection", b"close"),
            (b"content-length", str(len(data)).encode()),
        ]  # fmt: skip
        if error.status == 405:
            headers.append((b"allow", b"GET, POST"))
        self._cookie = b""
        await self({"type": "http.response.start", "status": int(error.status), "headers": headers})
        await self({"type": "http.response.body", "body": data})


async def refuse_handshake(send: Send, error: RefusedError) -> None:
    """Answer a WebSocket's request with a refusal, without connecting it."""
    data = as_json(error)
    headers = [(b"content-type", b"application/json"), (b"content-length", str(len(data)).encode())]
    await send(
        {"type": "websocket.http.response.start", "status": int(error.status), "headers": headers}
    )
    await send({"type": "websocket.http.response.body", "body": data})


def as_json(error: RimwrightError) -> bytes:
    """A refusal as every answer says it."""
    words = {"found": error.found, "expected": error.expected, "next": error.next_step}
    return json.dumps(words, ensure_ascii=False).encode("utf-8", "replace")


def short(error: RimwrightError) -> str:
    """A refusal within the 123 bytes that closing a socket may say."""
    words = f"found {error.found}; next: {error.next_step}"
    return words.encode("utf-8", "replace")[:123].decode("utf-8", "ignore")
