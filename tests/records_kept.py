"""Journals with runs in them, for tests of records; and the command as it is typed."""

from __future__ import annotations

import contextlib
import functools
import io
import shutil
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from benched import wren
from journal_rows import put
from rimwright.cli import main
from rimwright.desk.practice import practise
from rimwright.journal.engine import Journal
from rimwright.journal.keeping import (
    Board,
    BoardSet,
    Instrument,
    Side,
    Thickness,
    Wood,
    save_board,
    save_board_set,
    save_instrument,
    save_side,
    save_wood,
)
from rimwright.journal.opening import open_journal
from rimwright.journal.runs import (
    EventRow,
    NewRun,
    SampleRow,
    begin_run,
    end_run,
    run_record,
)

BEGUN = 1_795_000_000.0
#: Of `hard_run`. [s in the run]
HEAT_ON, HEAT_OFF = 60.0, 560.0


@dataclass(frozen=True)
class Said:
    """What a command came to."""

    code: int
    out: str
    err: str

    @property
    def line(self) -> str:
        """A refusal: one line, nothing on standard output."""
        assert self.code == 2, (self.code, self.out, self.err)
        assert self.out == ""
        (line,) = self.err.strip().splitlines()
        return line


def command(*words: object) -> Said:
    """The command as it is typed."""
    out, err = io.StringIO(), io.StringIO()
    before, sys.argv = sys.argv, ["rimwright", *map(str, words)]
    code = 0
    try:
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            main.run()
    except SystemExit as stop:
        code = int(stop.code or 0)
    finally:
        sys.argv = before
    return Said(code, out.getvalue(), err.getvalue())


def done(*words: object) -> str:
    """The same where it must work; what it said."""
    said = command(*words)
    assert said.code == 0, said.err
    return said.out


@functools.cache
def _practised() -> Path:
    """One practice run, made once in each process of the tests."""
    folder = Path(tempfile.mkdtemp(prefix="rimwright-practice-"))
    import atexit

    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    practise(wren(), folder / "journal.sqlite", lambda line: None, hand="treble")
    return folder / "journal.sqlite"


def practised(folder: Path) -> Path:
    """A journal with one whole practice run, number 1."""
    return Path(shutil.copy(_practised(), folder / "journal.sqlite"))


@functools.cache
def practice_record() -> Any:
    """That run's record."""
    journal, _ = open_journal(_practised())
    try:
        return run_record(journal, 1)
    finally:
        journal.close()


def side_kept(journal: Journal) -> int:
    """A treble side with everything that may be said of one; its number."""
    wood = save_wood(journal, Wood(name="pond walnut", properties={"like": "black walnut"}))
    boards = save_board_set(journal, BoardSet(name="plank 7", wood_id=wood))
    board = save_board(
        journal,
        Board(name="7 a", set_id=boards, length_m=0.82, width_m=0.12, thickness_m=0.0035,
              grain_angle_rad=0.02),
    )  # fmt: skip
    instrument = save_instrument(
        journal, Instrument(name="Wren 14", model="Wren", begun_wall_s=BEGUN)
    )
    bass = save_side(journal, Side(name="Wren 14 bass", hand="bass", instrument_id=instrument))
    return save_side(
        journal,
        Side(
            name="Wren 14 treble", hand="treble", instrument_id=instrument, board_id=board,
            mate_id=bass,
            thicknesses=(
                Thickness(place="tail end", thickness_m=0.00215),
                Thickness(place="waist", thickness_m=0.0021, s_m=0.268),
            ),
            moisture=0.081, moisture_meter="the one with pins", humidity=0.44,
            hygrometer="the brass one", words="a dark streak at the waist",
        ),
    )  # fmt: skip


def hard_run(journal: Journal, *, show: str = "inch", **changes: Any) -> int:
    """A run with all that goes wrong: alarms, a gap, a probe that fails, a step gone back to.

    Two probes read once a second; from 260 s to 300 s nothing is watched, from 320 s to 340 s
    the first probe reads nothing.
    """
    record = practice_record()
    plan = {**record.run_plan, "show": show, "simulated": False, "probes": [
        {"name": "waist", "place": "under the blanket", "kind": "serial"},
        {"name": "horn", "place": "under the wrap", "kind": "serial"},
    ]}  # fmt: skip
    values = {
        "model": record.model, "plan_code": record.plan_code, "hand": record.hand,
        "piece": record.piece, "simulated": False, "begun_wall_s": BEGUN, "run_plan": plan,
        "plan_document": record.plan_document, "model_version": record.model_version,
        "prediction": record.prediction, "blanket": record.blanket, "probes": plan["probes"],
    }  # fmt: skip
    run = begin_run(journal, NewRun(**{**values, **changes}))
    put(journal, run, samples(), events())
    end_run(journal, run, "ended", BEGUN + 1000.0)
    return run


def reading(at_s: float) -> float:
    """What the first probe of `hard_run` reads then. [degC]"""
    if at_s <= HEAT_ON:
        return 21.0
    if at_s <= HEAT_OFF:
        return min(21.0 + 0.75 * (at_s - HEAT_ON), 112.0) + (73.0 if 200 <= at_s < 210 else 0.0)
    return 21.0 + 91.0 * 0.99 ** (at_s - HEAT_OFF)


def samples() -> list[SampleRow]:
    rows: list[SampleRow] = []
    for second in range(1, 1001):
        if 260 <= second < 300:
            continue
        blind = 320 <= second < 340
        for probe, celsius in ((0, reading(second)), (1, reading(second) - 5.0)):
            fault = "open" if blind and not probe else None
            rows.append(
                SampleRow(len(rows) + 1, 1000 * second, probe, None if fault else celsius, fault)
            )
    return rows


def events() -> list[EventRow]:
    def alarm(name: str, before: str, after: str, words: str = "") -> dict[str, Any]:
        return {"alarm": name, "before": before, "after": after, "words": words, "probe": 0,
                "reason": "", "until_s": None}  # fmt: skip

    def step(name: str, visit: int) -> dict[str, Any]:
        return {"step": name, "visit": visit, "ends_at_s": None, "ends_wall_s": None}

    calm, called, heard = "normal", "active_unacknowledged", "active_acknowledged"
    told: list[tuple[float, str, dict[str, Any]]] = [
        (0.0, "begun", {"anchor": {"boot": "x", "now_s": 0.0}}),
        (0.0, "step_begun", step("wet", 1)),
        (20.0, "step_done", step("wet", 1)),
        (20.0, "step_begun", step("check", 2)),
        (50.0, "answered", {"question": "form", "answer": "yes", "code": "rimwright:label"}),
        (51.0, "answered", {"question": "face", "answer": "no", "words": "Wrong face: turn it."}),
        (52.0, "answered", {"question": "face", "answer": "yes", "code": ""}),
        (HEAT_ON, "step_done", step("check", 2)),
        (HEAT_ON, "step_begun", step("warm-up", 3)),
        (HEAT_ON, "heat_on", {"share": 1.0, "seen": False}),
        (166.0, "cue", {"cue": "early", "words": "212 °F: hands ready", "visit": 3}),
        (180.0, "cue", {"cue": "target", "words": "230 °F: back to hold", "visit": 3}),
        (181.0, "step_done", step("warm-up", 3)),
        (181.0, "turned_down", {"share": 0.6, "assumed": False}),
        (181.0, "step_begun", step("waist-nearly-home", 4)),
        (201.0, "alarm", alarm("too_hot", calm, called, "365 °F at the waist")),
        (201.5, "sounded", {"alarm": "too_hot"}),
        (205.0, "alarm", alarm("too_hot", called, heard)),
        (215.0, "alarm", alarm("too_hot", heard, calm)),
        (220.0, "note", {"words": "Smell of <toast>."}),
        (300.0, "gap", {"seconds": 40.0, "why": "slept"}),
        (320.0, "probe_fault", {"probe": 0, "fault": "open", "heard": ""}),
        (322.0, "alarm", alarm("no_reading", calm, called, "nothing from the waist for 2 s")),
        (340.0, "probe_back", {"probe": 0}),
        (342.0, "alarm", alarm("no_reading", called, calm)),
        (350.0, "step_done", step("waist-nearly-home", 4)),
        (350.0, "step_begun", step("horn", 5)),
        (380.0, "went_back", step("waist-nearly-home", 6)),
        (400.0, "held", {"words": "looking"}),
        (430.0, "resumed", {}),
        (500.0, "step_done", step("waist-nearly-home", 6)),
        (500.0, "step_begun", step("unplug", 7)),
        (HEAT_OFF, "heat_off", {"seen": False}),
        (HEAT_OFF, "step_begun", step("rest", 8)),
        (700.0, "learnt", {"kept": False, "words": "Nothing is learnt: the curve has a hole."}),
        (990.0, "step_done", {**step("rest", 8), "early_s": 80_000.0}),
        (1000.0, "ended", {"words": ""}),
    ]
    return [
        EventRow(number, at_s, BEGUN + at_s, kind, data, f"key-{number}", "tablet")
        for number, (at_s, kind, data) in enumerate(told, start=1)
    ]
