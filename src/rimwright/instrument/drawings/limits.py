"""What a drawing may hold: stated limits, so that a broken or hostile file costs little."""

from __future__ import annotations

from pathlib import Path

from rimwright.errors import DrawingError

#: Larger files are not opened. [bytes]
LARGEST_FILE = 20_000_000
#: Entities with every block laid out.
MOST_ENTITIES = 20_000
#: Lines, arcs and splines with every polyline taken apart.
MOST_SEGMENTS = 200_000
#: Blocks within blocks, or SVG groups within groups.
DEEPEST_NESTING = 24
#: Control points of one spline.
MOST_CONTROL_POINTS = 20_000


def check_file(path: Path) -> None:
    """Refuse a file that is missing, empty or too large.

    Raises
    ------
    DrawingError
        With the size found and the limit.
    """
    try:
        size = path.stat().st_size if path.is_file() else None
    except (OSError, ValueError):
        size = None
    if size is None:
        raise DrawingError(
            "no file of this name", "a DXF, SVG, PNG or JPEG", "check the path", where=path.name
        )
    if size == 0:
        raise DrawingError("an empty file", "a drawing", "export it again", where=path.name)
    if size > LARGEST_FILE:
        raise DrawingError(
            f"a file of {size / 1e6:.0f} MB",
            f"at most {LARGEST_FILE / 1e6:.0f} MB",
            "save the outline alone in a file of its own",
            where=path.name,
        )


def check_count(count: int, most: int, what: str, where: str) -> None:
    """Refuse more of something than its limit.

    Raises
    ------
    DrawingError
        With the count found and the limit.
    """
    if count > most:
        raise DrawingError(
            f"{count:,} {what}" if count < 10**12 else f"a vast number of {what}",
            f"at most {most:,}",
            "save the outline alone in a file of its own",
            where=where,
        )
