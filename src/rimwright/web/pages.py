"""Pages and what they are made of, read once at the start: no request reaches the file system."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Annotated

from fastapi import APIRouter, Depends, Query, Response
from fastapi.responses import HTMLResponse

from rimwright import __version__
from rimwright.web.access import refused
from rimwright.web.api_models import Number
from rimwright.web.api_records import Filters
from rimwright.web.shop import Shop, shop_of

_TYPES = {
    "html": "text/html; charset=utf-8",
    "css": "text/css; charset=utf-8",
    "js": "text/javascript; charset=utf-8",
    "svg": "image/svg+xml",
    "png": "image/png",
}
#: Its address moves on with its content, so it may be kept for ever.
_FOR_EVER = "public, max-age=31536000, immutable"
#: Asked for again each time, so that a page is never older than the program.
_EACH_TIME = "no-cache"

router = APIRouter(include_in_schema=False)
InShop = Annotated[Shop, Depends(shop_of)]


@dataclass(frozen=True, slots=True)
class Asset:
    """One file of the pages."""

    data: bytes
    media_type: str


@dataclass(frozen=True, slots=True)
class Assets:
    """All files of the pages, and the word in their addresses that moves on with them."""

    version: str
    files: dict[str, Asset]

    def page(self, name: str) -> Response:
        """A page of its own file."""
        found = self.files.get(name)
        if found is None:
            raise refused(404, f"no page {name}", "a page of this version", "install it anew")
        return Response(
            found.data, media_type=found.media_type, headers={"cache-control": _EACH_TIME}
        )


@cache
def assets() -> Assets:
    """The files beside this module, with `{version}` in pages filled in."""
    there = sorted(files("rimwright.web").joinpath("static").iterdir(), key=lambda one: one.name)
    read = {one.name: one.read_bytes() for one in there if one.name.rpartition(".")[2] in _TYPES}
    content = hashlib.sha256(b"".join(name.encode() + data for name, data in read.items()))
    version = f"{__version__}-{content.hexdigest()[:10]}"
    found = {}
    for name, data in read.items():
        kind = name.rpartition(".")[2]
        filled = data.replace(b"{version}", version.encode()) if kind == "html" else data
        found[name] = Asset(filled, _TYPES[kind])
    return Assets(version, found)


@router.get("/")
def index() -> Response:
    """The first page: which runs are on."""
    return assets().page("index.html")


@router.get("/live")
def live(run: Annotated[int | None, Query(ge=1, le=2**31 - 1)] = None) -> Response:
    """The live page; it finds the run's number in its own address."""
    return assets().page("live.html")


@router.get("/favicon.ico", status_code=204)
def favicon() -> Response:
    """Pages name their own sign; this only keeps a browser from asking again."""
    return Response(status_code=204, headers={"cache-control": _FOR_EVER})


@router.get("/static/{version}/{name}")
def static(version: str, name: str) -> Response:
    """A file of the pages, of this version only."""
    found = assets().files.get(name) if version == assets().version else None
    if found is None or name.endswith(".html"):
        raise refused(404, "no such file", "one that a page names", "load the page again")
    return Response(found.data, media_type=found.media_type, headers={"cache-control": _FOR_EVER})


@router.get("/records")
def records(shop: InShop, filters: Annotated[Filters, Query()]) -> Response:
    """The runs as a page without script, newest first, as far as they are asked for."""
    from rimwright.journal.runs import RunFilter, run_lines
    from rimwright.sheets.record_html import served
    from rimwright.sheets.record_list_page import records_page

    wanted = filters.model_dump()
    lines = run_lines(shop.journal, RunFilter(**{**wanted, "limit": filters.limit + 1}))
    asked = filters.model_dump(mode="json", exclude_unset=True, exclude_none=True)
    told = {key: str(value).lower() if isinstance(value, bool) else str(value)
            for key, value in asked.items()}  # fmt: skip
    frame = served(assets().version)
    more = len(lines) > filters.limit
    return HTMLResponse(records_page(lines[: filters.limit], frame, told, more=more))


@router.get("/records/{run}")
def record(run: Number, shop: InShop) -> Response:
    """One run as a page without script, to be read and printed."""
    from rimwright.desk.record import record_told
    from rimwright.sheets.record_html import served
    from rimwright.sheets.record_page import record_page

    told = record_told(shop.journal, run)
    frame = served(assets().version)
    return HTMLResponse(record_page(told, frame, lambda number: f"/api/photographs/{number}"))
