"""`rimwright plan`: from a design file or a bare drawing to everything the bench needs."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from rimwright.cli.options import (
    BodyLength,
    CutawaySide,
    DepthTail,
    Dpi,
    DrawingUnits,
    FileToRead,
    Layer,
    Player,
    SeenFrom,
    Select,
    Show,
    Tail,
    Thickness,
    Wood,
)


def plan(
    file: FileToRead,
    output: Annotated[
        str | None,
        typer.Option(
            "-o",
            "--output",
            metavar="<path>",
            help="Folder for plan.json and sheets; made if missing.",
        ),
    ] = None,
    json_only: Annotated[
        bool, typer.Option("--json-only", help="Write plan.json and no sheets.")
    ] = False,
    odds: Annotated[
        bool, typer.Option("--odds/--no-odds", help="Whether to bend many sides for the odds.")
    ] = True,
    date: Annotated[
        str | None, typer.Option(help="Date printed on the sheets; default today.")
    ] = None,
    form: Annotated[
        str | None,
        typer.Option(
            help="Draw form and rams 'as drawn', or 'compensated': bent past the outline for "
            "spring-back; as the design says if left out."
        ),
    ] = None,
    # What follows is for a bare drawing; a design file says it itself.
    name: Annotated[str | None, typer.Option(help="Drawing only: name of the model.")] = None,
    depth_tail: DepthTail = None,
    depth_neck: Annotated[
        str | None, typer.Option(help="Drawing only: rim height at the neck.")
    ] = None,
    back_radius: Annotated[
        str | None, typer.Option(help="Drawing only: dish radius of the back, such as 15ft.")
    ] = None,
    top_radius: Annotated[
        str | None, typer.Option(help="Drawing only: dish radius of the top; default flat.")
    ] = None,
    thickness: Thickness = None,
    wood: Wood = None,
    line: Annotated[
        str | None,
        typer.Option(help="Drawing only: which line it is: outside, inside, overhang, mould."),
    ] = None,
    player: Player = None,
    seen_from: SeenFrom = None,
    show: Show = None,
    drawing_units: DrawingUnits = None,
    dpi: Dpi = None,
    body_length: BodyLength = None,
    layer: Layer = None,
    select: Select = None,
    tail: Tail = None,
    cutaway_side: CutawaySide = None,
) -> None:
    """Plan FILE: patterns, thickness, marks, tooling and recipe, printed and as files."""
    from rimwright.instrument.drawings.guard import start_reader_early

    # Before anything else: the reader warms up beside all that is imported now.
    start_reader_early(file)

    from rimwright.bending.kernels import when_compiling
    from rimwright.desk.opening import DrawingAnswers, open_design
    from rimwright.desk.placing import placed
    from rimwright.desk.planning import plan_text, write_plan
    from rimwright.errors import OutputError
    from rimwright.plan import make_plan

    if output == "":
        # An empty variable of the shell; taken as "here", it would fill the folder one is in.
        raise OutputError("an empty name", "a folder", "name one after -o, or . for this one")
    when_compiling(lambda words: typer.echo(words, err=True))
    answers = DrawingAnswers(
        name=name,
        depth_tail=depth_tail,
        depth_neck=depth_neck,
        back_radius=back_radius,
        top_radius=top_radius,
        thickness=thickness,
        wood=wood,
        line=line,
        player=player,
        seen_from=seen_from,
        show=show,
        drawing_units=drawing_units,
        dpi=dpi,
        body_length=body_length,
        layer=layer,
        select=tuple(select or ()),
        tail=tail,
        cutaway_side=cutaway_side,
    )
    design = open_design(file, answers)
    if form is not None:
        from rimwright.desk.forming import with_form

        design = with_form(design, form)
    with placed(file):
        made = make_plan(design)
        found = None
        if odds and design.sides.wood is not None:
            # Half a second of imports that no plan without a wood waits for.
            from rimwright.desk.odds import odds_for_plan, with_odds

            found = odds_for_plan(made)
            made = with_odds(made, found)
    typer.echo(plan_text(made, found))
    if output is not None:
        written = write_plan(made, Path(output), sheets=not json_only, date_text=date)
        typer.echo("")
        typer.echo(written)
