"""The virtual bend of a whole instrument, and its files in a folder."""

from __future__ import annotations

from pathlib import Path

from rimwright.bending.parameters import DEFAULT, BendParameters
from rimwright.bending.virtual_side import side_job
from rimwright.desk.bending_data import bend_document
from rimwright.desk.bent import Bent
from rimwright.document import dump
from rimwright.files import make_folder, write_atomically
from rimwright.instrument.design import Design
from rimwright.plan import make_plan
from rimwright.wood.catalogue import find

_NAMES = {"main": "side", "return": "return"}


def bend_design(design: Design, parameters: BendParameters = DEFAULT) -> Bent:
    """Plan a design and bend every piece of its sides in the computer.

    Raises
    ------
    RimwrightError
        Whatever the plan or the heat refuses, in one line.
    """
    plan = make_plan(design, parameters)
    wood = None
    if plan.design.sides.wood is not None:
        wood = find(plan.design.sides.wood, plan.design.own_woods)
    forms = plan.compensation
    if forms is not None:
        return Bent(
            plan=plan,
            jobs=tuple(piece.job for piece in forms.pieces),
            runs=tuple(piece.run for piece in forms.pieces),
            layers=tuple(piece.layers() for piece in forms.pieces),
        )
    jobs = tuple(
        side_job(
            plan.design,
            outline=plan.outline,
            side=side,
            recipe=plan.recipe,
            tooling=plan.tooling,
            wood=wood,
            parameters=parameters,
        )
        for side in plan.sides
    )
    return Bent(
        plan=plan,
        jobs=jobs,
        runs=tuple(job.bend() for job in jobs),
        layers=tuple(job.layers() for job in jobs),
    )


def write_bend(bent: Bent, folder: Path) -> str:
    """Write `bend.json` and the plots of every piece; say what was written.

    Raises
    ------
    OutputError
        If the folder or a file cannot be written, or the plots' library is not there.
    """
    from rimwright.sheets.bend_plots import outline_plot, utilisation_plot

    drawn = []
    for run in bent.runs:
        tag = f"{run.piece.rim.hand}" + ("-return" if run.piece.rim.name == "return" else "")
        drawn += [
            (f"bend-utilisation-{tag}.png", utilisation_plot(run, bent.plan.design)),
            (f"bend-released-{tag}.png", outline_plot(run, bent.plan.design)),
        ]
    make_folder(folder)
    write_atomically(folder / "bend.json", dump(bend_document(bent)))
    for name, picture in drawn:
        write_atomically(folder / name, picture)
    return f"Wrote {1 + len(drawn)} files to {folder}: bend.json, " + ", ".join(n for n, _ in drawn)
