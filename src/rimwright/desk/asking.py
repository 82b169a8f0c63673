"""Asking a relation: the maker's words in, a value with its range and source out."""

from __future__ import annotations

import textwrap
import warnings
from collections.abc import Sequence
from dataclasses import dataclass
from difflib import get_close_matches

from rimwright.desk.relation import Relation
from rimwright.desk.relations import RELATIONS
from rimwright.desk.words import width
from rimwright.errors import DesignError, UnknownNameError
from rimwright.sources import source
from rimwright.units import parse
from rimwright.wood.validity import ExtrapolationWarning


@dataclass(frozen=True, kw_only=True)
class Answer:
    """What a relation answers."""

    relation: Relation
    #: By key, in SI; defaults included.
    inputs: dict[str, float]
    value: float
    #: None where no range is stated.
    low: float | None
    high: float | None
    #: Where an input lies outside what the source gives.
    warnings: tuple[str, ...]


def find_relation(name: str) -> Relation:
    """The relation of that name.

    Raises
    ------
    UnknownNameError
        With the closest names, if there is none.
    """
    if name in RELATIONS:
        return RELATIONS[name]
    near = get_close_matches(name, RELATIONS, n=3, cutoff=0.5)
    close = f"one of the list, perhaps {' or '.join(near)}" if near else "one of the list"
    raise UnknownNameError(f"no relation named '{name}'", close, "run `rimwright relation`")


def ask(name: str, given: Sequence[str]) -> Answer:
    """Answer a relation for inputs such as ``temperature=70degF``.

    Raises
    ------
    UnknownNameError
        If there is no such relation, or it asks for no such input.
    DesignError
        If an input is missing, given twice, or not of the form name=value.
    UnitError, OutsideValidityError
        If a value cannot be read, or no answer can be given for it.

    Examples
    --------
    >>> answer = ask("emc", ["temperature=70degF", "humidity=45%"])
    >>> round(answer.value, 3), answer.relation.unit
    (0.085, 'fraction')
    """
    relation = find_relation(name)
    texts = _texts(relation, given)
    inputs: dict[str, float] = {}
    told = []
    for asked in relation.inputs:
        if asked.name in texts:
            where = f"{relation.name}, {asked.name}"
            number = parse(texts[asked.name], asked.kind, where=where)
        elif asked.default is not None:
            number = asked.default
        else:
            raise DesignError(
                f"no {asked.name}",
                ", ".join(f"{each.name}=..." for each in relation.inputs),
                f"add {asked.example}",
                where=relation.name,
            )
        inputs[asked.key] = number
        if not asked.low <= number <= asked.high:
            told.append(
                f"{asked.name} {number:g} lies outside {asked.range_words}, where the source "
                "holds: the answer is assumed"
            )
    with warnings.catch_warnings():
        # Said above, in the maker's words.
        warnings.simplefilter("ignore", ExtrapolationWarning)
        value = float(relation.formula(**inputs))
        low, high = relation.spread(**inputs) if relation.spread else (None, None)
    return Answer(
        relation=relation,
        inputs=inputs,
        value=value,
        low=None if low is None else float(low),
        high=None if high is None else float(high),
        warnings=tuple(told),
    )


def _texts(relation: Relation, given: Sequence[str]) -> dict[str, str]:
    """The inputs' texts by name."""
    known = [each.name for each in relation.inputs]
    texts: dict[str, str] = {}
    for text in given:
        name, equals, value = (part.strip() for part in text.partition("="))
        if not (name and equals and value):
            raise DesignError(
                f"'{text}'", "an input such as temperature=70degF", "write name=value",
                where=relation.name,
            )  # fmt: skip
        if name not in known:
            asks = ", ".join(known) or "nothing"
            raise UnknownNameError(
                f"input '{name}'", f"{relation.name} asks for {asks}", "take it out or rename it"
            )
        if name in texts:
            raise DesignError(f"{name} given twice", "it once", "take one out", where=relation.name)
        texts[name] = value
    return texts


def rests_on(relation: Relation) -> str:
    """Where a relation comes from, in words."""
    if not relation.source:
        return "no source"
    found = source(relation.source)
    return f"{found.title} ({found.reached})"


def relation_dict(relation: Relation) -> dict[str, object]:
    """A relation as plain data."""
    return {
        "relation": relation.name,
        "meaning": relation.meaning,
        "unit": relation.unit,
        "valid": {each.key: {"low": each.low, "high": each.high} for each in relation.inputs},
        "source": rests_on(relation),
        "provenance": str(relation.provenance),
        "note": relation.note,
    }


def answer_dict(answer: Answer) -> dict[str, object]:
    """An answer as plain data; the units of inputs are in their names."""
    data: dict[str, object] = {
        "relation": answer.relation.name,
        "value": answer.value,
        "unit": answer.relation.unit,
    }
    if answer.low is not None:
        data["range"] = {"low": answer.low, "high": answer.high}
    data |= {"inputs": answer.inputs} | relation_dict(answer.relation)
    if answer.warnings:
        data["warnings"] = list(answer.warnings)
    return data


def _entry(relation: Relation) -> list[str]:
    asks = " ".join(each.example for each in relation.inputs if each.default is None)
    valid = "; ".join(f"{each.name} {each.range_words}" for each in relation.inputs)
    basis = f"{relation.provenance}; {rests_on(relation)}"
    texts = [relation.meaning, f"Holds for {valid}." if valid else "", f"From: {basis}."]
    texts.append(f"{relation.note[:1].upper()}{relation.note[1:]}." if relation.note else "")
    lines = [f"{relation.name} {asks}".rstrip() + f"   [{relation.unit}]"]
    for text in filter(None, texts):
        lines += textwrap.wrap(text, width(), initial_indent="  ", subsequent_indent="    ")
    return lines


def relations_text() -> str:
    """Every relation with its inputs, where it holds and what it rests on."""
    entries = ["\n".join(_entry(relation)) for relation in RELATIONS.values()]
    return "\n\n".join(
        [
            *entries,
            "Ask one: rimwright relation emc temperature=70degF humidity=45%  (--json for data)",
        ]
    )


def relation_text(name: str) -> str:
    """One relation, as in the list."""
    return "\n".join(_entry(find_relation(name)))


def answer_text(answer: Answer) -> str:
    """An answer with its range, what it was asked and what it rests on."""
    unit = "" if answer.relation.unit == "1" else f" {answer.relation.unit}"
    lines = [f"{answer.relation.name} = {answer.value:.4g}{unit}"]
    if answer.low is not None:
        lines[0] += f"   (range {answer.low:.4g} to {answer.high:.4g})"
    asked = ", ".join(
        f"{each.name} {answer.inputs[each.key]:.5g} {each.unit}".rstrip()
        for each in answer.relation.inputs
    )
    lines += [f"  for {asked}"] if asked else []
    lines += [f"  caution: {line}" for line in answer.warnings]
    return "\n".join([*lines, *_entry(answer.relation)[1:]])
