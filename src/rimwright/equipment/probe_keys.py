"""What each key of a probe may say, wherever it is written: shop file, command line, journal."""

from __future__ import annotations

import hashlib
import re
import secrets
from collections.abc import Callable, Iterable
from typing import Any

from rimwright.errors import ProbeError, RimwrightError
from rimwright.units import parse

#: Whole numbers, by key: from and to.
WHOLE: dict[str, tuple[int, int]] = {
    "baud": (50, 921_600),
    "column": (1, 64),
    "cold_column": (1, 64),
    "device": (0, 255),
    "register": (0, 65_535),
    "stop_bits": (1, 2),
    "probe": (0, 63),
}
#: Numbers, by key: from and to.
NUMBER: dict[str, tuple[float, float]] = {"scale": (1e-6, 1e6), "speed": (0.01, 10_000.0)}
#: Words to choose from, by key.
CHOICE: dict[str, tuple[str, ...]] = {
    "unit": ("degC", "degF", "mV"),
    "decimal": ("point", "comma"),
    "separator": ("any", "comma", "semicolon", "tab", "space"),
    "ends": ("line", "pause"),
    "table": ("input", "holding"),
    "parity": ("none", "even", "odd"),
}
#: Between two readings that are asked for. [s]
EVERY_S = (0.05, 10.0)
#: A shorter one could be guessed.
SHORTEST_TOKEN = 16
LONGEST_TEXT = 200
MOST_VALUES = 16
_SPELLINGS = {"C": "degC", "°C": "degC", "F": "degF", "°F": "degF", "mv": "mV"}
_PATTERNS = ("pattern", "says_open", "says_short")
_VARIABLE = re.compile(r"[A-Za-z_][A-Za-z0-9_]*")


def read_key(key: str, value: object) -> Any:
    """The value of a key, checked; text from the command line or a plain value from a file.

    Raises
    ------
    ProbeError
        If the key cannot say that; `where` is the key.

    Examples
    --------
    >>> read_key("baud", "9600"), read_key("unit", "F"), read_key("open_values", "65535/32767")
    (9600, 'degF', (65535, 32767))
    """
    reader = _READERS.get(key, _text)
    return reader(key, value)


def token_sha256(token: str) -> str:
    """What is kept of a token: a hash that tells it again and does not give it away.

    Examples
    --------
    >>> token_sha256("a token of Tern Lane")[:12]
    '07da4e464754'
    """
    return hashlib.sha256(token.encode("utf-8", "surrogatepass")).hexdigest()


def new_token() -> str:
    """A token that nobody guesses, short enough to be typed into a microcontroller's program."""
    return secrets.token_urlsafe(18)


def said(value: object) -> str:
    """A value as a message shows it."""
    text = f"'{value}'" if isinstance(value, str) else str(value)
    text = "".join(c if c.isprintable() else "·" for c in text[:80])
    return f"{text[:57]}..." if len(text) > 60 else text


def _refused(key: str, value: object, expected: str, next_step: str = "") -> ProbeError:
    return ProbeError(said(value), expected, next_step or f"correct {key}", where=key)


def _text(key: str, value: object) -> str:
    if not isinstance(value, str) or not value.strip():
        raise _refused(key, value, "some text")
    if len(value) > LONGEST_TEXT or not value.isprintable():
        raise _refused(key, value, f"plain text of {LONGEST_TEXT} characters at most")
    return value.strip()


def _pattern(key: str, value: object) -> str:
    text = _text(key, value)
    try:
        groups = re.compile(text).groupindex
    except (re.error, RecursionError, OverflowError) as error:
        raise _refused(
            key, value, "a regular expression", f"correct it: {error}; or leave {key} out"
        ) from error
    if unknown := sorted(set(groups) - {"value", "cold"}):
        raise _refused(key, value, "groups named value or cold", f"rename the group {unknown[0]}")
    return text


def _whole(key: str, value: object) -> int:
    low, high = WHOLE[key]
    number = _as_whole(value)
    if number is None or not low <= number <= high:
        raise _refused(key, value, f"a whole number from {low} to {high}")
    return number


def _number(key: str, value: object) -> float:
    low, high = NUMBER[key]
    try:
        number = float(value) if isinstance(value, str | int | float) else float("nan")
    except (ValueError, OverflowError):
        number = float("nan")
    if isinstance(value, bool) or not low <= number <= high:
        raise _refused(key, value, f"a number from {low:g} to {high:g}")
    return number


def _choice(key: str, value: object) -> str:
    words = CHOICE[key]
    word = _SPELLINGS.get(value, value) if isinstance(value, str) else value
    if word not in words:
        raise _refused(key, value, " or ".join(words))
    return str(word)


def _flag(key: str, value: object) -> bool:
    known = {"yes": True, "true": True, "no": False, "false": False}
    if isinstance(value, bool):
        return value
    if isinstance(value, str) and value.lower() in known:
        return known[value.lower()]
    raise _refused(key, value, "yes or no")


def _wholes(key: str, value: object) -> tuple[int, ...]:
    """Raw figures of a register; on the command line with a stroke between them, or "none"."""
    many: Iterable[object]
    if isinstance(value, str):
        many = () if value.strip() in ("", "none") else value.split("/")
    else:
        many = value if isinstance(value, list | tuple) else (value,)
    numbers = tuple(_as_whole(one) for one in many)
    good = tuple(n for n in numbers if n is not None and -32_768 <= n <= 65_535)
    if len(good) != len(numbers) or len(good) > MOST_VALUES:
        raise _refused(
            key, value, f"{MOST_VALUES} whole numbers at most, from -32768 to 65535",
            f"write it like {key}=65535/32767",
        )  # fmt: skip
    return good


def _every(key: str, value: object) -> float:
    low, high = EVERY_S
    try:
        seconds = parse(value, "time") if isinstance(value, str) else float("nan")
    except RimwrightError as error:
        raise _refused(key, value, error.expected, f"write it like {key}=0.2s") from error
    if not low <= seconds <= high:
        raise _refused(key, value, f"{low:g} s to {high:g} s, in text with its unit")
    return seconds


def _variable(key: str, value: object) -> str:
    text = _text(key, value)
    if not _VARIABLE.fullmatch(text):
        raise _refused(
            key, value, "the name of an environment variable, never the secret itself",
            f"write it like {key}=SHOP_BROKER_PASSWORD and set that variable",
        )  # fmt: skip
    return text


def _hash(key: str, value: object) -> str:
    if not isinstance(value, str) or not re.fullmatch(r"[0-9a-fA-F]{64}", value):
        # Somebody may have written the token itself here: it is not repeated.
        raise ProbeError(
            "no SHA-256 hash", "64 hexadecimal digits", "write the token's hash", where=key
        )
    return value.lower()


def _as_whole(value: object) -> int | None:
    if isinstance(value, bool):
        return None
    if isinstance(value, int):
        return value
    if isinstance(value, str) and re.fullmatch(r"\s*[+-]?[0-9]{1,9}\s*", value):
        return int(value)
    return None


_READERS: dict[str, Callable[[str, object], Any]] = {
    **dict.fromkeys(WHOLE, _whole),
    **dict.fromkeys(NUMBER, _number),
    **dict.fromkeys(CHOICE, _choice),
    **dict.fromkeys(_PATTERNS, _pattern),
    "signed": _flag,
    "every": _every,
    "open_values": _wholes,
    "short_values": _wholes,
    "user_env": _variable,
    "password_env": _variable,
    "token_sha256": _hash,
}
