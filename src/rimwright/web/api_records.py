"""Records: listed, read, and what people add to them afterwards."""

from __future__ import annotations

import time
from dataclasses import asdict
from pathlib import Path
from typing import Annotated, Any, Literal

from fastapi import APIRouter, Depends, Query, Request, Response
from pydantic import Field

from rimwright.errors import DesignError
from rimwright.web import api_models as models
from rimwright.web.access import Caller, refused
from rimwright.web.refusals import RESPONSES
from rimwright.web.shop import Shop, caller_in, must_be_kept, shop_of

router = APIRouter(prefix="/api", responses=RESPONSES)
InShop = Annotated[Shop, Depends(shop_of)]
From = Annotated[Caller, Depends(caller_in)]
#: Kept with a run, but large: each has an address of its own.
_LARGE = ("plan_document", "design_text")
_BYTES = {"type": "string", "format": "binary"}


class Filters(models.Taken):
    """Which records; what is left out does not matter."""

    model: models.Name | None = None
    hand: models.Hand | None = None
    state: Literal["open", "ended", "abandoned"] | None = None
    outcome: models.OutcomeKind | Literal["none"] | None = None
    alarm: models.Name | None = None
    since: float | None = None
    until: float | None = None
    simulated: bool | None = None
    limit: int = Field(200, ge=1, le=2000)


@router.get("/records")
def records(shop: InShop, filters: Annotated[Filters, Query()]) -> list[models.RecordLine]:
    """Runs, newest first."""
    from rimwright.journal.runs import RunFilter, run_lines

    lines = run_lines(shop.journal, RunFilter(**filters.model_dump()))
    return [models.RecordLine.model_validate(line) for line in lines]


@router.get("/records/{run}")
def record(run: models.Number, shop: InShop, caller: From) -> dict[str, Any]:
    """One run with its outcome, notes, alarms and events; without samples, plan and design."""
    from rimwright.journal.runs import run_record

    found = asdict(run_record(shop.journal, run))
    if not caller.here:
        # How probes are reached is nobody's business on the network.
        del found["probe_settings"]
    return {key: value for key, value in found.items() if key not in _LARGE}


@router.get("/records/{run}/plan")
def plan(run: models.Number, shop: InShop) -> dict[str, Any]:
    """The plan as it was when the run was begun."""
    from rimwright.journal.runs import run_record

    document = run_record(shop.journal, run).plan_document
    if document is None:
        raise refused(
            404, f"no plan kept with run {run}", "one begun from a plan", "see its record"
        )
    return dict(document)


@router.post("/records/{run}/outcomes")
def outcomes(run: models.Number, body: models.Outcome, shop: InShop) -> models.Kept:
    """Say how a side came off the form."""
    from rimwright.journal.keeping import Outcome, record_outcome

    must_be_kept(shop, "runs", run)
    outcome = Outcome(**body.model_dump(), wall_s=time.time())
    return models.Kept(id=record_outcome(shop.journal, run, outcome))


@router.post("/records/{run}/outcomes/{number}/taken-back")
def taken_back(
    run: models.Number, number: models.Number, body: models.TakenBack, shop: InShop
) -> models.Kept:
    """Take an outcome back; a note, whose number it answers, keeps what had been said."""
    from rimwright.desk.saying import take_back

    must_be_kept(shop, "runs", run)
    must_be_kept(shop, "outcomes", number)
    return models.Kept(id=take_back(shop.journal, run, number, body.words))


@router.post("/kept")
def keep(body: models.Shelf, shop: InShop) -> list[models.ShelfLine]:
    """Keep instruments, woods, boards and sides as a file says them; what it leaves out stays."""
    from rimwright.desk.keeping import keep_text

    try:
        # The name stands in messages only: nothing is opened by it.
        lines = keep_text(shop.journal, body.text, Path(body.name or "shelf.toml"))
    except DesignError as error:
        # The line of the file is in front of what was found: the answer has no place of its own.
        found = f"{error.where}: {error.found}" if error.where else error.found
        raise refused(400, found, error.expected, error.next_step) from error
    return [models.ShelfLine.model_validate(line) for line in lines]


@router.post("/kept/{subject}/{number}/notes")
def notes_of_kept(
    subject: Literal["side", "instrument", "board"], number: models.Number, body: models.Note,
    shop: InShop,
) -> models.Kept:  # fmt: skip
    """Write a note on a side, an instrument or a board."""
    from rimwright.journal.keeping import add_note

    must_be_kept(shop, f"{subject}s", number)
    return models.Kept(id=add_note(shop.journal, subject, number, body.words, time.time()))


@router.post("/records/{run}/notes")
def notes(run: models.Number, body: models.Note, shop: InShop) -> models.Kept:
    """Write a note on a run."""
    from rimwright.journal.keeping import add_note

    must_be_kept(shop, "runs", run)
    return models.Kept(id=add_note(shop.journal, "run", run, body.words, time.time()))


@router.post(
    "/records/{run}/photographs",
    openapi_extra={"requestBody": {"required": True, "content": {
        "image/jpeg": {"schema": _BYTES}, "image/png": {"schema": _BYTES},
    }}},
)  # fmt: skip
async def keep_photograph(
    run: models.Number, request: Request, shop: InShop, words: models.Line = ""
) -> models.Kept:
    """Keep a photograph, sent as it is: a JPEG or PNG of at most 12 MB and 50 million pixels."""
    from fastapi.concurrency import run_in_threadpool

    return await run_in_threadpool(_keep_photograph, shop, run, await request.body(), words)


def _keep_photograph(shop: Shop, run: int, data: bytes, words: str) -> models.Kept:
    from rimwright.journal.photographs import keep_photograph

    must_be_kept(shop, "runs", run)
    return models.Kept(id=keep_photograph(shop.journal, run, data, words, time.time()))


@router.get(
    "/photographs/{number}", response_class=Response,
    responses={200: {"description": "The photograph.", "content": {
        "image/jpeg": {"schema": _BYTES},
    }}},
)  # fmt: skip
def photograph(number: models.Number, shop: InShop) -> Response:
    """A photograph as it was kept."""
    from rimwright.journal.photographs import photograph

    found = photograph(shop.journal, number)
    return Response(found.data, media_type=found.media_type)
