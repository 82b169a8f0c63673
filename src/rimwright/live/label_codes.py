"""The codes on printed labels, read strictly, against the run's plan."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

from rimwright.live.run_plan import RunPlan

LabelKind = Literal["form", "side", "slats"]
_LONGEST = 400
#: As the labels are written: every field, in this order, nothing before or after. A model's
#: name may hold anything; what follows it is fixed, so that it cannot pass for a field.
_CODE = re.compile(
    r"rimwright:label;(?P<plan>[A-Z0-9]{1,8}-[0-9A-F]{6});model=(?P<model>.+)"
    r";kind=(?P<kind>form|side|slats);side=(?P<hand>bass|treble)"
    r";piece=(?P<piece>main|return);player=(?P<player>right|left)"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelCode:
    """What a label says."""

    plan_code: str
    model: str
    kind: LabelKind
    hand: str
    piece: str
    player: str

    @property
    def side_words(self) -> str:
        """ "treble side", "treble return"."""
        return _side(self.hand, self.piece)


def read_code(text: str) -> LabelCode | None:
    """A label's code in its parts; None if it is no code of ours.

    Examples
    --------
    >>> read_code("rimwright:label;WREN-721560;model=Wren;kind=form;side=treble;piece=main;"
    ...           "player=right").side_words
    'treble side'
    >>> read_code("rimwright:label;WREN-721560;model=Wren;kind=form;side=treble") is None
    True
    """
    found = _CODE.fullmatch(text) if len(text) <= _LONGEST else None
    if found is None:
        return None
    kind: LabelKind = (
        "form" if found["kind"] == "form" else "side" if found["kind"] == "side" else "slats"
    )
    return LabelCode(
        plan_code=found["plan"],
        model=found["model"],
        kind=kind,
        hand=found["hand"],
        piece=found["piece"],
        player=found["player"],
    )


def check_code(plan: RunPlan, text: str, kind: LabelKind) -> str | None:
    """What is wrong with a scanned code, in one sentence; None where it is right.

    Parameters
    ----------
    plan : RunPlan
        What the run follows.
    text : str
        As it was scanned.
    kind : str
        Which label is asked: "form", "side" or "slats".

    Examples
    --------
    A code of another kind, and one that is none, are told too.

    >>> from rimwright.live.label_codes import check_code
    >>> check_code(None, "4006381333931", "form")
    'That code is on none of the printed labels: scan the label of the form.'
    """
    code = read_code(text)
    thing = _THINGS[kind]
    if code is None:
        return f"That code is on none of the printed labels: scan the label of {thing}."
    if code.kind != kind:
        return f"That is the label of {_THINGS[code.kind]}: scan that of {thing}."
    return _against(plan, code)


def _against(plan: RunPlan, code: LabelCode) -> str | None:
    """What of a label is not that of the run, the gravest first."""
    thing = _THINGS[code.kind]
    wrong = f"Wrong {code.kind}: {thing} is"
    if code.model != plan.model:
        return f"{wrong} of {code.model}, this run is of {plan.model}."
    if code.player != plan.player:
        return (
            f"{wrong} of a {code.player}-handed instrument, this run is of a "
            f"{plan.player}-handed one."
        )
    if (code.hand, code.piece) != (plan.hand, plan.piece):
        return f"{wrong} for the {code.side_words}, in this run the {plan.side_words} is bent."
    if code.plan_code != plan.plan_code:
        return (
            f"Wrong plan: {thing} is of plan {code.plan_code}, this run follows {plan.plan_code}."
        )
    return None


_THINGS: dict[LabelKind, str] = {"form": "the form", "side": "the side", "slats": "the slats"}


def _side(hand: str, piece: str) -> str:
    return f"{hand} {'return' if piece == 'return' else 'side'}"
