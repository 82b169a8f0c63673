"""Plots of the odds: utilisation along the sides, and what each single change does."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

import numpy as np

from rimwright.bending.odds_results import Odds, PieceOdds
from rimwright.sheets.charts import EMBER, INK, SECOND, SLATE, WALNUT, bare_figure, per_metre, png

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_ROW_IN = 0.34
#: A change that moves the odds by less than this is drawn at the zero line without a figure.
_NOTHING = 5e-5


def utilisation_plot(odds: Odds, show: Literal["metric", "inch"]) -> bytes:
    """How much of what it bears each side is asked, along it: nine in ten sides, and half."""
    pieces = odds.pieces
    figure, drawn = bare_figure(8.0, 1.0 + 2.3 * len(pieces), (1.0,) * len(pieces))
    per_m, unit = per_metre(show)
    top = 1.15 * max(100.0, *(100.0 * float(piece.used[2].max()) for piece in pieces))
    for axes, piece in zip(drawn, pieces, strict=True):
        _one_side(axes, piece, per_m, top)
        start = "tail seam" if piece.piece == "main" else "horn tip"
        axes.set_xlabel(f"along the outer line from the {start} [{unit}]", color=INK)
    figure.suptitle(
        f"{odds.name} in {odds.wood}: how much of what it bears, nine in ten of "
        f"{odds.samples} sides",
        fontsize=11, color=INK, x=0.01, ha="left",
    )  # fmt: skip
    return png(figure)


def _one_side(axes: Axes, piece: PieceOdds, per_m: float, top: float) -> None:
    s = per_m * piece.s_outer_m
    low, middle, high = 100.0 * piece.used
    axes.fill_between(s, low, high, color=WALNUT, alpha=0.22, lw=0)
    axes.plot(s, middle, color=WALNUT, lw=1.8)
    axes.axhline(100.0, color=EMBER, lw=1.0, ls=(0, (6, 3)))
    axes.text(float(s[0]), 102.0, " half the pieces break", fontsize=9, color=EMBER)
    if piece.places:
        place = piece.places[0]
        along = place.s_outer_m / float(piece.s_outer_m[-1])
        near = np.abs(piece.s_outer_m - place.s_outer_m) < 0.02
        axes.annotate(
            place.words, (per_m * place.s_outer_m, float(high[near].max())), xytext=(0, 5),
            textcoords="offset points", fontsize=9, color=INK,
            ha="left" if along < 0.4 else "right" if along > 0.6 else "center",
        )  # fmt: skip
    for value, word, aside in ((high, "1 in 20 above", 5), (middle, "half", -3)):
        axes.annotate(
            word, (float(s[-1]), float(value[-1])), xytext=(4, aside), fontsize=8.5,
            textcoords="offset points", color=SECOND, annotation_clip=False,
        )  # fmt: skip
    kind = "return" if piece.piece == "return" else "side"
    axes.set_title(f"{piece.hand} {kind}", loc="left", fontsize=10, color=INK)
    axes.set_ylabel("of what it bears [%]", color=INK)
    axes.set_xlim(float(s[0]), float(s[-1]))
    axes.set_ylim(0.0, top)


def changes_plot(odds: Odds) -> bytes:
    """What each single change does to the chance of a crack, what helps most on top."""
    changes = odds.changes
    figure, (axes,) = bare_figure(8.0, 1.4 + _ROW_IN * max(len(changes), 3))
    rows = np.arange(len(changes))[::-1]
    for row, change in zip(rows, changes, strict=True):
        low, effect, high = (100.0 * one for one in (change.low, change.effect, change.high))
        axes.barh(row, effect, height=0.5, color=WALNUT if effect < 0.0 else SLATE, alpha=0.75)
        axes.plot([low, high], [row, row], color=INK, lw=1.0, solid_capstyle="butt")
        for end in (low, high):
            axes.plot([end, end], [row - 0.14, row + 0.14], color=INK, lw=1.0)
        told = "0" if abs(change.effect) < _NOTHING else f"{effect:+.1f}".replace("-", "−")
        axes.annotate(
            told, (1.01, float(row)), xycoords=("axes fraction", "data"), va="center",
            fontsize=9.5, color=INK, annotation_clip=False,
        )  # fmt: skip
    axes.set_yticks(rows, [change.words for change in changes], color=INK, fontsize=9.5)
    axes.tick_params(axis="y", length=0)
    axes.axvline(0.0, color=INK, lw=0.9)
    axes.set_ylim(-0.7, len(changes) - 0.3)
    axes.margins(x=0.06)
    axes.set_xlabel("cracks in 100, fewer or more", color=INK, fontsize=9.5)
    figure.supxlabel(
        "bar: middle; line: nine in ten readings of what is not known of the wood",
        fontsize=9, color=SECOND, x=0.01, ha="left",
    )  # fmt: skip
    figure.suptitle(
        f"{odds.name} in {odds.wood}: one thing changed, from "
        f"{100.0 * odds.chance.middle:.0f} cracks in 100 as it is",
        fontsize=11, color=INK, x=0.01, ha="left",
    )  # fmt: skip
    return png(figure)
