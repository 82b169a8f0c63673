"""From which device a request comes, and whether it is one of ours at all."""

from __future__ import annotations

import hmac
import re
from collections.abc import MutableMapping
from typing import Any

from rimwright.web.access import LOOPBACK_NAMES, LOOPBACK_PEERS, Access, Caller, host_name, refused
from rimwright.web.sessions import Sessions, cookie_of

Scope = MutableMapping[str, Any]

#: Whole head of a request, its address and its number of headers.
HEAD_BYTES, ADDRESS_BYTES, HEADERS = 16 * 1024, 2048, 64
#: A program in between that passes requests on: then nothing says who is on this computer.
_PASSED_ON = (b"forwarded", b"x-forwarded-for", b"x-forwarded-host", b"x-real-ip", b"via")
_PHONE, _TABLET = re.compile("iPhone|Android.+Mobile"), re.compile("iPad|Android|Tablet")


def header(scope: Scope, name: bytes) -> str:
    """A header's value; "" where there is none.

    Raises
    ------
    RefusedError
        If it is there twice: which one holds is then anybody's guess.
    """
    found = [value for key, value in scope["headers"] if key.lower() == name]
    if len(found) > 1:
        raise refused(400, f"the header {name.decode()} twice", "each header once", "send it once")
    return found[0].decode("latin-1") if found else ""


def check_head(scope: Scope) -> None:
    """Refuse a head that is longer than any of ours.

    Raises
    ------
    RefusedError
        414 for the address, 431 for the headers, 400 for an address that is none.
    """
    address = len(scope.get("raw_path") or b"") + len(scope["query_string"])
    if address > ADDRESS_BYTES:
        raise refused(
            414, f"an address of {address} bytes", f"at most {ADDRESS_BYTES}", "shorten it"
        )
    size = sum(len(key) + len(value) for key, value in scope["headers"])
    if len(scope["headers"]) > HEADERS or size > HEAD_BYTES:
        raise refused(431, f"headers of {size} bytes", f"at most {HEAD_BYTES}", "send fewer")
    if not scope["path"].startswith("/"):
        raise refused(400, "an address that is no path", "a path such as /live", "begin it with /")


def check_host(scope: Scope, access: Access) -> str:
    """The name under which the request was sent, which must be one of ours.

    A page elsewhere can have its own name point at this computer; only the Host tells.

    Raises
    ------
    RefusedError
        421 where it is not.
    """
    host = header(scope, b"host").strip().lower()
    if host not in access.hosts:
        raise refused(
            421, f"the host {host[:80]!r}", "a name of this computer and its port",
            "open the address that `rimwright serve` shows",
        )  # fmt: skip
    return host


def check_origin(scope: Scope, host: str, *, needed: bool) -> None:
    """Refuse what a page from elsewhere sends.

    Parameters
    ----------
    host : str
        As `check_host` gives it.
    needed : bool
        Whether the request must say which page it comes from.

    Raises
    ------
    RefusedError
        403 where it comes from elsewhere, or does not say.
    """
    origin = header(scope, b"origin").lower()
    site, mode = header(scope, b"sec-fetch-site"), header(scope, b"sec-fetch-mode")
    elsewhere = site in {"cross-site", "same-site"} and (needed or mode != "navigate")
    if ((origin or needed) and origin != f"http://{host}") or elsewhere:
        raise refused(
            403, f"a request of {origin[:80]!r}" if origin else "a request that says no origin",
            "one of these pages, or the command line", "open the page itself",
        )  # fmt: skip


def bearer(scope: Scope) -> str:
    """The token in the Authorization header; "" where there is none."""
    kind, _, token = header(scope, b"authorization").partition(" ")
    return token.strip() if kind.lower() == "bearer" else ""


def is_here(scope: Scope, host: str) -> bool:
    """Whether a request was sent on this computer, by a name that only this computer has."""
    peer = (scope.get("client") or ("",))[0]
    passed_on = any(key.lower() in _PASSED_ON for key, _ in scope["headers"])
    return peer in LOOPBACK_PEERS and host_name(host) in LOOPBACK_NAMES and not passed_on


async def caller_of(scope: Scope, host: str, access: Access, sessions: Sessions) -> Caller:
    """Who sent a request, and what they may do."""
    peer = str((scope.get("client") or ("",))[0])
    here = is_here(scope, host)
    if here:
        shown = bearer(scope).encode("latin-1", "replace")
        by_token = bool(access.token) and hmac.compare_digest(shown, access.token.encode())
        name = "terminal" if by_token else "this computer"
        return Caller(
            peer=peer, name=name, may_view=True, may_act=True, here=True, by_token=by_token
        )
    device = await sessions.of_token(cookie_of(header(scope, b"cookie")))
    if device is None:
        return Caller(peer=peer)
    return Caller(
        peer=peer, name=device.name, device=device.id, may_view=True, may_act=device.may_act
    )


def kind_of_device(scope: Scope) -> str:
    """What a browser says it runs on, for the list of devices."""
    agent = header(scope, b"user-agent")
    if _PHONE.search(agent):
        return "a phone"
    return "a tablet" if _TABLET.search(agent) else "a computer"
