"""A run's plan as plain values and back, to the last bit: how the journal keeps it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import MISSING, fields, is_dataclass
from functools import cache
from types import UnionType
from typing import Any, Literal, TypeVar, Union, cast, get_args, get_origin, get_type_hints

from rimwright.errors import RunError
from rimwright.live.run_plan import RunPlan

Kind = TypeVar("Kind")


def to_plain(plan: RunPlan) -> dict[str, Any]:
    """Dicts, lists, text, numbers: what JSON can hold.

    Examples
    --------
    >>> from rimwright.live.run_plan import Ranged
    >>> to_plain(Ranged(middle=2.0, low=1.0, high=3.0))
    {'middle': 2.0, 'low': 1.0, 'high': 3.0}
    """
    return cast(dict[str, Any], _plain(plan))


def from_plain(plain: Mapping[str, Any]) -> RunPlan:
    """The plan again; what a later version added is passed over.

    Raises
    ------
    RunError
        If something is missing or is not what it should be.
    """
    return _made(RunPlan, plain, "run plan")


def _plain(value: Any) -> Any:
    if is_dataclass(value) and not isinstance(value, type):
        return {one.name: _plain(getattr(value, one.name)) for one in fields(value)}
    if isinstance(value, Mapping):
        return {str(key): _plain(one) for key, one in value.items()}
    if isinstance(value, tuple | list):
        return [_plain(one) for one in value]
    return value


def _made(kind: type[Kind], plain: Any, where: str) -> Kind:
    if not isinstance(plain, Mapping):
        raise _wrong(f"{plain!r:.40}", where)
    given: dict[str, Any] = {}
    for one in fields(cast(Any, kind)):
        if one.name in plain:
            at = f"{where}, {one.name}"
            given[one.name] = _read(_hints(cast(type, kind))[one.name], plain[one.name], at)
        elif one.default is MISSING and one.default_factory is MISSING:
            raise _wrong(f"no {one.name}", where)
    return kind(**given)


@cache
def _hints(kind: type) -> dict[str, Any]:
    return get_type_hints(kind)


def _read(hint: Any, value: Any, where: str) -> Any:
    """A value of the kind that its field asks."""
    origin, inner = get_origin(hint), get_args(hint)
    if origin in (Union, UnionType):
        if value is None and type(None) in inner:
            return None
        return _read(next(one for one in inner if one is not type(None)), value, where)
    if is_dataclass(hint):
        return _made(cast(type, hint), value, where)
    if origin is tuple and isinstance(value, list | tuple):
        return tuple(_read(inner[0], one, where) for one in value)
    fits = (
        value in inner if origin is Literal and isinstance(value, str)
        else isinstance(value, Mapping) if origin is Mapping
        else isinstance(value, int | float) and not isinstance(value, bool) if hint is float
        else hint in (str, bool) and isinstance(value, hint)
    )  # fmt: skip
    if not fits:
        raise _wrong(f"{value!r:.40}", where)
    return value


def _wrong(found: str, where: str) -> RunError:
    return RunError(
        found, "a run's plan as it was kept", "look at the record it came from", where=where
    )
