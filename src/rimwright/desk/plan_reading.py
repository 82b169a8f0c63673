"""A plan.json from anywhere, read key by key: what it lacks or says wrongly is one line."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from rimwright.document import FORMAT
from rimwright.errors import RunError

_LONGEST = 4000
_MOST = 500


@dataclass(frozen=True, slots=True)
class Part:
    """A table of the plan, and where it stands.

    Examples
    --------
    >>> Part({"steps": []}, "recipe").number("target_c", 0.0, 200.0)
    Traceback (most recent call last):
    rimwright.errors.RunError: plan.json, recipe.target_c: found nothing; expected a number from 0 \
to 200; next: plan the design again, and begin from that plan
    """

    table: Mapping[str, Any]
    where: str = ""

    def text(self, key: str, allowed: Collection[str] = ()) -> str:
        """A text, or one of a few."""
        value = self.table.get(key)
        if not isinstance(value, str) or len(value) > _LONGEST:
            raise self._wrong(key, f"text of {_LONGEST} characters at most")
        if allowed and value not in allowed:
            raise self._wrong(key, f"one of {', '.join(allowed)}")
        return value

    def number(self, key: str, low: float, high: float) -> float:
        """A number within its limits."""
        value = self.table.get(key)
        if isinstance(value, int | float) and not isinstance(value, bool) and low <= value <= high:
            return float(value)
        raise self._wrong(key, f"a number from {low:g} to {high:g}")

    def number_or_none(self, key: str, low: float, high: float) -> float | None:
        """A number within its limits, or nothing."""
        return None if self.table.get(key) is None else self.number(key, low, high)

    def truth(self, key: str) -> bool:
        """True or false."""
        value = self.table.get(key)
        if not isinstance(value, bool):
            raise self._wrong(key, "true or false")
        return value

    def texts(self, key: str) -> tuple[str, ...]:
        """A list of texts."""
        value = self.table.get(key)
        if not (
            isinstance(value, list)
            and len(value) <= _MOST
            and all(isinstance(one, str) and len(one) <= _LONGEST for one in value)
        ):
            raise self._wrong(key, "a list of texts")
        return tuple(value)

    def part(self, key: str) -> Part:
        """A table within this one."""
        value = self.table.get(key)
        if not isinstance(value, Mapping):
            raise self._wrong(key, "a table")
        return Part(value, self._at(key))

    def parts(self, key: str) -> Iterator[Part]:
        """A list of tables."""
        value = self.table.get(key)
        if not isinstance(value, list) or len(value) > _MOST:
            raise self._wrong(key, f"a list of {_MOST} tables at most")
        for place, one in enumerate(value):
            where = f"{key}[{place}]"
            if not isinstance(one, Mapping):
                raise Part({where: one}, self.where)._wrong(where, "a table")
            yield Part(one, self._at(where))

    def has(self, key: str) -> bool:
        """Whether it says anything of that."""
        return self.table.get(key) is not None

    def _at(self, key: str) -> str:
        return f"{self.where}.{key}" if self.where else key

    def _wrong(self, key: str, expected: str) -> RunError:
        value = self.table.get(key)
        return RunError(
            "nothing" if value is None else f"{value!r:.40}",
            expected,
            "plan the design again, and begin from that plan",
            where=f"plan.json, {self._at(key)}",
        )


def read_plan(document: Any) -> Part:
    """The plan as a table, if it is one.

    Raises
    ------
    RunError
        If it is of another format.
    """
    if not isinstance(document, Mapping) or document.get("format") != FORMAT:
        said = document.get("format") if isinstance(document, Mapping) else document
        raise RunError(
            f"a document of format {said!r:.40}",
            f"a plan of format '{FORMAT}'",
            "run `rimwright plan`, and begin from its plan.json",
        )
    return Part(document)
