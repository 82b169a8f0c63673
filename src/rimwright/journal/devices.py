"""Tablets and phones that were let in: named, seen, revoked. Their tokens are kept nowhere."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from rimwright.errors import JournalError
from rimwright.journal.keeping_checks import moment, one_line
from rimwright.journal.keeping_rows import listed, needed, put, table_of

if TYPE_CHECKING:
    from rimwright.journal.engine import Journal

_SHA256 = re.compile(r"[0-9a-f]{64}")
#: More are a mistake, or somebody trying.
MOST_DEVICES = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class Device:
    """A device that was paired."""

    id: int
    uid: str
    name: str
    token_sha256: str
    #: It may act and not only watch.
    may_act: bool
    paired_wall_s: float
    seen_wall_s: float
    revoked_wall_s: float | None


def add_device(journal: Journal, name: str, token_sha256: str, may_act: bool, wall_s: float) -> int:
    """Let a device in; its number.

    Parameters
    ----------
    journal : Journal
    name : str
        As its owner calls it.
    token_sha256 : str
        SHA-256 of its token, 64 hexadecimal figures in small letters.
    may_act : bool
        It may act and not only watch.
    wall_s : float
        Now. [s since 1970]

    Raises
    ------
    JournalError
        If name or sum is none, the token is known already, or 200 devices are let in.
    """
    if not isinstance(token_sha256, str) or not _SHA256.fullmatch(token_sha256):
        found, expected = "no SHA-256 of a token", "64 hexadecimal figures"
        raise JournalError(found, expected, "pair the device again", where="device")
    now = moment(wall_s, where="device")
    values = {
        "name": one_line(name, "a device's name", where="device"),
        "token_sha256": token_sha256,
        "may_act": bool(may_act),
        "paired_wall_s": now,
        "seen_wall_s": now,
        "revoked_wall_s": None,
    }
    table = table_of("devices")
    with journal.writing() as connection:
        if listed(connection, "devices", table.c.token_sha256 == token_sha256):
            found, expected = "a token that was given out before", "a new one"
            raise JournalError(found, expected, "pair the device again", where="device")
        if len(listed(connection, "devices", table.c.revoked_wall_s.is_(None))) >= MOST_DEVICES:
            found, expected = f"{MOST_DEVICES} devices let in", "fewer"
            raise JournalError(found, expected, "revoke those no longer used", where="device")
        return put(connection, "devices", None, values)


def device_by_token(journal: Journal, token_sha256: str) -> Device | None:
    """The device whose token this is; None if it is nobody's, or was revoked."""
    table = table_of("devices")
    with journal.reading() as connection:
        found = listed(
            connection,
            "devices",
            table.c.token_sha256 == token_sha256,
            table.c.revoked_wall_s.is_(None),
        )
    return Device(**found[0]) if found else None


def devices(journal: Journal, *, revoked: bool = False) -> tuple[Device, ...]:
    """Devices that are let in, in the order they were paired; with `revoked`, those too."""
    table = table_of("devices")
    conditions = [] if revoked else [table.c.revoked_wall_s.is_(None)]
    with journal.reading() as connection:
        return tuple(Device(**row) for row in listed(connection, "devices", *conditions))


def revoke(journal: Journal, number: int, wall_s: float) -> None:
    """Let a device in no longer. One that was revoked before keeps its moment.

    Raises
    ------
    JournalError
        If there is none of that number.
    """
    now = moment(wall_s, where="device")
    table = table_of("devices")
    with journal.writing() as connection:
        needed(connection, "devices", number)
        still = table.update().where(table.c.id == number, table.c.revoked_wall_s.is_(None))
        connection.execute(still.values(revoked_wall_s=now))


def seen(journal: Journal, number: int, wall_s: float) -> None:
    """Note that a device was here. It writes: call it once a minute, not at each request.

    Raises
    ------
    JournalError
        If it cannot be written.
    """
    now = moment(wall_s, where="device")
    table = table_of("devices")
    with journal.writing() as connection:
        connection.execute(table.update().where(table.c.id == number).values(seen_wall_s=now))
