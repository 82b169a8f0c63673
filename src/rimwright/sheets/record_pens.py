"""Pens of a run's plot by what they draw."""

from __future__ import annotations

from rimwright.sheets.drawing import Pen

#: A page gives each its colour by the name of its layer.
AXIS = Pen("axis", 0.25)
BAND = Pen("band", 0.1)
BAND_EDGE = Pen("band-edge", 0.18)
PREDICTED = Pen("predicted", 0.18, "chain")
LINE = Pen("line", 0.18, "dashed")
LIMIT = Pen("limit", 0.35, "dashed")
MEASURED = Pen("measured", 0.5)
OTHER = Pen("other", 0.25, "dashed")
STEP = Pen("step", 0.13)
CALL = Pen("call", 0.25)
ALARM = Pen("alarm", 0.35)
WORD = Pen("word", 0.18)
