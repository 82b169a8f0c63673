"""Runs that are on: begun, looked at, told what to do, and given readings."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Depends, Path, Query, Request
from fastapi.concurrency import run_in_threadpool

from rimwright.errors import AccessError, RunError
from rimwright.web import api_models as models
from rimwright.web.access import Caller, refused
from rimwright.web.beginning import begin_from
from rimwright.web.callers import bearer
from rimwright.web.feed import row
from rimwright.web.refusals import RESPONSES
from rimwright.web.shop import Shop, caller_in, must_be_kept, shop_of

router = APIRouter(prefix="/api", responses=RESPONSES)
InShop = Annotated[Shop, Depends(shop_of)]
From = Annotated[Caller, Depends(caller_in)]
#: Most samples in one answer.
MOST_SAMPLES = 5000
_READINGS = {"content": {
    "application/json": {"schema": {}}, "text/plain": {"schema": {"type": "string"}},
}}  # fmt: skip


@router.post("/runs")
def begin(body: models.Begin, shop: InShop, caller: From) -> models.Begun:
    """Begin a run of one piece of side."""
    return models.Begun(run=begin_from(body, shop, caller))


@router.get("/runs/{run}")
def view(run: models.Number, shop: InShop) -> dict[str, Any]:
    """A run as the live page shows it."""
    return shop.bench.view(run)


@router.get("/runs/{run}/samples")
def samples(
    run: models.Number, shop: InShop, after: Annotated[int, Query(ge=0, le=2**31 - 1)] = 0
) -> models.Samples:
    """Samples of a run, after one that was had already; of a run that is over too."""
    found: list[Any]
    if run in shop.bench.runs():
        found = [row(one) for one in shop.bench.samples_after(run, after)[: MOST_SAMPLES + 1]]
    else:
        from rimwright.journal.runs import samples_after

        must_be_kept(shop, "runs", run)
        found = [
            [one.seq, one.at_ms / 1e3, one.probe, one.celsius, one.fault]
            for one in samples_after(shop.journal, run, after, MOST_SAMPLES + 1)
        ]
    return models.Samples(samples=found[:MOST_SAMPLES], more=len(found) > MOST_SAMPLES)


@router.post("/runs/{run}/commands")
def command(run: models.Number, body: models.Command, shop: InShop, caller: From) -> models.Done:
    """Do what a person asks of a run; the same key again acts once."""
    from rimwright.live.commands import Command

    try:
        shop.bench.view_version(run)
    except RunError as error:
        raise refused(404, error.found, error.expected, error.next_step) from error
    said = body.model_dump(exclude={"key", "kind", "visit", "text"}, exclude_defaults=True)
    if body.text:
        said["words"] = body.text
    if body.outcome is not None:
        said["outcome"] = body.outcome.model_dump()
    done = shop.bench.command(
        run,
        Command(key=body.key, kind=body.kind, visit=body.visit, device=caller.name, data=said),
    )
    return models.Done(again=done.again, words=done.words)


@router.post(
    "/probes/{name}/readings", status_code=204,
    openapi_extra={"requestBody": {"required": True, **_READINGS}, "security": [{"probe": []}]},
)  # fmt: skip
async def readings(
    name: Annotated[str, Path(min_length=1, max_length=60)], request: Request, shop: InShop,
    caller: From,
) -> None:  # fmt: skip
    """Readings that a probe posts, with its token as `Authorization: Bearer`."""
    body, token = await request.body(), bearer(request.scope)
    try:
        await run_in_threadpool(shop.bench.push, name, token, body)
    except AccessError:
        shop.strange_probes.take(caller.peer)
        raise
