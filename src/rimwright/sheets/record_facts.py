"""What was bent and with what, as pairs of a name and words."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from rimwright.live.run_plan import RunPlan
from rimwright.sheets.record_plan import Show, at, number_at, text_at
from rimwright.sheets.record_words import counted, moment_text
from rimwright.units import length_text, temperature_text, time_text

if TYPE_CHECKING:
    from rimwright.journal.runs import RunRecord

#: A name and what is said to it.
Fact = tuple[str, str]
#: What a probe's kind means to a reader.
_KINDS = {"model": "a model, no probe", "replay": "a recording, no probe"}


def side_facts(record: RunRecord, plan: RunPlan) -> tuple[Fact, ...]:
    """The wood and the side, as measured, and as planned where nobody measured."""
    return tuple(_told(_side(record, plan.show)))


def bench_facts(record: RunRecord, plan: RunPlan) -> tuple[Fact, ...]:
    """Stack, probes, blanket, temperatures, and which program recorded it."""
    return tuple(_told(_bench(record, plan)))


def _told(facts: Iterable[Fact]) -> Iterator[Fact]:
    return ((name, words) for name, words in facts if words)


def _side(record: RunRecord, show: Show) -> Iterator[Fact]:
    side, document = record.side, record.plan_document
    if side is not None:
        yield "Side", f"{side.name} (side {side.id})"
        if side.instrument:
            yield (
                "Instrument",
                f"{side.instrument['name']}, for a {side.instrument['player']}-handed player",
            )
        if side.mate:
            yield "Its mate", f"{side.mate['name']} (side {side.mate['id']})"
    planned = text_at(document, "design", "sides", "wood")
    kept = "" if side is None or side.wood is None else str(side.wood["name"])
    yield "Wood", kept or (f"{planned}, by the plan" if planned else "")
    if side is not None and side.board:
        yield "Board", _board(side.board, side.board_set, show)
    if side is not None:
        measured = [
            f"{one.place} {length_text(one.thickness_m, show, fine=True)}"
            + (f" (at {length_text(one.s_m, show)})" if one.s_m is not None else "")
            for one in side.thicknesses
        ]
        yield "Thickness, measured", ", ".join(measured)
    yield "Thickness, planned", _planned_thickness(record, show)
    if side is not None:
        yield "Moisture", _metered(side.moisture, side.moisture_meter)
        yield "Air", _metered(side.humidity, side.hygrometer, " humidity")
    yield "Wetting", _wetting(document)
    yield "Tightest bend", _tightest(record)
    if side is not None:
        yield "Said of it", side.words


def _board(board: Mapping[str, Any], boards: Mapping[str, Any] | None, show: Show) -> str:
    sizes = [board[key] for key in ("length_m", "width_m", "thickness_m")]
    words = str(board["name"]) + (f" of {boards['name']}" if boards else "")
    if all(size is not None for size in sizes):
        length, width = (length_text(size, show) for size in sizes[:2])
        words += f", {length} × {width} × {length_text(sizes[2], show, fine=True)}"
    if board["grain_angle_rad"] is not None:
        words += f", run-out {math.degrees(board['grain_angle_rad']):.1f}°"
    return words


def planned_side(record: RunRecord) -> Mapping[str, Any]:
    """This piece of side in the plan as it was; empty where the plan has none."""
    sides = at(record.plan_document, "sides")
    for side in sides if isinstance(sides, list) else ():
        same = (text_at(side, "hand"), text_at(side, "piece")) == (record.hand, record.piece)
        if isinstance(side, Mapping) and same:
            return side
    return {}


def _planned_thickness(record: RunRecord, show: Show) -> str:
    thickness = number_at(planned_side(record), "thickness_m")
    if thickness is None:
        return ""
    words = length_text(thickness, show, fine=True)
    zones = at(record.plan_document, "design", "sides", "thinned")
    for zone in zones if isinstance(zones, list) else ():
        values = [number_at(zone, key) for key in ("thickness_m", "from_m", "to_m")]
        thin, begin, end = values
        if text_at(zone, "hand") in (record.hand, "both") and None not in values:
            assert thin is not None and begin is not None and end is not None  # noqa: PT018
            words += (
                f"; {length_text(thin, show, fine=True)} from {length_text(begin, show)} to "
                f"{length_text(end, show)} from the tail seam"
            )
    return words


def _metered(share: float | None, meter: str | None, what: str = "") -> str:
    if share is None:
        return ""
    return f"{100.0 * share:.1f}%{what}" + (f", by {meter}" if meter else "")


def _wetting(document: Mapping[str, Any] | None) -> str:
    method = text_at(document, "design", "wetting", "method")
    words = {"mist": "misted", "dip": "dipped", "soak": "soaked", "dry": "dry"}.get(method, method)
    wet_s = number_at(document, "design", "wetting", "duration_s")
    stood_s = number_at(document, "design", "wetting", "stand_s")
    if words and wet_s:
        words += f" for {time_text(wet_s)}"
    if words and stood_s:
        words += f", then wrapped for {time_text(stood_s)}"
    return f"{words}, by the plan" if words else ""


def _tightest(record: RunRecord) -> str:
    places = at(planned_side(record), "tight_places")
    found = [
        (radius, text_at(place, "words"))
        for place in (places if isinstance(places, list) else ())
        if (radius := number_at(place, "radius_m")) is not None
    ]
    return min(found)[1] if found else ""


def _bench(record: RunRecord, plan: RunPlan) -> Iterator[Fact]:
    yield "Stack, from the form outwards", ", ".join(plan.stack)
    yield "Blanket", plan.blanket or record.blanket
    yield "Probes", "; ".join(_probe(one) for one in record.probes)
    if plan.target_c > 0.0:
        early, target, limit = (
            temperature_text(celsius, plan.show)
            for celsius in (plan.early_alarm_c, plan.target_c, plan.limit_c)
        )
        yield "Early call, target, limit", f"{early}, {target}, {limit}"
    yield "Speed", f"{plan.speed:g} times the clock's" if plan.speed != 1.0 else ""
    last = f", the last after {time_text(record.samples_last_s)}" if record.samples else ""
    yield "Readings", f"{record.samples:,}{last}" if record.samples else "none kept"
    yield (
        "Recorded by",
        f"Rimwright {record.model_version}" + (f" on {record.bench}" if record.bench else ""),
    )


def _probe(probe: Mapping[str, Any]) -> str:
    kind = str(probe["kind"])
    place = f" {probe['place']}" if probe["place"] != probe["name"] else ""
    return f"{probe['name']}{place}: {_KINDS.get(kind, kind)}"


def learnt_words(record: RunRecord) -> tuple[str, ...]:
    """What a run's heat taught of its blanket, or why nothing."""
    said = [
        str(event.data["words"])
        for event in record.events
        if event.kind == "learnt" and event.data.get("words")
    ]
    return tuple(dict.fromkeys(said)) or tuple(
        f"A fit over {counted(int(one['points']), 'point')}, within {one['rms_k']:.1f} K."
        for one in record.fits
    )


def note_lines(rows: Sequence[Mapping[str, Any]]) -> tuple[Fact, ...]:
    """Notes with the moment each was written."""
    return tuple((moment_text(row["wall_s"]), str(row["words"])) for row in rows)
