"""The tables of the design file that say where the outline comes from."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, StringConstraints, model_validator

from rimwright.instrument.design_files.quantity import BODY_LENGTH, RefusedError
from rimwright.instrument.design_files.shape_tables import ArcsTable, LandmarksTable
from rimwright.instrument.design_files.tables import Allowance, Table, Text

SOURCES_OF_OUTLINE = ("landmarks", "arcs", "drawing")


class DrawingTable(Table):
    """A drawing, trace, scan or photograph to take the outline from."""

    file: Annotated[str, StringConstraints(min_length=1, max_length=400)] = Field(
        description="DXF, SVG, PNG or JPEG, beside the design file or by its path."
    )
    layer: Text | None = Field(None, description="Take the outline from this layer alone.")
    select: list[Text] = Field(
        default=[], max_length=200, description="Names or handles of what is the outline."
    )
    units: Literal["mm", "cm", "m", "in", "ft", "thou"] | None = Field(
        None, description="Unit of the drawing, if the file does not say or says it wrong."
    )
    dpi: Annotated[float, Field(ge=20, le=4800)] | None = Field(
        None, description="Dots per inch of a scan or its trace."
    )
    body_length: Annotated[float, BODY_LENGTH] | None = Field(
        None, description="The one known length, if the scale is not known."
    )
    tail: Literal["left", "right", "top", "bottom"] | None = Field(
        None, description="Where the tail lies in the drawing, if it is taken for the neck."
    )
    cutaway_side: Literal["bass", "treble"] | None = Field(
        None, description="Which side the cutaway is on, if it is taken for the other."
    )
    trace: bool | None = Field(None, description="true: a noisy trace; left out: seen from it.")

    @model_validator(mode="after")
    def _one_scale(self) -> DrawingTable:
        if self.units is not None and self.dpi is not None:
            raise RefusedError(
                "units and dpi together", "one of the two", "take one out", key="dpi"
            )
        return self


class OutlineTable(Table):
    """Where the outline comes from (landmarks, arcs or drawing), and which line it is."""

    line: Literal["outside", "inside", "overhang", "mould"] = Field(
        "outside",
        description="What the line is: outside of the finished rim (binding flush), inside of "
        "the rim, edge of overhanging plates, or the line the mould is cut to.",
    )
    seen_from: Literal["face", "back"] | None = Field(
        None, description="The side from which the plan is seen."
    )
    overhang: Allowance | None = Field(None, description="How far the plates overhang the rim.")
    mould_clearance: Allowance | None = Field(
        None, description="How far the mould stands off the rim."
    )
    landmarks: LandmarksTable | None = None
    arcs: ArcsTable | None = None
    drawing: DrawingTable | None = None

    @model_validator(mode="after")
    def _one_source(self) -> OutlineTable:
        given = [name for name in SOURCES_OF_OUTLINE if getattr(self, name) is not None]
        if len(given) != 1:
            raise RefusedError(
                " and ".join(f"[outline.{name}]" for name in given) or "no source of the outline",
                "exactly one of [outline.landmarks], [outline.arcs] and [outline.drawing]",
                "keep the one that is meant" if given else "add one of the three",
            )
        for line, key in (("overhang", "overhang"), ("mould", "mould_clearance")):
            if self.line == line and getattr(self, key) is None:
                raise RefusedError(
                    f"line = '{line}' without {key}",
                    "how far that line stands off the rim",
                    f'add {key} = "2 mm"',
                    key="line",
                )
        return self
