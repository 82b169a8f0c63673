"""What is asked of an SVG before it is unfolded: no traps in its text, no endless use."""

from __future__ import annotations

import re
from pathlib import Path
from xml.etree import ElementTree

from rimwright.errors import DrawingError
from rimwright.instrument.drawings.limits import DEEPEST_NESTING, check_count

_HREFS = ("href", "{http://www.w3.org/1999/xlink}href")


def unreadable(path: Path) -> DrawingError:
    """The refusal of a file that is no SVG."""
    return DrawingError(
        "a file that is not a readable SVG",
        "an SVG with paths or shapes",
        "save it again as plain SVG, or as DXF",
        where=path.name,
    )


def parsed(path: Path) -> ElementTree.Element:
    """The tree of an SVG, without entities that unfold.

    Raises
    ------
    DrawingError
        If it is no SVG or holds such entities.
    """
    data = path.read_bytes()
    head = data[: data.find(b"<svg")] if b"<svg" in data else data
    entities = re.findall(rb"<!ENTITY\s[^>]*>", head)
    # Namespaces as plain entities are common; entities made of entities are a trap.
    if len(entities) > 64 or any(b"&" in e or b"%" in e or len(e) > 1000 for e in entities):
        raise DrawingError(
            "text entities that unfold into more",
            "an SVG without them",
            "save it again as plain SVG",
            where=path.name,
        )
    try:
        root = ElementTree.fromstring(data)
    except (ElementTree.ParseError, ValueError, LookupError) as error:
        raise unreadable(path) from error
    if not root.tag.endswith("svg"):
        raise unreadable(path)
    return root


def shapes_drawn(root: ElementTree.Element, where: str) -> int:
    """How many elements are drawn when every <use> is followed.

    Raises
    ------
    DrawingError
        If one uses itself, or they nest too deeply.
    """
    by_id = {e.get("id"): e for e in root.iter() if e.get("id")}
    counts: dict[int, int] = {}

    def count(element: ElementTree.Element, open_: frozenset[int], depth: int) -> int:
        key = id(element)
        if key in open_:
            raise DrawingError(
                "a shape that uses itself",
                "shapes that use others",
                "save it again as plain SVG",
                where=where,
            )
        check_count(depth, 10 * DEEPEST_NESTING, "groups within groups", where)
        if key not in counts:
            inside, total = open_ | {key}, 1
            for child in element:
                total += count(child, inside, depth + 1)
            if str(element.tag).endswith("}use") or element.tag == "use":
                href = next((element.get(h) for h in _HREFS if element.get(h)), None)
                target = by_id.get((href or "").removeprefix("#"))
                total += count(target, inside, depth + 1) if target is not None else 0
            counts[key] = total
        return counts[key]

    return count(root, frozenset(), 0)
