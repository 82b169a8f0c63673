"""A small journal with one of everything, and what of it must be the same in another."""

from __future__ import annotations

import io
import json
from pathlib import Path
from typing import Any

from PIL import Image

from journal_rows import event, new_run, put, sample
from rimwright.journal.engine import Journal
from rimwright.journal.exchange import export_records
from rimwright.journal.keeping import (
    Board,
    BoardSet,
    Fit,
    Instrument,
    Outcome,
    Side,
    Thickness,
    Wood,
    add_note,
    keep_fit,
    record_outcome,
    save_board,
    save_board_set,
    save_instrument,
    save_side,
    save_wood,
)
from rimwright.journal.photographs import keep_photograph
from rimwright.journal.runs import begin_run, end_run

NOW = 1_764_067_712.5


def picture(size: tuple[int, int] = (64, 48), form: str = "JPEG", **options: Any) -> bytes:
    """A photograph with something on it."""
    stream = io.BytesIO()
    Image.effect_noise(size, 60.0).convert("RGB").save(stream, form, **options)
    return stream.getvalue()


def fill(journal: Journal, *, samples: int = 250, photographs: int = 1) -> tuple[int, int]:
    """Keep one of everything: two sides of one instrument, one bent, one open; their runs."""
    wood = save_wood(
        journal,
        Wood(name="Maple of 2019", properties={"density_kg_m3": 610.0, "from": "weighed"}),
    )
    boards = save_board_set(journal, BoardSet(name="plank 7", wood_id=wood, words="quartered"))
    board = save_board(
        journal,
        Board(
            name="7 a", set_id=boards, wood_id=wood, length_m=0.82, width_m=0.12,
            thickness_m=0.0035, grain_angle_rad=0.02,
        ),
    )  # fmt: skip
    instrument = save_instrument(
        journal, Instrument(name="Wren 14", model="Wren", begun_wall_s=NOW - 9e5, player="left")
    )
    bass = save_side(
        journal,
        Side(
            name="Wren 14 bass", hand="bass", instrument_id=instrument, board_id=board,
            thicknesses=(
                Thickness(place="waist", thickness_m=2.1e-3, s_m=0.268),
                Thickness(place="tail end", thickness_m=2.15e-3),
            ),
            moisture=0.081, moisture_meter="pins", humidity=0.44, hygrometer="the brass one",
            words='sap edge "up", a dark streak; at the waist,\na knot of 1 mm',
        ),
    )  # fmt: skip
    treble = save_side(
        journal,
        Side(name="Wren 14 treble", hand="treble", instrument_id=instrument, mate_id=bass),
    )
    run = begin_run(journal, new_run(hand="bass", side_id=bass, simulated=False))
    put(journal, run, [sample(n) for n in range(1, samples + 1)], [event(n) for n in range(1, 6)])
    record_outcome(
        journal,
        run,
        Outcome(kind="hairline", place="horn", s_m=0.412, face="outside", wall_s=NOW + 60.0),
    )
    record_outcome(journal, run, Outcome(kind="stained", words="blue, from the tape", wall_s=NOW))
    for number in range(photographs):
        keep_photograph(journal, run, picture(), f"horn, {number}", NOW)
    add_note(journal, "run", run, "Wetter next time.\nSlower too.", NOW)
    add_note(journal, "side", treble, "keep for the Wren", NOW)
    add_note(journal, "instrument", instrument, "for the window", NOW)
    add_note(journal, "board", board, "the last of its plank", NOW)
    keep_fit(
        journal,
        run,
        Fit(
            blanket="914 × 152 mm, 5.0 W/in²", values={"power_share": (0.93, 0.9, 0.97)},
            rms_k=1.4, points=2200, wall_s=NOW,
        ),
    )  # fmt: skip
    end_run(journal, run, "ended", NOW + 100.0)
    still_open = begin_run(journal, new_run(side_id=treble, begun_wall_s=NOW))
    put(journal, still_open, [sample(n) for n in range(1, 31)], [event(1)])
    return run, still_open


def told(journal: Journal, folder: Path, *, ended_only: bool = False) -> dict[str, Any]:
    """All that an export of a journal holds, as plain values, without row numbers."""
    export_records(journal, folder, "json")
    index = json.loads((folder / "index.json").read_text(encoding="utf-8"))
    runs = {}
    for listed in index.pop("runs"):
        run = json.loads((folder / "runs" / f"{listed['uid']}.json").read_text(encoding="utf-8"))
        run["run"].pop("number")
        if run["run"]["state"] != "open" or not ended_only:
            runs[listed["uid"]] = run
    shown = {f"{one['uid']}.jpg" for run in runs.values() for one in run["photographs"]}
    files = {path.name: path.read_bytes() for path in folder.glob("photographs/*")}
    pictures = {name: data for name, data in files.items() if name in shown or not ended_only}
    index.pop("made_with")
    return {**index, "runs": runs, "pictures": pictures}
