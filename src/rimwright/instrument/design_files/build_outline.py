"""The checked tables of an outline's source made into plain values."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

from rimwright.instrument.design import (
    ArcList,
    ArcStep,
    Cutaway,
    Drawing,
    Landmarks,
    OutlineSource,
)

if TYPE_CHECKING:
    from rimwright.instrument.design_files.outline_tables import DrawingTable, OutlineTable
    from rimwright.instrument.design_files.shape_tables import ArcTable, LandmarksTable

#: Metres of each unit a drawing may be said to be in.
UNIT_M = {"mm": 1e-3, "cm": 1e-2, "m": 1.0, "in": 0.0254, "ft": 0.3048, "thou": 2.54e-5}


def outline_source(table: OutlineTable, folder: Path) -> OutlineSource:
    """Where the outline comes from; a drawing's path is taken from the design's folder."""
    source: Landmarks | ArcList | Drawing
    if table.landmarks is not None:
        source = _landmarks(table.landmarks)
    elif table.arcs is not None:
        treble = table.arcs.treble
        source = ArcList(
            bass=tuple(map(_arc, table.arcs.bass)),
            treble=None if treble is None else tuple(map(_arc, treble)),
        )
    else:
        assert table.drawing is not None  # the model lets exactly one through
        source = _drawing(table.drawing, folder)
    return OutlineSource(
        source=source,
        line=table.line,
        seen_from=table.seen_from,
        overhang_m=table.overhang or 0.0,
        mould_clearance_m=table.mould_clearance or 0.0,
    )


def _landmarks(table: LandmarksTable) -> Landmarks:
    cut = table.cutaway
    return Landmarks(
        body_length_m=table.body_length,
        lower_width_m=table.lower_bout.width,
        lower_station_m=table.lower_bout.station,
        waist_width_m=table.waist.width,
        waist_station_m=table.waist.station,
        upper_width_m=table.upper_bout.width,
        upper_station_m=table.upper_bout.station,
        tail_fullness=table.tail_fullness,
        shoulder_fullness=table.shoulder_fullness,
        cutaway=None
        if cut is None
        else Cutaway(
            kind=cut.kind,
            depth_m=cut.depth,
            horn_radius_m=cut.horn_radius,
            scoop_radius_m=cut.scoop_radius,
            neck_half_width_m=cut.neck_half_width,
        ),
    )


def _arc(table: ArcTable) -> ArcStep:
    radius = -table.radius if table.radius and table.concave else table.radius
    return ArcStep(
        radius_m=radius, sweep_rad=table.sweep, length_m=table.length, corner_rad=table.corner
    )


def _drawing(table: DrawingTable, folder: Path) -> Drawing:
    return Drawing(
        path=Path(os.path.normpath(folder / table.file)),
        layer=table.layer,
        select=tuple(table.select),
        unit_m=UNIT_M[table.units] if table.units else None,
        unit_name=table.units,
        dots_per_inch=table.dpi,
        body_length_m=table.body_length,
        tail=table.tail,
        cutaway_side=table.cutaway_side,
        trace=table.trace,
    )
