"""One run as it is told on paper, on a page and in the terminal: gathered once, said alike."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from rimwright.journal.rows import Stretch
from rimwright.live.alarms_table import AlarmState
from rimwright.sheets.record_compared import Compared, compared_of, heat_span
from rimwright.sheets.record_curve import Curve, Windows, curve_of, windows_of
from rimwright.sheets.record_facts import (
    Fact,
    bench_facts,
    learnt_words,
    note_lines,
    side_facts,
)
from rimwright.sheets.record_plan import Show, plan_of, text_at
from rimwright.sheets.record_steps import Step, steps_of
from rimwright.sheets.record_words import span_text
from rimwright.units import length_text

if TYPE_CHECKING:
    from rimwright.journal.runs import RunRecord

PRACTICE = "Practice: a model instead of a probe, no wood, no heat"
NOT_SAID = "Nobody has said yet how it came out"


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A photograph of the run, without its bytes."""

    id: int
    words: str
    width_px: int
    height_px: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """Everything that is said of a run, in words."""

    run: int
    model: str
    #: "treble side".
    side: str
    #: "right-handed player".
    player: str
    plan_code: str
    #: Which face is where, as asked before the heat.
    face: str
    shop: str
    state: str
    simulated: bool
    begun_wall_s: float
    #: From when to when.
    span: str
    #: How it came out, in a few words.
    outcome: str
    #: Number and words of each outcome.
    outcomes: tuple[tuple[int, str], ...]
    #: How often an alarm called.
    alarms: int
    side_facts: tuple[Fact, ...]
    bench_facts: tuple[Fact, ...]
    compared: tuple[Compared, ...]
    steps: tuple[Step, ...]
    learnt: tuple[str, ...]
    #: When, and what: of the run, then of its side.
    notes: tuple[Fact, ...]
    side_notes: tuple[Fact, ...]
    pictures: tuple[Picture, ...]
    curve: Curve
    show: Show

    @property
    def title(self) -> str:
        """Such as "Wren, treble side"."""
        return f"{self.model}, {self.side}"


def windows_for(record: RunRecord) -> Windows:
    """Which parts of a run's curve are drawn: to be asked of the journal before `told`."""
    return windows_of(heat_span(record.events), record.samples_last_s)


def told(
    record: RunRecord,
    read: tuple[Sequence[Stretch], Sequence[Stretch]],
    side_notes: Sequence[Mapping[str, Any]] = (),
) -> Told:
    """A run in words.

    Parameters
    ----------
    record : RunRecord
        As the journal has it.
    read : two sequences of Stretch
        What its probes read in the windows of `windows_for`.
    side_notes : sequence of mapping
        What was written of its side: `words` and `wall_s`.
    """
    plan = plan_of(record)
    heat = heat_span(record.events)
    steps = steps_of(plan, record.events)
    outcomes = tuple((int(row["id"]), _outcome_words(row, plan.show)) for row in record.outcomes)
    kinds = list(dict.fromkeys(str(row["kind"]) for row in record.outcomes))
    return Told(
        run=record.id,
        model=record.model,
        side=plan.side_words,
        player=f"{plan.player}-handed player",
        plan_code=record.plan_code,
        face=next((one.words for one in plan.questions if one.key == "face"), ""),
        shop=text_at(record.plan_document, "design", "shop"),
        state={"open": "on"}.get(record.state, record.state),
        simulated=record.simulated,
        begun_wall_s=record.begun_wall_s,
        span=span_text(record.begun_wall_s, record.ended_wall_s),
        outcome=", ".join(kinds).capitalize() or NOT_SAID,
        outcomes=outcomes,
        alarms=sum(
            one.data.get("after") == AlarmState.ACTIVE_UNACKNOWLEDGED for one in record.alarms
        ),
        side_facts=side_facts(record, plan),
        bench_facts=bench_facts(record, plan),
        compared=compared_of(plan, record.events, heat, [*read[0], *read[1]], ", ".join(kinds)),
        steps=steps,
        learnt=learnt_words(record),
        notes=note_lines(record.notes),
        side_notes=note_lines(side_notes),
        pictures=tuple(
            Picture(id=int(row["id"]), words=str(row["words"]), width_px=int(row["width_px"]),
                    height_px=int(row["height_px"]))
            for row in record.photographs
        ),
        curve=curve_of(plan, windows_for(record), steps, record.events, read),
        show=plan.show,
    )  # fmt: skip


def _outcome_words(row: Mapping[str, Any], show: Show) -> str:
    """One outcome in words, with where it is."""
    at_m = row["s_m"]
    if at_m is None:
        station = ""
    else:
        length = f"{1e3 * at_m:.0f} mm" if show == "metric" else length_text(at_m, show)
        station = f"{length} from the tail seam"
    face = "both faces" if row["face"] == "both" else row["face"]
    parts = [row["kind"], row["place"], station, face, row["words"]]
    said = ", ".join(str(part) for part in parts if part)
    return said[:1].upper() + said[1:]
