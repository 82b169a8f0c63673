"""Which probes a bender has and how each is reached; secrets are not among it."""

from __future__ import annotations

import difflib
import re
from collections.abc import Mapping
from dataclasses import MISSING, dataclass, fields
from typing import Any

from rimwright.equipment.probe_keys import (
    LONGEST_TEXT,
    SHORTEST_TOKEN,
    new_token,
    read_key,
    said,
    token_sha256,
)
from rimwright.equipment.probe_kinds import (
    KINDS,
    How,
    HttpSettings,
    ModelSettings,
    ReplaySettings,
)
from rimwright.errors import ProbeError

#: The name stands in addresses of the network, so it is plain.
_NAME = re.compile(r"[^\W_][\w -]{0,39}")
_EXAMPLE = "waist=serial:/dev/ttyUSB0,column=2"
#: Keys whose field says its unit.
_FIELDS = {"every": "every_s"}
_KEYS = {field: key for key, field in _FIELDS.items()}
_ALL_KEYS = {_KEYS.get(one.name, one.name) for how, _ in KINDS.values() for one in fields(how)}


@dataclass(frozen=True, slots=True, kw_only=True)
class ProbeSettings:
    """One probe: its name, where it lies, how it is reached."""

    name: str
    place: str
    how: How

    @property
    def kind(self) -> str:
        """ "serial", "modbus", "mqtt", "http", "replay" or "model"."""
        return next(kind for kind, (how, _) in KINDS.items() if type(self.how) is how)

    @property
    def simulated(self) -> bool:
        """Whether no real probe is behind it."""
        return isinstance(self.how, ModelSettings | ReplaySettings)


def parse_probe(text: str) -> ProbeSettings:
    """A probe as it is written on the command line: ``name=kind:address,key=value,...``.

    Values with a comma stand in quotation marks, single or double. Without a name the probe
    is called "probe"; without a place it lies at its name.

    Raises
    ------
    ProbeError
        If it cannot be; one line that names the key.

    Examples
    --------
    >>> probe = parse_probe('waist=serial:/dev/ttyUSB0,column=2,unit=degF,place="at the waist"')
    >>> probe.kind, probe.place, probe.how.baud
    ('serial', 'at the waist', 9600)
    >>> parse_probe("waist=serial:/dev/ttyUSB0,bauds=9600")
    Traceback (most recent call last):
    rimwright.errors.ProbeError: probe waist, bauds: found an unknown key 'bauds'; expected one of \
baud, cold_column, column, decimal, ends, pattern, place, port, says_open, says_short, separator, \
unit; next: did you mean baud?
    """
    parts = _parts(text)
    head, _, rest = parts[0].partition(":")
    name, equals, kind = head.rpartition("=")
    values: dict[str, object] = {"name": name.strip() if equals else "probe", "kind": kind.strip()}
    if rest:
        key = KINDS.get(kind.strip(), (None, "address"))[1]
        if not key:
            raise ProbeError(
                said(parts[0]), "a kind that takes an address, " + _kinds(True),
                f"write it like {_EXAMPLE}", where=f"probe {name}".strip(),
            )  # fmt: skip
        values[key] = _unquoted(rest)
    for part in parts[1:]:
        key, equals, value = part.partition("=")
        key = key.strip()
        if not equals or key in values or key in ("", "name", "kind"):
            found = f"{said(key)} twice" if key in values and equals else said(part)
            raise ProbeError(
                found, "key=value after the commas, each key once", f"write it like {_EXAMPLE}",
                where=f"probe {name}".strip(),
            )  # fmt: skip
        values[key] = _unquoted(value)
    try:
        return probe_from(values)
    except ProbeError as error:
        where = ", ".join(filter(None, (f"probe {name}".strip(), error.where)))
        raise ProbeError(error.found, error.expected, error.next_step, where=where) from error


def probe_from(values: Mapping[str, object]) -> ProbeSettings:
    """A probe from a flat table, as it stands in the shop file and in the journal.

    Parameters
    ----------
    values : dict-like
        "name", "kind", "place" (may lack) and the keys of the kind; text or plain values.

    Raises
    ------
    ProbeError
        If a key is unknown, missing or impossible; `where` is the key.
    """
    rest = {key: value for key, value in values.items() if value is not None}
    name, kind = rest.pop("name", "probe"), rest.pop("kind", None)
    if not isinstance(name, str) or not _NAME.fullmatch(name):
        raise ProbeError(
            said(name), "a name of letters, figures, spaces and hyphens, 40 at most",
            "name the probe after its place, such as waist", where="name",
        )  # fmt: skip
    place = read_key("place", rest.pop("place", name))
    if not isinstance(kind, str) or kind not in KINDS:
        close = difflib.get_close_matches(str(kind)[:40], KINDS, n=1, cutoff=0.5)
        raise ProbeError(
            "no kind" if not kind else said(kind), _kinds(),
            f"did you mean {close[0]}?" if close else f"write it like {_EXAMPLE}", where="kind",
        )  # fmt: skip
    how = KINDS[kind][0]
    if how is HttpSettings:
        rest = _hashed(rest)
    known = {_KEYS.get(one.name, one.name): one for one in fields(how)}
    for key in rest:
        if key not in known:
            close = difflib.get_close_matches(key[:40], known, n=1, cutoff=0.5)
            found = (
                f"{key} on {_a(kind)} probe" if key in _ALL_KEYS else f"an unknown key {said(key)}"
            )
            raise ProbeError(
                found, "one of " + ", ".join(sorted({*known, "place"})),
                f"did you mean {close[0]}?" if close else "take it out or correct it", where=key,
            )  # fmt: skip
    for key, one in known.items():
        if one.default is MISSING and key not in rest:
            raise ProbeError(
                f"{_a(kind)} probe without {key}", f"its {key}", f"add {key}", where=key
            )
    read = {_FIELDS.get(key, key): read_key(key, value) for key, value in rest.items()}
    return ProbeSettings(name=name, place=place, how=how(**read))


def plain_probe(settings: ProbeSettings) -> dict[str, Any]:
    """The flat table of a probe, for the journal: plain values, no secret; `probe_from` reads it.

    Examples
    --------
    >>> plain_probe(parse_probe("horn=replay:12"))
    {'name': 'horn', 'place': 'horn', 'kind': 'replay', 'recording': '12', 'probe': 0, 'speed': 1.0}
    """
    table: dict[str, Any] = {
        "name": settings.name, "place": settings.place, "kind": settings.kind,
    }  # fmt: skip
    for one in fields(settings.how):
        value = getattr(settings.how, one.name)
        if value is None or value == "":
            continue
        if one.name in _KEYS:
            value = f"{value!r} s"
        table[_KEYS.get(one.name, one.name)] = list(value) if isinstance(value, tuple) else value
    return table


def _hashed(values: dict[str, object]) -> dict[str, object]:
    """The token as its hash; it goes no further than here."""
    token = values.pop("token", None)
    if token is None:
        if "token_sha256" not in values:
            raise ProbeError(
                "an http probe without a token", f"{SHORTEST_TOKEN} characters or more",
                f"add one, such as this fresh one: token={new_token()}", where="token",
            )  # fmt: skip
        return values
    if not isinstance(token, str) or not SHORTEST_TOKEN <= len(token) <= LONGEST_TEXT:
        raise ProbeError(
            "a token that is too short or too long",
            f"{SHORTEST_TOKEN} to {LONGEST_TEXT} characters",
            f"take a fresh one, such as {new_token()}", where="token",
        )  # fmt: skip
    return {**values, "token_sha256": token_sha256(token)}


def _a(kind: str) -> str:
    return f"{'an' if kind in ('mqtt', 'http') else 'a'} {kind}"


def _kinds(with_address: bool = False) -> str:
    return ", ".join(kind for kind, (_, key) in KINDS.items() if key or not with_address)


def _parts(text: str) -> list[str]:
    """Split at commas, but for those in quotation marks that open a value."""
    if len(text) > 2_000 or not text.isprintable():
        raise ProbeError(
            said(text), "one line of text", f"write it like {_EXAMPLE}", where="the probe"
        )
    parts, start, quote = [], 0, ""
    for at, char in enumerate(text):
        if quote:
            quote = "" if char == quote else quote
        elif char in "\"'" and text[at - 1 : at] in ("=", ":"):
            quote = char
        elif char == ",":
            parts.append(text[start:at])
            start = at + 1
    if quote:
        raise ProbeError(
            f"a {quote} that is not closed", "quotation marks in pairs", "close it",
            where="the probe",
        )  # fmt: skip
    return [*parts, text[start:]]


def _unquoted(text: str) -> str:
    text = text.strip()
    return text[1:-1] if len(text) > 1 and text[0] in "\"'" and text[-1] == text[0] else text
