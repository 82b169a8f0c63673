"""Devices on the local network: a cookie each, kept in the journal as a hash."""

from __future__ import annotations

import asyncio
import hashlib
import secrets
import threading
import time
from collections import OrderedDict
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from typing import TYPE_CHECKING

from rimwright.errors import RimwrightError
from rimwright.web.limits import Allowance

if TYPE_CHECKING:
    from rimwright.journal.devices import Device
    from rimwright.journal.engine import Journal

COOKIE = "rimwright"
#: A session is looked up again after this long, so that one revoked elsewhere ends soon. [s]
REMEMBERED_S = 5.0
#: Moments of last use are written down this seldom. [s]
SEEN_EVERY_S = 60.0
#: Sessions that may look only: most in all, and most that one address gets at once and an hour.
LOOKERS, LOOKERS_EACH, LOOKERS_EACH_PER_S = 100, 10, 10.0 / 3600.0
_COOKIE_S = 400 * 24 * 3600
_LONGEST_TOKEN = 64


class Sessions:
    """Sessions of the devices on the local network.

    Parameters
    ----------
    journal : Journal
        Where their hashes are kept, so that they outlive a restart.
    wall, now : callable
        Seconds since 1970, and on a clock that never steps. [s]
    """

    def __init__(
        self, journal: Journal, *, wall: Callable[[], float] = time.time,
        now: Callable[[], float] = time.monotonic,
    ) -> None:  # fmt: skip
        self._journal, self._wall, self._now = journal, wall, now
        self._held: OrderedDict[str, tuple[Device | None, float]] = OrderedDict()
        #: Counts what was revoked, so that a look-up begun before does not bring it back.
        self._revoked = 0
        self._lock = threading.Lock()
        self._given = Allowance(LOOKERS_EACH, LOOKERS_EACH_PER_S, now=now)
        # Its own two threads: a crowd of strangers delays other strangers, nothing else.
        self._threads = ThreadPoolExecutor(2, thread_name_prefix="sessions")

    def stop(self) -> None:
        """Let go of the threads."""
        self._threads.shutdown(wait=True, cancel_futures=True)

    async def of_token(self, token: str) -> Device | None:
        """The session of a cookie; None where it does not hold."""
        if not token or len(token) > _LONGEST_TOKEN:
            return None
        sha = hashed(token)
        with self._lock:
            device, until = self._held.get(sha, (None, 0.0))
        if self._now() < until:
            return device
        loop = asyncio.get_running_loop()
        return await loop.run_in_executor(self._threads, self._look_up, sha)

    async def look(self, peer: str, words: str) -> str | None:
        """A new session that may look only, as its cookie; None where there are too many.

        Parameters
        ----------
        peer : str
            Address it is for.
        words : str
            What kind of device it says it is.
        """
        if not self._given.take(peer):
            return None
        loop = asyncio.get_running_loop()
        try:
            return await loop.run_in_executor(self._threads, self._new_looker, words)
        except RimwrightError:
            # The journal cannot be written: the page itself is shown all the same.
            return None

    def add(self, name: str, *, may_act: bool) -> tuple[str, int]:
        """A new session: its cookie and its number. Waits for the journal."""
        from rimwright.journal.devices import add_device

        token = secrets.token_urlsafe(32)
        number = add_device(self._journal, name, hashed(token), may_act, self._wall())
        return token, number

    def revoke(self, device: int) -> None:
        """End a session at once. Waits for the journal."""
        from rimwright.journal.devices import revoke

        revoke(self._journal, device, self._wall())
        self._forget(device)

    def still(self, devices: set[int]) -> set[int]:
        """Those of the sessions that hold; others are known no longer. Waits for the journal."""
        from rimwright.journal.devices import devices as all_devices

        there = devices & {one.id for one in all_devices(self._journal)}
        for device in devices - there:
            self._forget(device)
        return there

    def _forget(self, device: int) -> None:
        with self._lock:
            self._revoked += 1
            gone = [sha for sha, (held, _) in self._held.items() if held and held.id == device]
            for sha in gone:
                del self._held[sha]

    def _look_up(self, sha: str) -> Device | None:
        from rimwright.journal.devices import device_by_token, seen

        with self._lock:
            revoked = self._revoked
        device = device_by_token(self._journal, sha)
        if device is not None and self._wall() - device.seen_wall_s >= SEEN_EVERY_S:
            # A disk that is full turns nobody out.
            with suppress(RimwrightError):
                seen(self._journal, device.id, self._wall())
        with self._lock:
            if self._revoked != revoked:
                return device
            self._held[sha] = (device, self._now() + REMEMBERED_S)
            self._held.move_to_end(sha)
            while len(self._held) > 1000:
                self._held.popitem(last=False)
        return device

    def _new_looker(self, words: str) -> str:
        from rimwright.journal.devices import devices

        lookers = [one for one in devices(self._journal) if not one.may_act]
        too_many = max(len(lookers) - LOOKERS + 1, 0)
        for one in sorted(lookers, key=lambda one: one.seen_wall_s)[:too_many]:
            self.revoke(one.id)
        return self.add(words, may_act=False)[0]


def hashed(token: str) -> str:
    """A token as the journal keeps it. It is long and random, so that a plain hash suffices."""
    return hashlib.sha256(token.encode("utf-8", "surrogateescape")).hexdigest()


def cookie_of(header: str) -> str:
    """The token in a Cookie header; "" where there is none.

    Examples
    --------
    >>> cookie_of("theme=dark; rimwright=abc")
    'abc'
    """
    for part in header.split(";"):
        name, _, value = part.strip().partition("=")
        if name == COOKIE:
            return value.strip('"')
    return ""


def cookie_header(token: str) -> str:
    """The Set-Cookie that gives a device its session.

    No script reads it and no other site sends it. There is no `Secure`: on a local network
    without certificates the pages come by plain HTTP (docs/security.md says what that means).
    """
    return f"{COOKIE}={token}; Path=/; Max-Age={_COOKIE_S}; HttpOnly; SameSite=Strict"
