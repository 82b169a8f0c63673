"""Outcomes, notes, fits and devices: kept, taken back, listed, refused in one line."""

import math

import pytest

from journal_filled import NOW, fill
from journal_rows import new_run
from rimwright.errors import JournalError
from rimwright.journal.devices import add_device, device_by_token, devices, revoke, seen
from rimwright.journal.keeping import (
    OUTCOME_KINDS,
    Fit,
    Instrument,
    Outcome,
    add_note,
    fits,
    keep_fit,
    newest_fit,
    notes_of,
    outcomes,
    outcomes_of,
    record_outcome,
    save_instrument,
    take_back_outcome,
)
from rimwright.journal.runs import begin_run, run_lines, run_record


def test_a_run_has_several_outcomes_and_its_list_names_them(journal):
    run = begin_run(journal, new_run())
    for kind in OUTCOME_KINDS:
        record_outcome(journal, run, Outcome(kind=kind, place="horn", face="both", wall_s=NOW))
    assert [one.kind for one in outcomes_of(journal, run)] == list(OUTCOME_KINDS)
    assert {one.run for one in outcomes(journal, kind="cracked", place="horn")} == {run}
    assert outcomes(journal, kind="cracked", place="waist") == ()
    assert all(kind in run_lines(journal)[0].outcome for kind in OUTCOME_KINDS)
    assert len(run_record(journal, run).outcomes) == len(OUTCOME_KINDS)


def test_an_outcome_taken_back_stays_as_a_note(journal):
    run = begin_run(journal, new_run())
    cracked = Outcome(kind="cracked", place="horn", s_m=0.412, face="outside", wall_s=NOW)
    number = record_outcome(journal, run, cracked)
    take_back_outcome(journal, number, NOW + 5.0, "a pencil line")
    assert outcomes_of(journal, run) == ()
    (note,) = notes_of(journal, "run", run)
    said = "Taken back: cracked, horn, 412 mm from the tail seam, outside. a pencil line"
    assert (note.words, note.wall_s) == (said, NOW + 5.0)
    with pytest.raises(JournalError, match=f"no outcome {number}"):
        take_back_outcome(journal, number, NOW)
    longest = Outcome(kind="stained", words="x" * 4000, wall_s=NOW)
    take_back_outcome(journal, record_outcome(journal, run, longest), NOW)
    assert len(notes_of(journal, "run", run)[1].words) == 4000


def test_outcomes_that_are_none(journal):
    run = begin_run(journal, new_run())
    for wrong in (
        {"kind": "broken"}, {"kind": ""}, {"face": "left"}, {"s_m": -0.1}, {"s_m": math.nan},
        {"s_m": 6.0}, {"place": "a\nb"}, {"place": "x" * 121}, {"words": "x" * 4001},
        {"words": "\x07"}, {"wall_s": math.inf}, {"wall_s": -1.0},
    ):  # fmt: skip
        with pytest.raises(JournalError) as error:
            record_outcome(journal, run, Outcome(**{"kind": "sound", "wall_s": NOW, **wrong}))
        assert "outcome" in str(error.value)
    assert outcomes_of(journal, run) == ()


def test_a_run_that_is_not_there(journal):
    sound = Outcome(kind="sound", wall_s=NOW)
    fit = Fit(blanket="b", values={"a": (1.0, 1.0, 1.0)}, rms_k=1.0, points=1, wall_s=NOW)
    for run in (1, 0, -3, 10**12):
        for do in (
            lambda run=run: record_outcome(journal, run, sound),
            lambda run=run: keep_fit(journal, run, fit),
            lambda run=run: add_note(journal, "run", run, "words", NOW),
            lambda run=run: outcomes_of(journal, run),
            lambda run=run: notes_of(journal, "run", run),
        ):
            with pytest.raises(JournalError, match=f"no run {run}"):
                do()


def test_notes_are_about_four_kinds_of_things(journal):
    run, _ = fill(journal)
    assert [one.words for one in notes_of(journal, "run", run)] == [
        "Wetter next time.\nSlower too."
    ]
    for subject, number in (("side", 2), ("instrument", 1), ("board", 1)):
        assert len(notes_of(journal, subject, number)) == 1
    for subject, words in (("wood", "x"), ("run", ""), ("run", "  \n"), ("run", "\x00")):
        with pytest.raises(JournalError, match="note"):
            add_note(journal, subject, run, words, NOW)
    number = save_instrument(journal, Instrument(name="15", model="Wren", begun_wall_s=NOW))
    assert notes_of(journal, "instrument", number) == ()


def test_the_newest_fit_of_a_blanket_and_never_one_of_a_practice_run(journal):
    real = begin_run(journal, new_run(simulated=False))
    practice = begin_run(journal, new_run(simulated=True))

    def keep(run, share, wall_s, blanket="long"):
        values = {"power_share": (share, share - 0.1, share + 0.1)}
        fit = Fit(blanket=blanket, values=values, rms_k=1.5, points=900, wall_s=wall_s)
        return keep_fit(journal, run, fit)

    assert newest_fit(journal, "long") is None
    keep(real, 0.9, NOW)
    keep(real, 0.8, NOW - 1.0)
    keep(practice, 0.5, NOW + 10.0)
    keep(real, 0.7, NOW + 5.0, "short")
    fit = newest_fit(journal, "long")
    assert fit is not None
    assert fit.values == {"power_share": (0.9, 0.8, 1.0)}
    assert (fit.run, fit.rms_k, fit.points) == (real, 1.5, 900)
    assert newest_fit(journal, "long", simulated=True).values["power_share"][0] == 0.5
    assert len(fits(journal, blanket="long")) == 3
    assert len(fits(journal, run=real)) == 3


def test_fits_that_are_none(journal):
    run = begin_run(journal, new_run())
    good = {"blanket": "b", "values": {"a": (1.0, 1.0, 1.0)}, "rms_k": 1.0, "points": 1}
    for wrong in (
        {"values": {}}, {"values": {"a": (1.0, 2.0)}}, {"values": {"a": (1.0, math.nan, 2.0)}},
        {"values": {"": (1.0, 1.0, 1.0)}}, {"values": {"a": ("1", 1.0, 1.0)}},
        {"values": {str(n): (1.0, 1.0, 1.0) for n in range(41)}}, {"rms_k": -1.0},
        {"points": math.inf}, {"blanket": ""},
    ):  # fmt: skip
        with pytest.raises(JournalError):
            keep_fit(journal, run, Fit(**{**good, "wall_s": NOW, **wrong}))
    assert fits(journal) == ()


def test_a_device_is_let_in_seen_and_revoked(journal):
    token = "0123456789abcdef" * 4
    number = add_device(journal, "tablet at the bench", token, True, NOW)
    device = device_by_token(journal, token)
    assert (device.id, device.name, device.may_act) == (number, "tablet at the bench", True)
    seen(journal, number, NOW + 60.0)
    assert device_by_token(journal, token).seen_wall_s == NOW + 60.0
    with pytest.raises(JournalError, match="given out before"):
        add_device(journal, "another", token, False, NOW)
    revoke(journal, number, NOW + 99.0)
    revoke(journal, number, NOW + 200.0)
    assert device_by_token(journal, token) is None
    assert devices(journal) == ()
    assert [one.revoked_wall_s for one in devices(journal, revoked=True)] == [NOW + 99.0]
    with pytest.raises(JournalError, match="no device 77"):
        revoke(journal, 77, NOW)


def test_a_token_itself_is_never_kept(journal):
    for token in ("", "A" * 64, "0" * 63, "0" * 65, "g" * 64, "secret", None):
        with pytest.raises(JournalError, match="no SHA-256"):
            add_device(journal, "phone", token, False, NOW)
    assert device_by_token(journal, "0" * 64) is None
    assert devices(journal) == ()
