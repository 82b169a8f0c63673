"""What the journal keeps beside runs, their samples and events: one door to all of it.

Frozen records in, numbers out; every value is looked over before it is kept, and refused in
one line. `save_...` keeps a new record, or changes the one whose `id` it bears.
"""

from __future__ import annotations

from rimwright.journal.keeping_fits import fits, keep_fit, newest_fit
from rimwright.journal.keeping_outcomes import (
    add_note,
    notes_of,
    outcome_said,
    outcomes,
    outcomes_of,
    record_outcome,
    take_back_outcome,
)
from rimwright.journal.keeping_records import (
    FACES,
    HANDS,
    OUTCOME_KINDS,
    PIECES,
    PLAYERS,
    SUBJECTS,
    Board,
    BoardSet,
    Fit,
    Instrument,
    Note,
    Outcome,
    Side,
    Thickness,
    Wood,
)
from rimwright.journal.keeping_sides import instruments, save_instrument, save_side, side, sides
from rimwright.journal.keeping_wood import (
    board_sets,
    boards,
    save_board,
    save_board_set,
    save_wood,
    woods,
)

__all__ = [
    "FACES",
    "HANDS",
    "OUTCOME_KINDS",
    "PIECES",
    "PLAYERS",
    "SUBJECTS",
    "Board",
    "BoardSet",
    "Fit",
    "Instrument",
    "Note",
    "Outcome",
    "Side",
    "Thickness",
    "Wood",
    "add_note",
    "board_sets",
    "boards",
    "fits",
    "instruments",
    "keep_fit",
    "newest_fit",
    "notes_of",
    "outcome_said",
    "outcomes",
    "outcomes_of",
    "record_outcome",
    "save_board",
    "save_board_set",
    "save_instrument",
    "save_side",
    "save_wood",
    "side",
    "sides",
    "take_back_outcome",
    "woods",
]
