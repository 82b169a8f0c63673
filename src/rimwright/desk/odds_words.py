"""The odds in words: a line for the plan, a page for the terminal."""

from __future__ import annotations

from typing import Literal

from rimwright.bending.odds_results import Chance, Odds
from rimwright.desk.words import items, table
from rimwright.units import length_text

#: A change that spares fewer cracks than this is not named: half of one in a hundred.
_WORTH_IT = 0.005


def chance_text(chance: Chance) -> str:
    """A chance in words.

    Examples
    --------
    >>> chance_text(Chance(middle=0.07, confidence_low=0.06, confidence_high=0.08,
    ...                    low=0.03, high=0.12))
    '7 in 100 (3 to 12)'
    """
    return f"{_hundred(chance.middle)} ({_bare(chance.low)} to {_bare(chance.high)})"


def _bare(share: float) -> str:
    return "under 1" if 0.0 < share < 0.01 else f"{100.0 * share:.0f}"


def _hundred(share: float) -> str:
    return "less than 1 in 100" if share < 0.005 else f"{100.0 * share:.0f} in 100"


def _fewer(effect: float) -> str:
    """A change for the better: "about 5 in 100 fewer"."""
    fewer = -100.0 * effect
    return f"about {fewer:.0f} in 100 fewer" if fewer >= 1.5 else "about 1 in 100 fewer"


def odds_line(odds: Odds) -> str:
    """The odds and the one change that helps most, in a line for the plan's summary."""
    line = f"Odds: chance of a crack {chance_text(odds.chance)}."
    best = odds.best
    if best is not None and best.effect < -_WORTH_IT:
        # The effect, found on the same draws; the two chances apart differ by their noise too.
        line += f" What helps most: {best.words}, {_fewer(best.effect)}."
    return line


def odds_text(odds: Odds, show: Literal["metric", "inch"]) -> str:
    """All of it for the terminal."""
    lines = [
        f"{odds.name} in {odds.wood}: chance of a crack {chance_text(odds.chance)}",
        f"  from {odds.samples} sides bent in the computer; {odds.counted.cracked} of them cracked."
        " The range is what is not known of the wood; the middle itself is sure to "
        f"{100 * odds.chance.confidence_low:.1f} to {100 * odds.chance.confidence_high:.1f}.",
        "",
        "Where",
    ]
    for piece in odds.pieces:
        name = f"{piece.hand} {'return' if piece.piece == 'return' else 'side'}"
        where = "; ".join(f"{one.words} ({100 * one.share:.0f} %)" for one in piece.places)
        lines += items([f"{name}: {chance_text(piece.chance)}" + (f", {where}" if where else "")])
    lines += ["", "How far it springs open off the mould, nine in ten between least and most"]
    rows = [("Place", "least, 1 in 20", "middle", "most, 1 in 20")]
    rows += [
        (
            f"{piece.hand} {place.name}",
            length_text(place.low_m, show),
            length_text(place.middle_m, show),
            length_text(place.high_m, show),
        )
        for piece in odds.pieces
        for place in piece.springback
    ]
    lines += [*table(rows), ""]
    if odds.shares:
        lines += ["What matters most, of all that varies"]
        told = [("Input", "by itself", "with others", "95 % sure")]
        told += [
            (
                one.words,
                f"{100 * max(one.first, 0.0):.0f} %",
                f"{100 * one.total:.0f} %",
                f"{100 * max(one.total_low, 0.0):.0f} to {100 * one.total_high:.0f} %",
            )
            for one in odds.shares
        ]
        lines += [*table(told), ""]
    if odds.changes:
        lines += ["What to change, one thing at a time, what helps most first"]
        rows = [("Change", "chance of a crack", "less or more", "range")]
        rows += [
            (
                one.words,
                _hundred(one.chance),
                f"{100 * one.effect:+.1f}",
                f"{100 * one.low:+.1f} to {100 * one.high:+.1f}",
            )
            for one in odds.changes
        ]
        lines += table(rows)
    return "\n".join(lines)
