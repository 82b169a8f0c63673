"""An outline from a drawing, a trace or a scan: the one way in.

The file is read in a child process with limits (`rimwright.instrument.drawings.guard`). What was
taken from the drawing, what was left and why comes back with the outline.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

from rimwright.instrument.design import Drawing
from rimwright.instrument.drawings.guard import read_guarded
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
    from rimwright.instrument.drawings.outline_from import outline_from

    check_file(drawing.path)
    return read_guarded(
        outline_from,
        where=drawing.path.name,
        drawing=replace(drawing, path=drawing.path.absolute()),
        seen_from=seen_from,
        player=player,
    )
