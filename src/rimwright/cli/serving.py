"""The bench and its pages, opened and closed again by whichever command serves."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import typer

if TYPE_CHECKING:
    from rimwright.equipment.probes import ProbeSettings
    from rimwright.live.bench import LiveBench
    from rimwright.web.serve import Served

CAUTION = (
    "It watches and switches nothing. The bender needs an independent over-temperature cut-out "
    "with its own sensor, a mechanical timer, an earthed and residual-current-protected supply, "
    "and somebody who stays. Local electrical codes decide what yours must have."
)


def serve_bench(
    journal: str | None,
    *,
    port: int,
    lan: bool = False,
    address: str | None = None,
    names: tuple[str, ...] = (),
    quiet: bool = False,
    probes: tuple[ProbeSettings, ...] = (),
    first: Callable[[LiveBench], int | None] = lambda bench: None,
) -> None:
    """Open the journal, take up the runs that are on, serve the pages until told to stop.

    Parameters
    ----------
    journal : str, optional
        Where records are kept.
    port : int
        0 for any.
    lan : bool
        Open on the local network too.
    address : str, optional
        Which of this computer's addresses; found if left out.
    names : tuple of str
        Further names of this computer on that network.
    quiet : bool
        The computer itself does not sound.
    probes : tuple of ProbeSettings
        Of the shop.
    first : callable
        Done before the pages open, such as beginning a run; its number is pointed to.

    Raises
    ------
    RimwrightError
        If journal, port or address refuse.
    """
    from rimwright.desk.words import width
    from rimwright.journal.opening import open_journal
    from rimwright.live.bench import LiveBench
    from rimwright.live.host_sound import NoSound, Speaker
    from rimwright.web.binding import lan_address
    from rimwright.web.serve import serve

    opened, notices = open_journal(journal)
    try:
        for notice in notices:
            typer.echo(notice)
        with opened.writing():
            pass  # a journal that another one writes is refused now, not at the first sample
        reached = (address or lan_address()) if lan else ""
        bench = LiveBench(opened, sound=NoSound() if quiet else Speaker())
        bench.start()
        try:
            for notice in bench.notices:
                typer.echo(notice)
            run = first(bench)

            def ready(served: Served) -> None:
                _tell(served, bench, run, width(), opened.where, lan=lan)

            serve(bench, opened, port=port, lan=reached, names=names, probes=probes, ready=ready)
        finally:
            bench.stop()
    finally:
        opened.close()


def _tell(
    served: Served, bench: LiveBench, run: int | None, columns: int, where: str, *, lan: bool
) -> None:
    import textwrap

    typer.echo("")
    typer.echo(textwrap.fill(CAUTION, columns))
    typer.echo("")
    typer.echo(f"Records: {where}")
    for on in bench.runs():
        mark = " (just begun)" if on == run else ""
        typer.echo(f"Run {on}{mark}: {served.address}live?run={on}")
    typer.echo(f"Open {served.address} in a browser. Ctrl-C ends it; runs go on at the next start.")
    if lan:
        from rimwright.web.pairing import scannable

        code, link = served.pairing()
        typer.echo("")
        typer.echo(f"Tablets and phones on the shop's network: {link}")
        typer.echo(scannable(link))
        typer.echo(
            f"Pairing code {code}, for one device, ten minutes. Unpaired ones may only look."
        )
