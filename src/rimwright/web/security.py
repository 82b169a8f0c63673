"""The gate in front of every page, call and socket, and of whatever is mounted beside them."""

from __future__ import annotations

import asyncio
import logging
from collections import Counter

from rimwright.web.access import Caller, RefusedError, refused
from rimwright.web.answers import (
    POLICY_VIOLATION,
    Answer,
    App,
    Message,
    Receive,
    Send,
    refuse_handshake,
    short,
)
from rimwright.web.callers import (
    Scope,
    bearer,
    caller_of,
    check_head,
    check_host,
    check_origin,
    header,
    kind_of_device,
)
from rimwright.web.limits import Allowance
from rimwright.web.rules import RULES, Rule, rule_for
from rimwright.web.shop import Shop

#: From one device on the local network: this many requests at once, then so many a second.
REQUESTS, REQUESTS_PER_S = 240, 40.0
_log = logging.getLogger("rimwright.web")


class Gate:
    """Checks each request before anything else sees it; pure ASGI, for HTTP and WebSocket.

    Parameters
    ----------
    app : ASGI application
        What stands behind it.
    shop : Shop
        Who may reach it.
    rules : sequence of Rule
        The first that covers a request holds.
    """

    def __init__(self, app: App, shop: Shop, rules: tuple[Rule, ...] = RULES) -> None:
        self._app, self._shop, self._rules = app, shop, rules
        self._requests = Allowance(REQUESTS, REQUESTS_PER_S)
        self._taking_in: Counter[str] = Counter()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "http":
            await self._http(scope, receive, send)
        elif scope["type"] == "websocket":
            await self._socket(scope, receive, send)
        else:
            await self._app(scope, receive, send)

    async def _http(self, scope: Scope, receive: Receive, send: Send) -> None:
        answer = Answer(send)
        try:
            rule, caller, new = await self._checked(scope, scope["method"])
            answer.dress(rule, caller, new)
            scope["caller"] = caller
            body = await self._body(scope, receive, rule)
            await self._app(scope, _replayed(body, receive), answer)
        except RefusedError as error:
            await answer.refuse(error)
        except asyncio.CancelledError:
            raise
        except Exception:  # noqa: BLE001 - whatever it is, one request fails and the server goes on
            # Raised on, it would end a line that has its whole answer already.
            _log.exception("a fault of ours: %s %s", scope["method"], scope["path"][:200])
            if not answer.begun:
                await answer.refuse(
                    refused(500, "a fault of ours", "an answer", "look at the server's terminal")
                )

    async def _socket(self, scope: Scope, receive: Receive, send: Send) -> None:
        try:
            _, caller, _ = await self._checked(scope, "SOCKET")
        except RefusedError as error:
            # A page that was let in is told why; a stranger is not even connected.
            if error.status == 401:
                await send({"type": "websocket.accept"})
                await send(
                    {"type": "websocket.close", "code": POLICY_VIOLATION, "reason": short(error)}
                )
            else:
                await refuse_handshake(send, error)
            return
        scope["caller"] = caller
        await self._app(scope, receive, send)

    async def _checked(self, scope: Scope, method: str) -> tuple[Rule, Caller, str]:
        """The rule of a request, who sent it, and the cookie of a session made for it."""
        check_head(scope)
        access, sessions = self._shop.access, self._shop.sessions
        host = check_host(scope, access)
        rule = rule_for(self._rules, method, scope["path"])
        if rule is None:
            raise refused(405, f"the method {method[:20]!r}", "GET or POST", "use one of them")
        caller = await caller_of(scope, host, access, sessions)
        if not caller.here and not self._requests.take(caller.peer):
            raise refused(429, "too many requests from this device", "fewer", "wait some seconds")
        unsafe = method != "GET"
        check_origin(scope, host, needed=unsafe and not caller.by_token and rule.who != "probe")
        new = ""
        if rule.page and not caller.may_view:
            new = await sessions.look(caller.peer, kind_of_device(scope)) or ""
        self._may(scope, rule, caller)
        return rule, caller, new

    def _may(self, scope: Scope, rule: Rule, caller: Caller) -> None:
        """Refuse what this caller may not."""
        if rule.who == "probe":
            if not bearer(scope):
                raise refused(401, "readings without a token", "`Authorization: Bearer` and the "
                              "probe's token", "see the probe's settings")  # fmt: skip
            if not self._shop.strange_probes.left(caller.peer):
                raise refused(429, "too many wrong tokens", "the probe's token", "wait a minute")
        if rule.who in {"view", "act", "here"} and not caller.may_view:
            raise refused(401, "a device without a session", "one that opened the page first",
                          "open the first page in this browser")  # fmt: skip
        if rule.who == "act" and not caller.may_act:
            raise refused(403, "a device that may look only", "a paired device",
                          "pair it with the code that the shop computer shows")  # fmt: skip
        if rule.who == "here" and not caller.here:
            raise refused(403, "another device", "the shop computer itself", "do it there")

    async def _body(self, scope: Scope, receive: Receive, rule: Rule) -> bytes:
        """The whole body, within the rule's bytes and seconds."""
        length, chunked = header(scope, b"content-length"), header(scope, b"transfer-encoding")
        if rule.method == "GET":
            if chunked or length not in {"", "0"}:
                raise refused(400, "a GET that brings something", "one that only asks", "use POST")
            return b""
        kind = header(scope, b"content-type").partition(";")[0].strip().lower()
        if (kind or chunked or length not in {"", "0"}) and kind not in rule.types:
            raise refused(415, f"content of type {kind[:60]!r}", " or ".join(rule.types),
                          "send it as that")  # fmt: skip
        if length.isdecimal() and int(length[:20]) > rule.body_bytes:
            raise _too_large(rule)
        if rule.at_once is not None and self._taking_in[rule.path] >= rule.at_once:
            raise refused(429, "several sent at once", "one after the other", "wait some seconds")
        self._taking_in[rule.path] += 1
        try:
            async with asyncio.timeout(rule.body_s):
                return await _taken_in(receive, rule)
        except TimeoutError:
            raise refused(408, f"a body not whole after {rule.body_s:g} s", "all of it",
                          "look at the link and send it again") from None  # fmt: skip
        finally:
            self._taking_in[rule.path] -= 1


async def _taken_in(receive: Receive, rule: Rule) -> bytes:
    body = bytearray()
    while True:
        message = await receive()
        if message["type"] == "http.disconnect":
            raise refused(400, "a body cut short", "all of it", "send it again")
        body += message.get("body", b"")
        # Counted as it comes: what a header says of its length may be a lie.
        if len(body) > rule.body_bytes:
            raise _too_large(rule)
        if not message.get("more_body", False):
            return bytes(body)


def _too_large(rule: Rule) -> RefusedError:
    return refused(413, f"more than {rule.body_bytes} bytes", "less", "send less at a time")


def _replayed(body: bytes, receive: Receive) -> Receive:
    """What gives a body that was read already, then goes on with the connection."""
    waiting: list[Message] = [{"type": "http.request", "body": body, "more_body": False}]

    async def next_message() -> Message:
        return waiting.pop() if waiting else await receive()

    return next_message
