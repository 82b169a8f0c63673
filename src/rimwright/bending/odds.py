"""The odds of a crack: many sides bent in the computer, and what the count of them says."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from rimwright.bending.odds_blocks import SHARED, Kind, Mapper, Outcome, Task, in_line
from rimwright.bending.odds_case import OddsCase
from rimwright.bending.odds_indices import mean_interval, variance_shares, wilson
from rimwright.bending.odds_inputs import (
    HUMIDITY_SPREAD,
    RUN_OUT_SPREAD_RAD,
    SOFTENING,
    THICKNESS_SPREAD_M,
    VARIES,
)
from rimwright.bending.odds_places import crack_places, gaps_of
from rimwright.bending.odds_results import (
    Chance,
    Change,
    Counted,
    CrackPlace,
    InputShare,
    Odds,
    PieceOdds,
    SpringBack,
)
from rimwright.curves.piece import FloatArray
from rimwright.instrument.outline import Outline
from rimwright.instrument.stations import place_in_words

#: Blocks of changes and of shares, at most: their answers settle sooner than the odds.
_MOST_CHANGES, _MOST_SHARES = 128, 48


def tasks_of(case: int, blocks: int, *, shares: bool = True, changes: bool = True) -> list[Task]:
    """Every block of one case, in the order in which they are summed."""
    kinds: list[tuple[Kind, int]] = [("sides", blocks)]
    if changes:
        kinds.append(("changes", min(blocks, _MOST_CHANGES)))
    if shares:
        kinds.append(("shares", min(blocks, _MOST_SHARES)))
    return [Task(case, kind, block) for kind, count in kinds for block in range(count)]


def odds_of(
    cases: Sequence[tuple[OddsCase, Outline, str]],
    *,
    mapper: Mapper = in_line,
    shares: bool = True,
    changes: bool = True,
) -> tuple[Odds, ...]:
    """The odds of several instruments, all their blocks handed to whoever computes them.

    Parameters
    ----------
    cases : sequence of (OddsCase, Outline, str)
        What to bend, the outline its places are named on, and the wood's name.
    mapper : callable, optional
        Runs the tasks; here and one by one unless given. The answer is the same to the last bit
        whatever it is, since a block depends on its number alone and sums go by that number.
    shares, changes : bool
        Whether to ask which input matters most, and what to change.

    Returns
    -------
    tuple of Odds
        In the order of the cases.
    """
    tasks = [
        task
        for i, (case, _, _) in enumerate(cases)
        for task in tasks_of(i, case.blocks, shares=shares, changes=changes)
    ]
    found: dict[tuple[int, Kind], list[Outcome]] = {}
    for outcome in mapper([case for case, _, _ in cases], tasks):
        found.setdefault((outcome.task.case, outcome.task.kind), []).append(outcome)
    return tuple(
        _odds(
            case,
            outline,
            wood,
            sides=found[i, "sides"],
            changes=found.get((i, "changes"), []),
            shares=found.get((i, "shares"), []),
        )
        for i, (case, outline, wood) in enumerate(cases)
    )


def _stack(outcomes: list[Outcome], name: str) -> FloatArray:
    return np.array([outcome.arrays[name] for outcome in outcomes])


def _chance(blocks: FloatArray) -> Chance:
    """From the chances of sides, shape (blocks, sides)."""
    each = blocks.mean(axis=1)
    mean = mean_interval(each)
    low, high = np.quantile(each, [0.05, 0.95])
    return Chance(
        middle=mean.value,
        confidence_low=max(mean.low, 0.0),
        confidence_high=min(mean.high, 1.0),
        low=float(low),
        high=float(high),
    )


def _odds(
    case: OddsCase,
    outline: Outline,
    wood: str,
    *,
    sides: list[Outcome],
    changes: list[Outcome],
    shares: list[Outcome],
) -> Odds:
    """From the blocks of one case, in their order."""
    cracked = int(_stack(sides, "cracked").sum())
    of = case.blocks * case.size
    counted = wilson(cracked, of)
    return Odds(
        name=case.name,
        wood=wood,
        chance=_chance(_stack(sides, "chance")),
        counted=Counted(cracked=cracked, of=of, low=counted.low, high=counted.high),
        pieces=tuple(_piece(case, i, outline, sides) for i in range(len(case.pieces))),
        shares=_input_shares(shares),
        changes=_ranked(case, changes),
        samples=of,
        seed=case.seed,
        rests_on=_rests_on(case),
    )


def _piece(case: OddsCase, i: int, outline: Outline, sides: list[Outcome]) -> PieceOdds:
    piece = case.pieces[i]
    used = _stack(sides, f"used {i}").reshape(-1, piece.s.size)
    gaps = gaps_of(piece, _stack(sides, f"released {i}").reshape(-1, piece.s.size))
    chances = _stack(sides, f"chance {i}")
    half = outline.bass if piece.rim.hand == "bass" else outline.treble
    low, middle, high = np.quantile(gaps, [0.05, 0.5, 0.95], axis=0)
    return PieceOdds(
        hand=piece.rim.hand,
        piece=piece.rim.name,
        chance=_chance(chances),
        places=tuple(
            CrackPlace(words=place_in_words(half, piece.rim, s), s_outer_m=s, share=share)
            for s, share in crack_places(piece.s, used, chances.ravel())
        ),
        springback=tuple(
            SpringBack(
                name=name, s_outer_m=s, low_m=float(low[k]), middle_m=float(middle[k]),
                high_m=float(high[k]),
            )
            for k, (name, s) in enumerate(piece.places)
        ),
        s_outer_m=piece.s,
        used=np.quantile(used, [0.05, 0.5, 0.95], axis=0),
    )  # fmt: skip


def _input_shares(outcomes: list[Outcome]) -> tuple[InputShare, ...]:
    if not outcomes:
        return ()
    first, total = variance_shares(
        _stack(outcomes, "one"), _stack(outcomes, "other"), _stack(outcomes, "swapped")
    )
    words = {**VARIES, SOFTENING: "what is not known of this wood"}
    told = [
        InputShare(
            name=name, words=words[name],
            first=a.value, first_low=a.low, first_high=a.high,
            total=b.value, total_low=b.low, total_high=b.high,
        )
        for name, a, b in zip(SHARED, first, total, strict=True)
    ]  # fmt: skip
    return tuple(sorted(told, key=lambda one: -one.total))


def _ranked(case: OddsCase, outcomes: list[Outcome]) -> tuple[Change, ...]:
    if not outcomes:
        return ()
    each = _stack(outcomes, "chance").mean(axis=2)
    told = []
    for i, setting in enumerate(case.settings[1:], 1):
        effects = each[:, i] - each[:, 0]
        mean = mean_interval(effects)
        low, high = np.quantile(effects, [0.05, 0.95])
        told.append(
            Change(
                key=setting.way.key,
                words=setting.way.words,
                chance=float(each[:, i].mean()),
                effect=mean.value,
                confidence_low=mean.low,
                confidence_high=mean.high,
                low=float(low),
                high=float(high),
            )
        )
    return tuple(sorted(told, key=lambda one: one.effect))


def _rests_on(case: OddsCase) -> tuple[str, ...]:
    """What the odds rest on, in words."""
    fragile = case.fragility
    return (
        f"capacity: {fragile.note}; lognormal, spread {fragile.spread:.2f} from piece to piece"
        + (f", doubt about its class {fragile.doubt:.2f}" if fragile.doubt > 0.0 else ""),
        f"thickness holds to {1e3 * THICKNESS_SPREAD_M.middle:.2f} mm "
        f"({THICKNESS_SPREAD_M.provenance}: {THICKNESS_SPREAD_M.note})",
        f"grain runs out by {np.degrees(RUN_OUT_SPREAD_RAD.middle):.1f}° about what is stated "
        f"({RUN_OUT_SPREAD_RAD.provenance})",
        f"the wood's heat when the probe calls is sure to {case.heat_spread_k:.1f} K, one standard "
        "deviation: heat run's own range and the probe's tolerance",
        f"water on the faces by its range, the shop's humidity to {HUMIDITY_SPREAD.middle:.0%} "
        f"({HUMIDITY_SPREAD.provenance})",
        "both sides are taken to come from one board, so that they bear alike",
    )
