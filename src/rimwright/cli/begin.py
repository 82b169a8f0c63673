"""`rimwright begin`: a run from a plan, on the server that runs or on one of its own."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Literal, cast

import typer

from rimwright.cli.live_options import (
    Hand,
    JournalPlace,
    Piece,
    PlanFile,
    Port,
    ShopFile,
    hand_and_piece,
)

if TYPE_CHECKING:
    from rimwright.live.bench import LiveBench


def begin(
    plan: PlanFile,
    side: Hand,
    piece: Piece = "main",
    probe: Annotated[
        list[str] | None,
        typer.Option(
            help="A probe of the shop file by its name, or written out, such as "
            "waist=serial:/dev/ttyUSB0,column=2 or practice=model; repeat. Left out: all of "
            "the shop's."
        ),
    ] = None,
    shop: ShopFile = None,
    speed: Annotated[
        float, typer.Option(help="Of time, up to 30; other than 1 for a simulated probe only.")
    ] = 1.0,
    wood_side: Annotated[
        int | None, typer.Option("--of", help="Number of the side in the journal, if it is there.")
    ] = None,
    journal: JournalPlace = None,
    port: Port = 8719,
) -> None:
    """Begin a run of PLAN's bass or treble side; serves its page unless a server runs already."""
    from rimwright.bending.kernels import when_compiling
    from rimwright.cli.server_link import server_of
    from rimwright.desk.plan_files import document_of
    from rimwright.desk.run_probes import chosen_probes, shop_beside, shop_probes

    hand, which = hand_and_piece(side, piece)
    when_compiling(lambda words: typer.echo(words, err=True))
    known = shop_probes(shop or shop_beside(plan))
    settings = chosen_probes(probe or (), known)
    document, design_text = document_of(plan)
    link = server_of(journal)
    if link is not None:
        from rimwright.equipment.probes import plain_probe

        made = link.post("/api/runs", {
            "document": document, "hand": hand, "piece": which, "speed": speed,
            "settings": [plain_probe(one) for one in settings],
            "design_text": design_text, "side_id": wood_side,
        })  # fmt: skip
        run = made["run"]
        typer.echo(f"Run {run} begun. Open {link.address}live?run={run}")
        return
    from rimwright.cli.serving import serve_bench

    def first(bench: LiveBench) -> int:
        from rimwright.desk.beginning import begin_run

        return begin_run(
            bench,
            document,
            hand=cast('Literal["bass", "treble"]', hand),
            piece=cast('Literal["main", "return"]', which),
            settings=settings,
            speed=speed,
            design_text=design_text,
            side_id=wood_side,
            device="terminal",
        )

    serve_bench(journal, port=port, probes=known, first=first)
