"""Whatever a journal holds, an export taken into another journal gives the same records back."""

from __future__ import annotations

import shutil
import tempfile
from functools import cache
from pathlib import Path
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from counts import times
from journal_filled import NOW, picture, told
from journal_rows import new_run
from journal_stores import the_server
from rimwright.journal.backup_rows import empty_all
from rimwright.journal.engine import Journal
from rimwright.journal.exchange import FORMS, export_records, import_records
from rimwright.journal.keeping import (
    FACES,
    HANDS,
    OUTCOME_KINDS,
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
from rimwright.journal.opening import open_journal
from rimwright.journal.photographs import photograph_values
from rimwright.journal.row_values import event_values, sample_values
from rimwright.journal.runs import EventRow, SampleRow, begin_run, end_run
from rimwright.journal.tables import events, photographs, samples
from rimwright.pictures.photograph import fit_for_keeping

letters = st.characters(exclude_categories=("Cc", "Cs", "Zl", "Zp"))
names = st.text(letters, min_size=1, max_size=20).filter(str.strip)
words = st.text(letters | st.sampled_from('\n\t",;\r'), max_size=40)
wall_s = st.floats(0.0, 4e9)
plain = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(st.characters(exclude_categories=("Cs",), exclude_characters="\0"), max_size=10),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(names, inner, max_size=3),
    max_leaves=8,
)  # fmt: skip
objects = st.dictionaries(names, plain, max_size=3)


def metres(low: float, high: float) -> st.SearchStrategy[float | None]:
    return st.none() | st.floats(low, high)


woods = st.builds(Wood, name=names, properties=objects, words=words)
boards = st.builds(
    Board, name=names, length_m=metres(0.05, 5.0), width_m=metres(0.01, 1.0),
    thickness_m=metres(0.0001, 0.2), grain_angle_rad=metres(-1.5, 1.5), words=words,
)  # fmt: skip
thicknesses = st.builds(
    Thickness, place=names, thickness_m=st.floats(0.0002, 0.02), s_m=metres(0.0, 5.0)
)
sides = st.builds(
    Side, name=names, hand=st.sampled_from(HANDS), moisture=metres(0.0, 2.0), moisture_meter=names,
    humidity=metres(0.0, 1.0), hygrometer=names, words=words,
    thicknesses=st.lists(thicknesses, max_size=3).map(tuple),
)  # fmt: skip
outcomes = st.builds(
    Outcome, kind=st.sampled_from(OUTCOME_KINDS), place=st.just("") | names,
    s_m=metres(0.0, 5.0), face=st.sampled_from(FACES), words=words, wall_s=wall_s,
)  # fmt: skip
number = st.floats(-1e9, 1e9)
fits = st.builds(
    Fit, blanket=names, values=st.dictionaries(names, st.tuples(number, number, number),
    min_size=1, max_size=3), rms_k=st.floats(0.0, 1000.0), points=st.integers(0, 10**8),
    wall_s=wall_s,
)  # fmt: skip
readings = st.tuples(st.floats(-999_999.0, 999_999.0), st.none()) | st.tuples(
    st.none(), st.sampled_from(["open", "out of range", "stuck", None])
)


@st.composite
def rows(draw: st.DrawFn) -> list[SampleRow]:
    """Samples with holes between them, at times that may stand still."""
    found, seq, at_ms = [], 0, 0
    for celsius, fault in draw(st.lists(readings, max_size=8)):
        seq += draw(st.integers(1, 3))
        at_ms += draw(st.integers(0, 10**6))
        found.append(SampleRow(seq, at_ms, draw(st.integers(0, 3)), celsius, fault))
    return found


happened = st.lists(
    st.tuples(
        st.floats(0.0, 1e8), wall_s, st.sampled_from(["note", "held", "step_done"]), objects,
        st.text("abc-", max_size=8), words,
    ),
    max_size=4,
)  # fmt: skip
runs = st.fixed_dictionaries(
    {
        "new": st.fixed_dictionaries(
            {
                "model": names, "simulated": st.booleans(), "run_plan": objects,
                "prediction": objects, "plan_document": st.none() | objects,
                "design_text": st.none() | words.filter(bool), "blanket": st.just("") | names,
                "begun_wall_s": wall_s,
            }
        ),
        "samples": rows(), "events": happened, "outcomes": st.lists(outcomes, max_size=2),
        "fits": st.lists(fits, max_size=1), "words": words, "photographs": st.integers(0, 1),
        "side": st.booleans(), "state": st.sampled_from(["ended", "abandoned", "open"]),
    }
)  # fmt: skip


@cache
def empty_file() -> Path:
    """A journal with nothing in it, to be copied."""
    folder = Path(tempfile.mkdtemp(prefix="rimwright-empty-"))
    open_journal(folder / "journal.sqlite")[0].close()
    return folder / "journal.sqlite"


@cache
def on_server() -> Journal:
    """One journal on the server, emptied for each example."""
    server = the_server()
    return open_journal(server.address(server.new_database()))[0]


def fresh(kind: str, folder: Path, name: str) -> Journal:
    if kind == "sqlite":
        return open_journal(shutil.copyfile(empty_file(), folder / f"{name}.sqlite"))[0]
    with on_server().writing() as connection:
        empty_all(connection)
    return on_server()


@cache
def shot() -> Any:
    return photograph_values(fit_for_keeping(picture()))


def build(journal: Journal, shop: dict[str, Any], recorded: list[dict[str, Any]]) -> None:
    wood = save_wood(journal, shop["wood"])
    group = save_board_set(journal, BoardSet(name="set", wood_id=wood))
    board = save_board(journal, shop["board"])
    save_board(journal, Board(name="b", set_id=group, wood_id=wood))
    instrument = save_instrument(journal, Instrument(name="14", model="Wren", begun_wall_s=NOW))
    side = save_side(journal, shop["side"])
    other = "treble" if shop["side"].hand == "bass" else "bass"
    mate = Side(name="mate", hand=other, mate_id=side, board_id=board, instrument_id=instrument)  # type: ignore[arg-type]  # one of two
    mates = [side, save_side(journal, mate)]
    for one in recorded:
        of = mates[0] if one["side"] else None
        run = begin_run(journal, new_run(**one["new"], side_id=of))
        with journal.writing() as connection:
            if one["samples"]:
                kept = [sample_values(run, row) for row in one["samples"]]
                connection.execute(samples.insert(), kept)
            for seq, (at_s, wall, kind, data, key, device) in enumerate(one["events"], start=1):
                row = EventRow(seq, at_s, wall, kind, data, key, device)
                connection.execute(events.insert().values(event_values(run, row)))
            for count in range(one["photographs"]):
                uid = f"{run:08d}-0000-4000-8000-{count:012d}"
                values = {"uid": uid, "run_id": run, "words": "horn", "wall_s": NOW, **shot()}
                connection.execute(photographs.insert().values(values))
        for outcome in one["outcomes"]:
            record_outcome(journal, run, outcome)
        for fit in one["fits"]:
            keep_fit(journal, run, fit)
        if one["words"].strip():
            add_note(journal, "run", run, one["words"], NOW)
            add_note(journal, "side", mates[1], one["words"], NOW)
        if one["state"] != "open":
            end_run(journal, run, one["state"], NOW)


@given(
    shop=st.fixed_dictionaries({"wood": woods, "board": boards, "side": sides}),
    recorded=st.lists(runs, max_size=2),
    form=st.sampled_from(FORMS),
    kinds=st.sampled_from([("sqlite", "sqlite"), ("sqlite", "postgresql"),
                           ("postgresql", "sqlite")]),
)  # fmt: skip
@settings(max_examples=times(12), deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_out_and_in_again_is_equal(shop, recorded, form, kinds):
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        journal = fresh(kinds[0], folder, "first")
        build(journal, shop, recorded)
        wanted = told(journal, folder / "wanted", ended_only=True)
        whole = told(journal, folder / "whole")
        # A run that is still open is left out, with what was said of it.
        export_records(journal, folder / "out", form)
        if journal.kind == "sqlite":
            journal.close()
        other = fresh(kinds[1], folder, "second")
        done = import_records(other, folder / "out")
        assert done.still_open == len(whole["runs"]) - len(wanted["runs"])
        assert told(other, folder / "found") == wanted
        assert import_records(other, folder / "out").added == {}
        assert told(other, folder / "again") == wanted
        if other.kind == "sqlite":
            other.close()
