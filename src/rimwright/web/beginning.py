"""A run begun from a page: which probes it may name, and a plan that may be anything."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from rimwright.errors import RunError
from rimwright.web.access import Caller, refused
from rimwright.web.api_models import Begin
from rimwright.web.shop import Shop, must_be_kept

if TYPE_CHECKING:
    from rimwright.equipment.probes import ProbeSettings

#: Kinds that open no file, no device and no link of this computer.
_HARMLESS = frozenset({"model", "http"})
_DEEPEST = 40


def begin_from(body: Begin, shop: Shop, caller: Caller) -> int:
    """Begin a run; its number.

    Raises
    ------
    RimwrightError
        If the plan, a probe or the bench refuses.
    """
    from rimwright.desk.beginning import to_begin
    from rimwright.desk.run_probes import distinct

    settings = distinct(
        *(_probe(text, shop, caller) for text in body.probes), *_settings(body, caller)
    )
    must_be_plain(body.document)
    if body.side_id is not None:
        must_be_kept(shop, "sides", body.side_id)
    try:
        new = to_begin(
            shop.journal, body.document, hand=body.hand, piece=body.piece, settings=settings,
            speed=body.speed,
        )  # fmt: skip
    except RunError as error:
        # Not a run that cannot take it now, but a plan that is none.
        raise refused(400, error.found, error.expected, error.next_step) from error
    return shop.bench.begin(
        replace(new, design_text=body.design_text, side_id=body.side_id, device=caller.name)
    )


def _settings(body: Begin, caller: Caller) -> tuple[ProbeSettings, ...]:
    """Probes as the command line has read them; a page may not open devices of this computer."""
    from rimwright.equipment.probes import probe_from

    if body.settings and not caller.by_token:
        raise refused(403, "settings of probes from a page", "names of the shop's probes",
                      "name it in the shop file, or begin the run on the command line")  # fmt: skip
    return tuple(probe_from(one) for one in body.settings)


def _probe(text: str, shop: Shop, caller: Caller) -> ProbeSettings:
    """A probe by its name in the shop, or as the command line writes it."""
    from rimwright.equipment.probes import parse_probe

    known = {one.name: one for one in shop.access.probes}
    if text in known:
        return known[text]
    probe = parse_probe(text)
    if probe.kind not in _HARMLESS and not caller.by_token:
        names = ", ".join(known) or "none is named"
        raise refused(
            403, f"a {probe.kind} probe that a page names", f"one of the shop's ({names}), or a "
            "simulated one", "name it in the shop file, or begin the run on the command line",
        )  # fmt: skip
    return probe


def must_be_plain(document: dict[str, Any]) -> None:
    """Refuse what JSON takes and a store does not: NaN, half letters, NUL, endless nesting.

    Raises
    ------
    RefusedError
        400.
    """
    try:
        text = json.dumps(document, allow_nan=False, ensure_ascii=False)
        text.encode()
    except (ValueError, RecursionError) as error:
        raise refused(400, "a plan that is no plain JSON", "plan.json as it was written",
                      "write it anew with `rimwright plan`") from error  # fmt: skip
    if "\\u0000" in text or _depth(document) > _DEEPEST:
        raise refused(400, "a plan with what no plan holds", "plan.json as it was written",
                      "write it anew with `rimwright plan`")  # fmt: skip


def _depth(value: Any) -> int:
    deepest, level = 0, [value]
    while level and deepest <= _DEEPEST:
        deepest += 1
        level = [
            inner
            for one in level
            if isinstance(one, dict | list)
            for inner in (one.values() if isinstance(one, dict) else one)
        ]
    return deepest
