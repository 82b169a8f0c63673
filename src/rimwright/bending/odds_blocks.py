"""One block of sides, computed the same way whoever computes it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from rimwright.bending.odds_case import OddsCase
from rimwright.bending.odds_fragility import Fragility, chance
from rimwright.bending.odds_inputs import (
    SOFTENING,
    THICKNESS_SPREAD_M,
    VARIES,
    Draw,
    block_draw,
    laws_of,
    paired_draws,
)
from rimwright.bending.odds_pieces import Bent
from rimwright.bending.virtual_many import Bends, bend_many
from rimwright.curves.piece import FloatArray

#: "sides": chance, place and spring-back. "changes": chance under each setting. "shares": what
#: the share of each input in the variance is computed from.
Kind = Literal["sides", "changes", "shares"]
#: Inputs whose share is told: those that differ, and the softening together.
SHARED: tuple[str, ...] = (*VARIES, SOFTENING)
#: These change no stretch, so no bend is made anew for them.
_OF_CAPACITY = ("capacity", "curl", "run-out")


@dataclass(frozen=True, slots=True)
class Task:
    """One block of one kind of one case."""

    case: int
    kind: Kind
    block: int


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of a task."""

    task: Task
    arrays: dict[str, FloatArray]


#: Runs every task on its case and yields what came of it, in the order of the tasks.
Mapper = Callable[[Sequence[OddsCase], Sequence[Task]], Iterable[Outcome]]


def in_line(cases: Sequence[OddsCase], tasks: Sequence[Task]) -> Iterator[Outcome]:
    """One task after the other, here."""
    for task in tasks:
        yield run_task(cases[task.case], task)


def run_task(case: OddsCase, task: Task) -> Outcome:
    """Compute one block."""
    made = {"sides": _sides, "changes": _changes, "shares": _shares}[task.kind]
    return Outcome(task, made(case, task.block))


def _bend(bent: Bent, draw: Draw, laws: FloatArray) -> Bends:
    off = THICKNESS_SPREAD_M.middle * draw.of("thickness")
    return bend_many(
        laws,
        thickness_m=np.maximum(bent.thickness[None, :] + off[:, None], 0.5 * bent.thickness),
        inside_curvature=bent.inside_curvature,
        timetable=bent.timetable,
        conditions=bent.grid.read(draw.of("moisture"), draw.of("temperature")),
        which=np.arange(laws.shape[0]),
    )


def _medians(fragility: Fragility, draw: Draw, of_laws: FloatArray) -> FloatArray:
    """Stretch at which half break of each side's kind, the doubt about its wood included."""
    left = fragility.left(draw.of("curl"), draw.of("run-out"))
    lowered: FloatArray = of_laws * left**fragility.slope
    return np.asarray(lowered * np.exp(fragility.doubt * draw.doubt))


def _sides(case: OddsCase, block: int) -> dict[str, FloatArray]:
    draw = block_draw(case.seed, block, case.blocks, case.size)
    laws = laws_of(case.law, draw)
    medians = _medians(case.fragility, draw, case.fragility.medians(laws))
    found: dict[str, FloatArray] = {}
    greatest = np.zeros(case.size)
    for i, piece in enumerate(case.pieces):
        bends = _bend(piece.bent, draw, laws)
        stretch = bends.stretch.max(axis=1)
        worst = stretch.max(axis=1)
        found[f"released {i}"] = bends.released
        found[f"used {i}"] = stretch / medians[:, None]
        found[f"chance {i}"] = chance(worst, medians, case.fragility.spread)
        greatest = np.maximum(greatest, worst)
    # Both sides are cut from one board: what it bears, both bear.
    found["chance"] = chance(greatest, medians, case.fragility.spread)
    bears = medians * np.exp(case.fragility.spread * draw.of("capacity"))
    found["cracked"] = (greatest > bears).astype(np.float64)
    return found


def _greatest(pieces: tuple[Bent, ...], draw: Draw, laws: FloatArray) -> FloatArray:
    found = np.zeros(laws.shape[0])
    for bent in pieces:
        found = np.maximum(found, _bend(bent, draw, laws).stretch.max(axis=(1, 2)))
    return found


def _changes(case: OddsCase, block: int) -> dict[str, FloatArray]:
    """Every setting on the same draws, so that only the change differs."""
    draw = block_draw(case.seed, block, case.blocks, case.size)
    laws = laws_of(case.law, draw)
    of_laws = case.fragility.medians(laws)
    rows = []
    stretches: list[tuple[tuple[Bent, ...], FloatArray]] = []
    for setting in case.settings:
        # A change of the wood alone is bent already.
        done = next((made for pieces, made in stretches if _same(pieces, setting.pieces)), None)
        if done is None:
            done = _greatest(setting.pieces, draw, laws)
            stretches.append((setting.pieces, done))
        medians = _medians(setting.fragility, draw, of_laws)
        rows.append(chance(done, medians, setting.fragility.spread))
    return {"chance": np.array(rows)}


def _same(one: tuple[Bent, ...], other: tuple[Bent, ...]) -> bool:
    return all(
        a.grid is b.grid
        and np.array_equal(a.thickness, b.thickness)
        and np.array_equal(a.timetable.time_s, b.timetable.time_s)
        for a, b in zip(one, other, strict=True)
    )


def _log_used(case: OddsCase, draw: Draw, stretch: FloatArray, of_laws: FloatArray) -> FloatArray:
    """Logarithm of stretch over what the piece bears."""
    bears = _medians(case.fragility, draw, of_laws)
    return np.asarray(np.log(stretch / bears) - case.fragility.spread * draw.of("capacity"))


def _shares(case: OddsCase, block: int) -> dict[str, FloatArray]:
    one, other = paired_draws(case.seed, block, case.size)
    pieces = case.settings[0].pieces

    def bent(draw: Draw) -> tuple[FloatArray, FloatArray]:
        laws = laws_of(case.law, draw)
        return _greatest(pieces, draw, laws), case.fragility.medians(laws)

    base, base_laws = bent(one)
    swapped = []
    for name in SHARED:
        draw = one.with_column(name, other)
        made = (base, base_laws) if name in _OF_CAPACITY else bent(draw)
        swapped.append(_log_used(case, draw, *made))
    return {
        "one": _log_used(case, one, base, base_laws),
        "other": _log_used(case, other, *bent(other)),
        "swapped": np.array(swapped),
    }
