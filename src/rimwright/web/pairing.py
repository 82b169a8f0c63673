"""A short code that makes a device on the local network one that may act."""

from __future__ import annotations

import hmac
import io
import secrets
import threading
import time
from collections.abc import Callable

from rimwright.web.access import Access, refused
from rimwright.web.limits import Allowance

#: Eight digits, as two groups of four.
DIGITS = 8
#: How long a code holds, and how many wrong ones it survives: a chance of 2 in ten million
#: to be hit by trying. [s]
VALID_S = 600.0
WRONG_IN_ALL = 20
#: From one address: this many, then one a minute.
WRONG_EACH, WRONG_EACH_PER_S = 5, 1.0 / 60.0


class Pairing:
    """The code that holds now, if one does.

    Parameters
    ----------
    now : callable
        Seconds on a clock that never steps. [s]
    """

    def __init__(self, now: Callable[[], float] = time.monotonic) -> None:
        self._now = now
        self._lock = threading.Lock()
        self._code: str | None = None
        self._until_s = 0.0
        self._wrong = 0
        self._tries = Allowance(WRONG_EACH, WRONG_EACH_PER_S, now=now)

    def fresh(self) -> str:
        """A new code; the one before holds no longer."""
        with self._lock:
            self._code = f"{secrets.randbelow(10**DIGITS):0{DIGITS}d}"
            self._until_s = self._now() + VALID_S
            self._wrong = 0
            return self._code

    def valid_s(self) -> float:
        """How long the code still holds; 0 where none does. [s]"""
        with self._lock:
            return max(self._until_s - self._now(), 0.0) if self._code is not None else 0.0

    def use(self, code: str, peer: str) -> None:
        """Take a code that a device shows; it holds no longer afterwards.

        Raises
        ------
        RefusedError
            403 where it is not the code, 429 where this address has tried too often.
        """
        if not self._tries.left(peer):
            raise refused(
                429, "too many wrong codes from this device", "the one on the shop computer",
                "wait a minute, then try again",
            )  # fmt: skip
        shown = "".join(filter(str.isdigit, code))
        with self._lock:
            held = self._code if self._now() < self._until_s else None
            # Compared whole and at the same pace, whatever was shown.
            right = hmac.compare_digest(shown.encode(), (held or "?" * DIGITS).encode())
            if right:
                self._code = None
                return
            self._wrong += 1
            if self._wrong >= WRONG_IN_ALL:
                self._code = None
        self._tries.take(peer)
        raise refused(
            403, "a code that does not hold", "the eight digits that the shop computer shows",
            "look at its screen; each code is for one device and ten minutes",
        )  # fmt: skip


def spoken(code: str) -> str:
    """A code as it is read aloud.

    Examples
    --------
    >>> spoken("04217786")
    '0421 7786'
    """
    return f"{code[:4]} {code[4:]}"


def pairing_link(access: Access, code: str) -> str:
    """The link that opens the first page and brings the code along.

    The code stands behind a "#": that part stays in the browser, so it is in no request line
    and opening the link changes nothing by itself.
    """
    return f"{access.lan_address}#pair={code}"


def scannable(link: str) -> str:
    """A link as a code to scan, drawn with the characters of a terminal."""
    import segno

    drawn = io.StringIO()
    segno.make(link, error="m", micro=False).terminal(out=drawn, compact=True)
    return drawn.getvalue()
