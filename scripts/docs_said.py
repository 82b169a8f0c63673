"""What the program says on the terminal, for the tutorial: run as a maker would run it."""

from __future__ import annotations

import contextlib
import io
import os
import shlex
import shutil
import sys
import tempfile
import textwrap
from pathlib import Path

from rimwright.cli.main import run

ROOT = Path(__file__).resolve().parents[1]
#: How the first command of a machine begins.
COMPILING = "compiling the models"
#: Designs with one change or one slip each: what is written, and what is written instead.
CHANGED = {
    "wren-thinner.rim.toml": ('thickness = "75 thou"', 'thickness = "70 thou"'),
    "slip-key.rim.toml": ('thickness = "85 thou"        #', 'thicknes = "85 thou"  #'),
    "slip-unit.rim.toml": ('depth_tail = "100 mm"', 'depth_tail = "100"'),
    "slip-wood.rim.toml": ('wood = "Indian rosewood"', 'wood = "Indian rosewod"'),
    "slip-heat.rim.toml": ('school = "misted" ', 'school = "misted"\ntarget = "420 degF"'),
}


def folder(where: Path) -> None:
    """Everything that the tutorial's commands name."""
    for source in (ROOT / "tests" / "cases", ROOT / "examples" / "tern-lane"):
        for file in source.iterdir():
            shutil.copy(file, where)
    wren = (where / "wren.rim.toml").read_text(encoding="utf-8")
    for name, (before, after) in CHANGED.items():
        if before not in wren:
            raise ValueError(f"nothing to replace for {name}")
        (where / name).write_text(wren.replace(before, after), encoding="utf-8")


def said(command: str) -> str:
    """Output of `rimwright COMMAND`, as a fenced block under the command itself."""
    told = io.StringIO()
    before, columns = sys.argv, os.environ.get("COLUMNS")
    # The page's width, whatever terminal the pages are made or tested on.
    os.environ["COLUMNS"] = "92"
    with tempfile.TemporaryDirectory() as place:
        folder(Path(place))
        try:
            sys.argv = ["rimwright", *shlex.split(command)]
            with (
                contextlib.chdir(place),
                contextlib.redirect_stdout(told),
                contextlib.redirect_stderr(told),
                contextlib.suppress(SystemExit),
            ):
                run()
        finally:
            sys.argv = before
            os.environ.pop("COLUMNS")
            if columns is not None:
                os.environ["COLUMNS"] = columns
    # Said once on each machine, and not on the page.
    said_lines = [line for line in told.getvalue().splitlines() if not line.startswith(COMPILING)]
    # Refusals are one line, however long; folded for the page as a terminal folds them.
    lines = [
        part for line in said_lines for part in textwrap.wrap(line, 100) or [""]
    ] if "; expected " in told.getvalue() else said_lines  # fmt: skip
    return "\n".join(["```text", f"$ rimwright {command}", *lines, "```"])
