"""The list of woods, and one wood with where its values come from, in words."""

from __future__ import annotations

from rimwright.bending.capacity import capacity
from rimwright.bending.parameters import DEFAULT
from rimwright.desk.words import items, table
from rimwright.sources import SOURCES, Provenance, Sourced
from rimwright.wood.catalogue import all_woods, find


def woods_text() -> str:
    """Every wood on the list with its weight and what it bears wet and hot."""
    rows = [("Wood", "class", "kg/m³", "bears, wet and hot", "from")]
    for wood in all_woods():
        bears = capacity(wood, DEFAULT)
        rows.append(
            (
                wood.name,
                wood.kind,
                f"{wood.density_kg_m3:.0f}",
                f"{bears.middle:.1%} ({bears.low:.1%} to {bears.high:.1%})",
                _short(bears),
            )
        )
    return "\n".join(
        [
            *table(rows),
            "",
            "Strain of the face in tension, middle and 90 % range. One of them with its "
            "sources: rimwright woods NAME",
        ]
    )


def wood_text(name: str) -> str:
    """One wood whole: every published figure with its source, and what is derived.

    Raises
    ------
    UnknownNameError
        If the wood is not on the list; the nearest names are told.
    """
    wood = find(name)
    bears = capacity(wood, DEFAULT)
    lines = [
        f"{wood.name} ({wood.botanical}), {wood.kind}{', oily' if wood.oily else ''}",
        *([f"  also called {', '.join(wood.aliases)}"] if wood.aliases else []),
        "",
        f"Bears {bears.middle:.2%} tensile face strain wet and hot "
        f"({bears.low:.2%} to {bears.high:.2%}), {bears.provenance}",
        *items([bears.note] if bears.note else []),
        "",
        "Published figures",
    ]
    for row in wood.values:
        spread = f" ({row.low:g} to {row.high:g})" if row.high > row.low else ""
        title = SOURCES[row.source].title if row.source in SOURCES else row.source
        note = f"; {row.note}" if row.note else ""
        lines += items(
            [
                f"{row.quantity}: {row.value:g}{spread}, {title} ({row.reached}, confidence "
                f"{row.confidence}){note}"
            ]
        )
    for heading, text in (("Bending", wood.ease), ("Figure", wood.figure)):
        if text:
            lines += ["", f"{heading} (common practice, no source)", *items([text])]
    if wood.sensitiser:
        lines += ["", "Caution", *items([wood.sensitiser])]
    return "\n".join(lines)


def _short(value: Sourced) -> str:
    """Provenance in a word or two."""
    return {
        Provenance.DERIVED: "a published radius",
        Provenance.PUBLISHED: "published",
        Provenance.MEASURED: "this shop",
    }.get(value.provenance, "assumed by class")
