"""`rimwright watch`: a run in the terminal, with a few keys."""

from __future__ import annotations

import time
from typing import Annotated, Any

import typer

from rimwright.cli.live_options import JournalPlace


def watch(
    run: Annotated[
        int | None, typer.Argument(help="Number of the run; the newest that is on if left out.")
    ] = None,
    journal: JournalPlace = None,
) -> None:
    """Watch a run in this terminal; Enter says that the step is done."""
    from rimwright.cli.server_link import needed_server
    from rimwright.cli.watching import Watching
    from rimwright.errors import RunError

    link = needed_server(journal)
    on: list[int] = link.get("/api/state")["runs"]
    if not on:
        raise RunError("no run that is on", "one to watch", "begin one with `rimwright begin`")
    run = on[-1] if run is None else run
    if run not in on:
        raise RunError(f"no run {run} that is on", f"one of {', '.join(map(str, on))}", "name it")
    watching = Watching(link, run)
    view = watching.show()
    typer.echo(_farewell(view, run))


def _farewell(view: dict[str, Any] | None, run: int) -> str:
    if view is None:
        return f"Run {run} was not heard."
    if view["state"] in ("ended", "abandoned"):
        return f"Run {run} is {view['state']}: `rimwright record {run}`"
    return f"Run {run} goes on, {view['step']['title'].lower()}; left at {time.strftime('%H:%M')}."
