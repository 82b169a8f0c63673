"""What the journal has and what a file says of it, brought together before anything is kept."""

from __future__ import annotations

import difflib
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from rimwright.errors import DesignError, UnknownNameError
from rimwright.instrument.design_files.check import at_key
from rimwright.instrument.design_files.lines import KeyPath
from rimwright.instrument.design_files.quantity import RefusedError
from rimwright.journal import keeping

if TYPE_CHECKING:
    from rimwright.desk.keep_tables import KeepFile
    from rimwright.journal.engine import Journal

#: Kinds in an order in which what is referred to comes first, and one of each.
KINDS = {
    "instruments": "instrument", "woods": "wood", "sets": "set", "boards": "board",
    "sides": "side",
}  # fmt: skip
#: What a kind's records belong to: the key of a row, its kind, the field of a record.
OWNERS = {"boards": ("set_", "sets", "set_id"), "sides": ("instrument", "instruments",
                                                          "instrument_id")}  # fmt: skip


@dataclass(eq=False)
class Entry:
    """One record: as the journal has it, as the file wants it, or both."""

    kind: str
    name: str
    #: As kept; None for a new one.
    record: Any = None
    #: Of the file; None where the file does not speak of it.
    row: Any = None
    #: Where the row stands in the file.
    key: KeyPath = ()
    #: What the row refers to, by the name of its field.
    refers: dict[str, Entry] = field(default_factory=dict)
    #: Known once it is kept.
    id: int | None = None


def kept_records(journal: Journal) -> dict[str, tuple[Any, ...]]:
    """All records of each kind."""
    return {
        "instruments": keeping.instruments(journal),
        "woods": keeping.woods(journal),
        "sets": keeping.board_sets(journal),
        "boards": keeping.boards(journal),
        "sides": keeping.sides(journal),
    }


class Entries:
    """Everything of the journal and of one file.

    Parameters
    ----------
    records : dict
        As `kept_records` gives them.
    text, path : str, Path
        Of the file, for messages.
    """

    def __init__(self, records: dict[str, tuple[Any, ...]], text: str, path: Path) -> None:
        self._text, self._path = text, path
        self.of: dict[str, list[Entry]] = {
            kind: [Entry(kind, one.name, record=one, id=one.id) for one in records[kind]]
            for kind in KINDS
        }

    def take(self, file: KeepFile) -> None:
        """Match every row of the file, and look up what each refers to.

        Raises
        ------
        DesignError
            If a row can be none, with its line; nothing was kept then.
        """
        for kind in KINDS:
            for number, row in enumerate(getattr(file, kind)):
                self._take(kind, row, (kind, number))
        for entry in self.of["sides"]:
            if entry.row is not None and entry.row.mate is not None:
                mate = self._find("sides", entry.row.mate, (*entry.key, "mate"))
                self._must_mate(entry, mate)
                entry.refers["mate"] = mate

    def refuse(self, key: KeyPath, found: str, expected: str, next_step: str) -> DesignError:
        """A refusal with file, line and key."""
        return at_key(key, self._text, self._path, RefusedError(found, expected, next_step))

    # -- matching ------------------------------------------------------------------------------

    def _take(self, kind: str, row: Any, key: KeyPath) -> None:
        refers = {}
        for name, of_kind in (("wood", "woods"), ("set_", "sets"), ("instrument", "instruments"),
                              ("board", "boards")):  # fmt: skip
            reference = getattr(row, name, None)
            if reference is not None and kind != "woods":
                refers[name] = self._find(of_kind, reference, (*key, name.rstrip("_")))
        self._must_be_whole(kind, row, key)
        entry = self._same(kind, row, refers, key)
        if entry is None:
            entry = Entry(kind, _name(row, refers))
            self.of[kind].append(entry)
        if entry.row is not None:
            raise self.refuse(
                (*key, "name"), f"{KINDS[kind]} '{entry.name}' a second time", "each of them once",
                "take one of the two tables out, or give it another name",
            )  # fmt: skip
        entry.row, entry.key, entry.refers = row, key, refers
        entry.name = _name(row, refers) or entry.name
        if kind in ("instruments", "sides") and entry.record is None:
            wanted = "model" if kind == "instruments" else "hand"
            if getattr(row, wanted) is None:
                raise self.refuse(
                    (*key, wanted), f"a new {KINDS[kind]} without {wanted}", f"its {wanted}",
                    f'add {wanted} = "..."',
                )  # fmt: skip

    def _must_be_whole(self, kind: str, row: Any, key: KeyPath) -> None:
        if kind == "woods" and row.like is not None:
            _listed(row.like, self, (*key, "like"))

    def _same(self, kind: str, row: Any, refers: dict[str, Entry], key: KeyPath) -> Entry | None:
        """The record that a row speaks of; None for a new one."""
        entries = self.of[kind]
        if row.number is not None:
            for entry in entries:
                if entry.record is not None and entry.record.id == row.number:
                    return entry
            raise self._unknown(kind, row.number, (*key, "number"))
        found = [one for one in entries if one.name.casefold() == _name(row, refers).casefold()]
        owner = OWNERS.get(kind)
        if owner is not None and owner[0] in refers:
            found = [one for one in found if _owned(one, owner, refers[owner[0]])]
        if len(found) > 1:
            raise self._several(found, (*key, "name"))
        return found[0] if found else None

    def _find(self, kind: str, reference: int | str, key: KeyPath) -> Entry:
        """What a row refers to, by number or name."""
        entries = self.of[kind]
        if isinstance(reference, int):
            for entry in entries:
                if entry.record is not None and entry.record.id == reference:
                    return entry
            raise self._unknown(kind, reference, key)
        found = [one for one in entries if one.name.casefold() == reference.casefold()]
        if len(found) > 1:
            raise self._several(found, key)
        if found:
            return found[0]
        if kind == "woods":
            # A wood of the list needs no table of its own.
            entry = Entry(kind, _listed(reference, self, key), key=key)
            entries.append(entry)
            return entry
        raise self._unknown(kind, reference, key)

    def _unknown(self, kind: str, reference: int | str, key: KeyPath) -> DesignError:
        one, names = KINDS[kind], [entry.name for entry in self.of[kind]]
        if isinstance(reference, int):
            return self.refuse(key, f"no {one} {reference} in the journal", "one that is kept",
                               f"look at `rimwright kept {kind}`")  # fmt: skip
        near = difflib.get_close_matches(reference, names, n=1, cutoff=0.6)
        return self.refuse(
            key, f"no {one} '{reference:.40}'", f"a {one} of this file or one that is kept",
            f"did you mean '{near[0]}'?" if near else f"add it as [[{kind}]], before or after",
        )  # fmt: skip

    def _several(self, found: Sequence[Entry], key: KeyPath) -> DesignError:
        numbers = ", ".join(str(one.id) if one.id else "a new one" for one in found)
        return self.refuse(
            key, f"{len(found)} of the name '{found[0].name}': {numbers}", "one of them",
            "say its number instead of its name",
        )  # fmt: skip

    def _must_mate(self, side: Entry, mate: Entry) -> None:
        key = (*side.key, "mate")
        if mate is side or _hand(mate) == _hand(side):
            raise self.refuse(
                key, f"'{mate.name}', a {_hand(mate)} side too", "one bass and one treble side",
                "look at the hands",
            )  # fmt: skip
        other = mate.record.mate_id if mate.record is not None else None
        if other is not None and other != side.id:
            raise self.refuse(
                key, f"'{mate.name}', which has another mate (side {other})", "a side without one",
                f"give side {other} another mate first",
            )  # fmt: skip


def _name(row: Any, refers: dict[str, Entry]) -> str:
    """A row's name; a side's may follow from its instrument and hand."""
    if row.name is None and "instrument" in refers and row.hand is not None:
        piece = " return" if row.piece == "return" else ""
        return f"{refers['instrument'].name} {row.hand}{piece}"
    return row.name or ""


def _owned(entry: Entry, owner: tuple[str, str, str], by: Entry) -> bool:
    key, _, column = owner
    if entry.record is not None:
        return bool(by.id is not None and getattr(entry.record, column) == by.id)
    return entry.refers.get(key) is by


def _hand(entry: Entry) -> str:
    said = entry.row.hand if entry.row is not None else None
    return str(said or (entry.record.hand if entry.record is not None else ""))


def _listed(name: str, entries: Entries, key: KeyPath) -> str:
    from rimwright.wood.catalogue import find

    try:
        return str(find(name, {}).name)
    except UnknownNameError as error:
        raise entries.refuse(key, error.found, f"{error.expected}, or a [[woods]] of this file",
                             error.next_step) from error  # fmt: skip
