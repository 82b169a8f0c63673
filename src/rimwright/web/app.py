"""The one app that pages, calls and sockets are mounted on, with the gate in front of all."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from typing import TYPE_CHECKING, Annotated, Any

from fastapi import FastAPI, Query, WebSocket
from starlette.types import ASGIApp

from rimwright import __version__
from rimwright.web import api_records, api_runs, api_state, pages
from rimwright.web.access import Access
from rimwright.web.api_models import Number
from rimwright.web.pairing import Pairing
from rimwright.web.refusals import refuse_in_one_form
from rimwright.web.rules import RULES, Rule
from rimwright.web.security import Gate
from rimwright.web.sessions import Sessions
from rimwright.web.shop import Bench, Shop
from rimwright.web.socket import Hub

if TYPE_CHECKING:
    from rimwright.journal.engine import Journal


class _App(FastAPI):
    """An app whose gate stands outside of whatever is added or mounted later."""

    rules: tuple[Rule, ...] = RULES

    def build_middleware_stack(self) -> ASGIApp:
        return Gate(super().build_middleware_stack(), self.state.shop, self.rules)


def create_app(
    bench: Bench, journal: Journal, access: Access, *, rules: tuple[Rule, ...] = ()
) -> FastAPI:
    """The app of one bench and one journal.

    Parameters
    ----------
    bench : Bench
        The runs that are on.
    journal : Journal
        Where records and devices are kept.
    access : Access
        Who may reach it, under which names.
    rules : sequence of Rule
        Of what is mounted on it later; they come before ours.
    """
    app = _documented(_running)
    app.rules = (*rules, *RULES)
    sessions = Sessions(journal)
    app.state.shop = Shop(
        bench=bench, journal=journal, access=access, sessions=sessions, pairing=Pairing(),
        hub=Hub(bench, sessions),
    )  # fmt: skip
    return app


def api_document() -> dict[str, Any]:
    """The API as an OpenAPI document, without anything running."""
    return _documented(None).openapi()


def _documented(lifespan: Any) -> _App:
    app = _App(
        title="Rimwright", version=__version__, docs_url=None, redoc_url=None, lifespan=lifespan,
        summary="The bend, live, and its records. SI units; the unit is in the name.",
    )  # fmt: skip
    refuse_in_one_form(app)
    for router in (api_state.router, api_runs.router, api_records.router, pages.router):
        app.include_router(router)
    app.add_api_websocket_route("/ws/live/{run}", _live)
    return app


@asynccontextmanager
async def _running(app: FastAPI) -> AsyncIterator[None]:
    shop: Shop = app.state.shop
    await shop.hub.start()
    try:
        yield
    finally:
        await shop.hub.stop()
        shop.sessions.stop()


async def _live(
    socket: WebSocket, run: Number,
    since: Annotated[int, Query(ge=0, le=2**31 - 1)] = 0,
    boot: Annotated[str, Query(max_length=100)] = "",
) -> None:  # fmt: skip
    shop: Shop = socket.app.state.shop
    await shop.hub.talk(socket, run, since, boot)
