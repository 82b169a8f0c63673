"""One command at one moment: what it says, and what is made of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from rimwright.errors import RunError
from rimwright.live.drafts import Draft
from rimwright.live.events import EventKind
from rimwright.live.run_plan import RunPlan, RunStep
from rimwright.live.run_state import CHECK, RunState

#: A note of two pages.
LONGEST_WORDS = 4000
CHECK_TITLE = "Check before the heat"


@dataclass(frozen=True, slots=True, kw_only=True)
class Command:
    """What a person asks of a run.

    Examples
    --------
    >>> Command(key="4f1c", kind="done", visit=7, device="tablet").data
    {}
    """

    #: Chosen by the device, a new one for each tap; sent again it acts once.
    key: str
    kind: str
    #: The visit that was on the screen, for commands that move.
    visit: int | None = None
    device: str = ""
    #: What else it says; see `live.commands`.
    data: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """A command, the run it is for, and the moment."""

    plan: RunPlan
    state: RunState
    command: Command
    at_s: float
    wall_s: float

    def about(self, data: Mapping[str, Any]) -> Asked:
        """The same, reading only a part of what was said."""
        return replace(self, command=replace(self.command, data=data))

    def draft(self, kind: EventKind, /, **data: Any) -> Draft:
        """An event that this command causes."""
        return Draft(
            at_s=self.at_s,
            wall_s=self.wall_s,
            kind=kind,
            data=data,
            key=self.command.key,
            device=self.command.device,
        )

    @property
    def tap(self) -> tuple[Draft, ...]:
        """Nothing but that somebody is there: what was asked is so already."""
        return (self.draft("present"),)

    @property
    def step(self) -> RunStep:
        """The step at hand; in the check, the one that follows it."""
        return self.plan.steps[self.state.step]

    @property
    def here(self) -> str:
        """Title of where the run is."""
        return CHECK_TITLE if self.state.phase == CHECK else self.step.title

    def words(self, key: str = "words", longest: int = LONGEST_WORDS) -> str:
        """Text of a command, without what no store keeps."""
        text = self.command.data.get(key)
        if text is None:
            return ""
        if not isinstance(text, str):
            raise RunError(f"{text!r:.40} as {key}", "text", "write it as text")
        text = "".join(
            letter if letter.isprintable() or letter == "\n" else " " for letter in text
        ).strip()
        if len(text) > longest:
            raise RunError(f"{key} of {len(text)} characters", f"{longest} at most", "shorten it")
        return text

    def number(self, key: str, low: float, high: float) -> float | None:
        """A number of a command within its limits; None where it says none."""
        value = self.command.data.get(key)
        if value is None:
            return None
        if isinstance(value, int | float) and not isinstance(value, bool) and low <= value <= high:
            return float(value)
        raise RunError(
            f"{value!r:.40} as {key}", f"a number from {low:g} to {high:g}", "give another"
        )


def title_of(plan: RunPlan, key: str) -> str:
    """What a step is called by people."""
    if key == CHECK:
        return CHECK_TITLE
    return next((step.title for step in plan.steps if step.key == key), key)
