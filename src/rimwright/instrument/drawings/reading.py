"""An outline from a drawing, a trace or a scan: the one way in.

The file is read in a child process with limits (`rimwright.instrument.drawings.guard`). What was
taken from the drawing, what was left and why comes back with the outline.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import replace
from functools import lru_cache
from typing import Literal, cast

from rimwright.errors import DrawingError
from rimwright.instrument.design import Drawing
from rimwright.instrument.drawings.guard import Named, read_guarded
from rimwright.instrument.drawings.limits import check_file
from rimwright.instrument.outline import Outline, View


def read_drawing(
    drawing: Drawing, *, seen_from: View | None, player: Literal["right", "left"]
) -> Outline:
    """The outline of the body that a drawing, a trace or a scan shows.

    Parameters
    ----------
    drawing : Drawing
        The file and what the maker says about it.
    seen_from : "face", "back" or None
        Side from which the plan is drawn; None lets a cutaway or a name decide, and says so.
    player : "right" or "left"
        The player's hand.

    Returns
    -------
    Outline
        Of the line that is drawn, whichever line of the instrument that is.

    Raises
    ------
    DrawingError, PictureError
        If the file cannot be read within the limits, has no unit, or holds no outline.
    """
    check_file(drawing.path)
    drawing = replace(drawing, path=drawing.path.absolute())
    try:
        content = hashlib.sha256(drawing.path.read_bytes()).digest()
    except OSError as error:
        raise DrawingError(
            f"a file that cannot be read ({error.strerror})",
            "a drawing that may be read",
            "check its permissions",
            where=drawing.path.name,
        ) from error
    return _read(content, drawing, seen_from, player)


@lru_cache(maxsize=16)  # a plan is made again at every change, the drawing seldom changes
def _read(
    content: bytes,
    drawing: Drawing,
    seen_from: View | None,
    player: Literal["right", "left"],
) -> Outline:
    return read_guarded(
        # By name: this process need not load what only the child runs.
        cast("Callable[..., Outline]", Named("rimwright.instrument.drawings.outline_from")),
        where=drawing.path.name,
        drawing=drawing,
        seen_from=seen_from,
        player=player,
    )
