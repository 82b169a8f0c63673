"""The `rimwright` command.

Each command lives in its own module and imports what it needs when it is called, so that
`rimwright --help` answers at once.
"""

from __future__ import annotations

import os
import sys

# Two cores and small matrices: threads of the linear algebra only get into each other's way.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import typer
from typer.exceptions import TyperException

from rimwright import __version__
from rimwright.cli import (
    backup,
    begin,
    bend,
    check,
    export,
    form,
    heat,
    import_,
    keep,
    kept,
    new,
    note,
    odds,
    outcome,
    outline,
    photo,
    plan,
    practice,
    record,
    records,
    relation,
    restore,
    schema,
    serve,
    watch,
    woods,
)
from rimwright.errors import RimwrightError

#: Exit code of everything refused: the input was wrong, nothing was written.
REFUSED = 2
#: Exit code of a fault of our own.
FAULT = 70
#: Exit code after Ctrl-C.
INTERRUPTED = 130
STOPPED = "stopped; nothing half-written"

app = typer.Typer(
    name="rimwright",
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    help="Plan the bending of an instrument's sides: from a drawn body to patterns, tooling, "
    "recipe and files for the machine. It computes and draws; it watches and protects nothing.",
)
for module in (
    plan, heat, bend, form, odds, practice, begin, watch, serve, records, record, outcome, note,
    photo, keep, kept, export, import_, backup, restore, check, outline, new, woods, relation,
    schema,
):  # fmt: skip
    name = module.__name__.rpartition(".")[2]
    # A name that is a word of the language has a line behind it.
    app.command(name.rstrip("_"))(getattr(module, name))


@app.callback()
def _options(
    version: bool = typer.Option(False, "--version", help="Show the version and stop."),
) -> None:
    if version:
        typer.echo(f"rimwright {__version__}")
        raise typer.Exit


def run() -> None:
    """Run the command line; everything refused is one line on standard error, exit code 2."""
    try:
        code = app(standalone_mode=False)
    except RimwrightError as error:
        _refuse(str(error))
    except TyperException as error:
        _refuse(f"{error.format_message()} (see `rimwright --help`)")
    except (KeyboardInterrupt, typer.Abort):
        typer.echo(STOPPED, err=True)
        sys.exit(INTERRUPTED)
    except BrokenPipeError:
        # The reader of our output (such as `head`) has gone: nothing to report.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(0)
    except Exception as error:  # the last line of defence: a maker sees one line
        if os.environ.get("RIMWRIGHT_TRACEBACK"):
            raise
        line = " ".join(f"{type(error).__name__}: {error}".split())
        typer.echo(
            f"found a fault in Rimwright itself ({line}); expected none; next: report it with "
            "the file that brought it out, and run again with RIMWRIGHT_TRACEBACK=1 for details",
            err=True,
        )
        sys.exit(FAULT)
    if code == INTERRUPTED:
        # Typer makes a Ctrl-C into this code and says nothing.
        typer.echo(STOPPED, err=True)
    sys.exit(code if isinstance(code, int) else 0)


def _refuse(line: str) -> None:
    typer.echo(" ".join(line.split()), err=True)
    sys.exit(REFUSED)
