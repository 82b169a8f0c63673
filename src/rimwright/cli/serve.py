"""`rimwright serve`: the bench and its pages on this computer."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from rimwright.cli.live_options import JournalPlace, Port, ShopFile


def serve(
    journal: JournalPlace = None,
    port: Port = 8719,
    lan: Annotated[
        bool,
        typer.Option("--lan", help="Open to the shop's network too; prints a pairing code."),
    ] = False,
    address: Annotated[
        str | None, typer.Option(help="With --lan: which of this computer's addresses.")
    ] = None,
    name: Annotated[
        list[str] | None,
        typer.Option(help="With --lan: a further name of this computer there; repeat."),
    ] = None,
    shop: ShopFile = None,
    quiet: Annotated[
        bool, typer.Option("--quiet", help="This computer itself does not sound.")
    ] = False,
) -> None:
    """Serve the live page and the records; runs that were on go on."""
    from rimwright.cli.serving import serve_bench
    from rimwright.desk.run_probes import shop_beside, shop_probes
    from rimwright.errors import AccessError

    if (address or name) and not lan:
        raise AccessError(
            "an address or name without --lan", "both", "say --lan, or leave the other out"
        )
    probes = shop_probes(shop or shop_beside(Path.cwd()))
    serve_bench(
        journal, port=port, lan=lan, address=address, names=tuple(name or ()), quiet=quiet,
        probes=probes,
    )  # fmt: skip
