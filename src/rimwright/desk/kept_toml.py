"""Records as the TOML text that `rimwright keep` reads."""

from __future__ import annotations

import datetime
import json
import math
from collections.abc import Iterator, Mapping
from typing import Any

EXAMPLE = """\
# What the shop has: `rimwright keep FILE` takes it into the journal, as often as you like.
# A name that is kept already is changed to what stands here; what you leave out stays as it is.
# Others are named by their name or by their number; `number` names the record itself, so that
# its name can be changed. Lengths with their unit: "268 mm", "10 9/16 in", "85 thou".
#
# [[instruments]]
# name = "Wren 14"
# model = "Wren"
# player = "right"                      # or left
# begun = 2026-11-02
#
# [[woods]]                             # only your own: those of `rimwright woods` need no table
# name = "pond walnut"
# like = "black walnut"
# source = "one log, weighed in 2019"
# gravity_12 = 0.58
#
# [[sets]]                              # boards of one plank
# name = "plank 7"
# wood = "pond walnut"
#
# [[boards]]
# name = "7 a"
# set = "plank 7"
# length = "820 mm"
# width = "120 mm"
# thickness = "3.5 mm"
# grain_angle = "1 deg"                 # run-out
#
# [[sides]]                             # then: rimwright begin PLAN --side treble --of NUMBER
# instrument = "Wren 14"
# hand = "treble"                       # its name is "Wren 14 treble", unless you give another
# board = "7 a"
# mate = "Wren 14 bass"
# measured = [
#   { place = "tail end", thickness = "2.15 mm" },
#   { place = "waist", at = "268 mm", thickness = "2.10 mm" },
# ]
# moisture = "8 %"
# moisture_meter = "the one with pins"
# humidity = "44 %"
# hygrometer = "the brass one"
# words = "a dark streak at the waist"
"""


def toml_of(kind: str, record: Any) -> str:
    """One record as a table of its kind.

    Examples
    --------
    >>> from rimwright.journal.keeping import BoardSet
    >>> print(toml_of("sets", BoardSet(name="plank 7", wood_id=2, id=5)).strip())
    [[sets]]
    number = 5
    name = "plank 7"
    wood = 2
    """
    lines = [f"[[{kind}]]", f"number = {record.id}", f"name = {text(record.name)}"]
    lines += [f"{key} = {value}" for key, value in _pairs(kind, record)]
    if kind == "woods" and not _readable(record.properties):
        # Of another program or version: shown, and left alone when the file is kept.
        lines = [f"# {line}" for line in lines]
    return "\n" + "\n".join(lines) + "\n"


def _readable(properties: Mapping[str, Any]) -> bool:
    """Whether a wood's values are those that a table of woods may have."""
    from rimwright.instrument.design_files.keys import schema_of
    from rimwright.instrument.design_files.shop_tables import WoodTable

    known = schema_of(WoodTable)["properties"]
    return (
        properties.keys() <= known.keys()
        and "source" in properties
        and not properties.keys().isdisjoint(("like", "class"))
    )


def _pairs(kind: str, one: Any) -> Iterator[tuple[str, str]]:
    if kind == "instruments":
        yield "model", text(one.model)
        yield "player", text(one.player)
        moment = datetime.datetime.fromtimestamp(one.begun_wall_s, datetime.UTC).astimezone()
        yield "begun", moment.date().isoformat()
    if kind == "woods":
        for key, value in one.properties.items():
            yield key, text(value) if isinstance(value, str) else json.dumps(value)
    for key in ("wood", "set", "instrument", "board", "mate"):
        if getattr(one, f"{key}_id", None) is not None:
            yield key, str(getattr(one, f"{key}_id"))
    for key in ("hand", "piece"):
        if kind == "sides":
            yield key, text(getattr(one, key))
    for key in ("length", "width", "thickness"):
        if getattr(one, f"{key}_m", None) is not None:
            yield key, length(getattr(one, f"{key}_m"))
    if getattr(one, "grain_angle_rad", None) is not None:
        yield "grain_angle", f'"{math.degrees(one.grain_angle_rad):.9g} deg"'
    if kind == "sides":
        yield from _measured(one)
    if one.words:
        yield "words", text(one.words)


def _measured(side: Any) -> Iterator[tuple[str, str]]:
    if side.thicknesses:
        rows = []
        for one in side.thicknesses:
            at = "" if one.s_m is None else f"at = {length(one.s_m)}, "
            rows.append(
                f"  {{ place = {text(one.place)}, {at}thickness = {length(one.thickness_m)} }},"
            )
        yield "measured", "[\n" + "\n".join(rows) + "\n]"
    for key, meter in (("moisture", "moisture_meter"), ("humidity", "hygrometer")):
        if getattr(side, key) is not None:
            yield key, f'"{100.0 * getattr(side, key):.9g} %"'
        if getattr(side, meter) is not None:
            yield meter, text(getattr(side, meter))


def text(words: str) -> str:
    """A TOML string on one line."""
    # JSON's escapes are TOML's too, but for the one letter that JSON leaves bare.
    return json.dumps(words, ensure_ascii=False).replace("\x7f", "\\u007f")


def length(metres: float) -> str:
    """A length to a nanometre, in millimetres."""
    return f'"{1e3 * metres:.9g} mm"'
