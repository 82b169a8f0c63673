"""What was taken from a drawing and what was left, as findings for the maker."""

from __future__ import annotations

from rimwright.instrument.drawings.finder_shape import WHY_LEFT, Shape
from rimwright.instrument.drawings.join import Path
from rimwright.instrument.drawings.strokes import Stroke
from rimwright.instrument.outline import Finding


def what_was_taken(paths: list[Path], strokes: tuple[Stroke, ...], rule: str) -> list[Finding]:
    """What was taken, by which rule, and the gaps that were closed in it."""
    findings = []
    for path in paths:
        origins = list(dict.fromkeys(path.origin))
        first = strokes[origins[0]]
        more = f" and {len(origins) - 1} more joined to it" if len(origins) > 1 else ""
        findings.append(Finding(first.called() + more, True, rule))
        size = Shape(path).extent
        wide = [gap for gap in path.gaps if gap > 1e-6 * size]
        if wide:
            share = 100.0 * max(wide) / size
            findings.append(
                Finding(
                    f"{len(wide)} small gaps, the widest {share:.2f} % of the body",
                    True,
                    "closed by moving the ends together",
                )
            )
    return findings


def what_was_left(
    shapes: list[Shape], paths: list[Path], strokes: tuple[Stroke, ...], taken: Shape
) -> list[Finding]:
    """What was left, said once for each thing of some size and in sum for small ones."""
    findings: list[Finding] = []
    small = 0
    for shape in shapes:
        if any(shape.path is path for path in paths):
            continue
        if shape.extent < 0.05 * taken.extent or len(findings) >= 24:
            small += 1
            continue
        called = strokes[shape.path.origin[0]].called()
        findings.append(Finding(called, False, WHY_LEFT[shape.look]))
    if small:
        findings.append(Finding(f"{small} other lines", False, "small, or more of the same"))
    return findings
