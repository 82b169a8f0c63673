"""Fibres, stations and steps: the defaults err by less than what nobody could measure."""

from pathlib import Path

import numpy as np
import pytest

from rimwright.bending.check_line import BentPiece
from rimwright.bending.law import law_of
from rimwright.bending.parameters import DEFAULT
from rimwright.bending.release import released_outline
from rimwright.bending.virtual_bend import inside_curvature
from rimwright.bending.virtual_many import bend_many, conditions
from rimwright.bending.virtual_schedule import STEPS, timetable
from rimwright.bending.virtual_side import side_job
from rimwright.desk.opening import open_design
from rimwright.plan import make_plan
from rimwright.wood.catalogue import find

WREN = Path(__file__).parents[2] / "examples/tern-lane/wren.rim.toml"
OURS = "our own finest run (81 fibres, 4 times the steps)"


@pytest.fixture(scope="module")
def wren():
    """Wren's treble side: the one with horn and scoop."""
    plan = make_plan(open_design(WREN))
    wood = find(plan.design.sides.wood)
    job = side_job(
        plan.design,
        outline=plan.outline,
        side=plan.sides[-1],
        recipe=plan.recipe,
        tooling=plan.tooling,
        wood=wood,
        parameters=DEFAULT,
    )
    return plan, job, law_of(wood)


def bent(wren, fibres=21, finer=1, piece=None):
    plan, job, law = wren
    piece = piece or job.piece
    table = timetable(
        plan.recipe,
        piece.half,
        piece.rim,
        piece.s,
        rams=plan.tooling.rams,
        rest_s=300.0 + plan.design.heating.rest_s,
        start_s=job.heat.to_target_s.middle,
        steps=tuple(int(finer * count) for count in STEPS),
    )
    return bend_many(
        law.vector(),
        thickness_m=piece.thickness,
        inside_curvature=inside_curvature(piece),
        timetable=table,
        conditions=conditions([job.heat.history], table.time_s, fibres),
        workers=2,
    )


def neck_end(piece, done):
    line = released_outline(
        piece.rim, piece.s, thickness_m=piece.thickness, middle_curvature=done.released[0]
    )
    return line[-1]


@pytest.fixture(scope="module")
def finest(wren):
    return bent(wren, fibres=81, finer=4)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("fibres", "finer", "lost_share", "stretch_share"),
    [(21, 1, 0.01, 0.01), (11, 0.5, 0.02, 0.02), (41, 2, 0.005, 0.005)],
)
def test_fibres_and_steps(wren, finest, fibres, finer, lost_share, stretch_share, held_against):
    piece = wren[1].piece
    done = bent(wren, fibres, finer)
    home = inside_curvature(piece) / (1.0 + 0.5 * piece.thickness * inside_curvature(piece))
    lost, true = home - done.released[0], home - finest.released[0]
    told = f"{fibres} fibres, {finer:g} times the default steps"
    held_against(
        f"error of the curvature lost, rms along the side, as a share, {told}",
        source=OURS,
        printed=0.0,
        ours=float(np.sqrt(np.mean((lost - true) ** 2) / np.mean(true**2))),
        tolerance=lost_share,
        why="the law's range is ten times as wide",
    )
    held_against(
        f"greatest stretch, {told}",
        source=OURS,
        printed=float(finest.stretch.max()),
        ours=float(done.stretch.max()),
        tolerance=stretch_share * float(finest.stretch.max()),
        why="the capacity is known to a fifth",
    )


def test_steps_converge(wren, finest):
    """Halving the steps at least nearly halves the error of the spring-back."""
    true = finest.released[0]
    sizes = [
        np.sqrt(np.mean((bent(wren, 81, finer).released[0] - true) ** 2)) for finer in (0.5, 1, 2)
    ]
    assert sizes[1] < 0.7 * sizes[0]
    assert sizes[2] < 0.7 * sizes[1]


def test_stations(wren, held_against):
    """Stations every 2 mm against every 0.5 mm: where the neck end comes to lie."""
    piece = wren[1].piece
    fine_s = np.unique(
        np.concatenate([piece.s, np.linspace(0.0, piece.rim.length, 4 * piece.s.size)])
    )
    fine = BentPiece(
        outline=piece.outline,
        half=piece.half,
        pattern=piece.pattern,
        s=fine_s,
        curvature=piece.rim.at(fine_s).curvature,
        thickness=np.interp(fine_s, piece.s, piece.thickness),
        middle=np.abs(piece.rim.at(fine_s).curvature),
        strain=np.zeros(fine_s.size),
        used=None,
    )
    apart = neck_end(piece, bent(wren)) - neck_end(fine, bent(wren, piece=fine))
    held_against(
        "neck end of the released side, stations every 2 mm",
        source="stations every 0.5 mm",
        printed=0.0,
        ours=1e3 * float(np.hypot(*apart)),
        tolerance=0.1,
        why="a tenth of a millimetre at the far end is nothing a mould shows",
        unit="mm",
    )


def test_threads_change_nothing(wren):
    """The same bits, whoever runs it."""
    _, job, law = wren
    given = {
        "thickness_m": job.piece.thickness,
        "inside_curvature": inside_curvature(job.piece),
        "timetable": job.timetable,
        "conditions": conditions([job.heat.history], job.timetable.time_s, 11),
    }
    laws = np.array([law.vector(), *(vector for _, vector in law.ends())])
    one, three = bend_many(laws, **given), bend_many(laws, **given, workers=3)
    assert np.array_equal(one.released, three.released)
    assert np.array_equal(one.stretch, three.stretch)
    alone = bend_many(laws[5], **given, workers=2)
    assert np.array_equal(alone.released[0], one.released[5])
