"""What is there, and which devices were let in."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Depends, Response

from rimwright import __version__
from rimwright.web.access import Caller, refused
from rimwright.web.api_models import DeviceLine, Number, Pair, Paired, PairingCode, State
from rimwright.web.pairing import pairing_link, spoken
from rimwright.web.refusals import RESPONSES
from rimwright.web.sessions import cookie_header
from rimwright.web.shop import Shop, caller_in, shop_of

router = APIRouter(prefix="/api", responses=RESPONSES)
InShop = Annotated[Shop, Depends(shop_of)]
From = Annotated[Caller, Depends(caller_in)]


@router.get("/state")
def state(shop: InShop, caller: From) -> State:
    """What is on, and what this device may do."""
    return State(
        version=__version__,
        boot=shop.bench.boot,
        journal=shop.journal.where if caller.here else "",
        engine=shop.journal.engine_version,
        runs=list(shop.bench.runs()),
        paired=caller.may_act and not caller.here,
        local=caller.here,
    )


@router.post("/pairing-code")
def pairing_code(shop: InShop) -> PairingCode:
    """A new code for one device; the one before holds no longer. On the shop computer only."""
    if not shop.access.lan:
        raise refused(409, "pages that are open on this computer only", "pages open on the "
                      "local network", "start them with `rimwright serve --lan`")  # fmt: skip
    code = shop.pairing.fresh()
    return PairingCode(
        code=spoken(code), link=pairing_link(shop.access, code), valid_s=shop.pairing.valid_s()
    )


@router.post("/pair")
def pair(body: Pair, shop: InShop, caller: From, response: Response) -> Paired:
    """Let this device act; it gets a new session for the one it had."""
    name = " ".join(body.name.split())
    if not name:
        raise refused(422, "a device without a name", "a name", "give it one")
    if caller.device is None:
        raise refused(409, "the shop computer itself", "another device", "no need: it may act")
    shop.pairing.use(body.code, caller.peer)
    token, device = shop.sessions.add(name, may_act=True)
    shop.hub.move(caller.device, device)
    shop.sessions.revoke(caller.device)
    response.headers["set-cookie"] = cookie_header(token)
    return Paired(name=name)


@router.get("/devices")
def devices(shop: InShop, caller: From) -> list[DeviceLine]:
    """Devices that were let in and not revoked."""
    from rimwright.journal.devices import devices as all_devices

    pages = shop.hub.count()
    return [
        DeviceLine(
            id=one.id,
            name=one.name,
            may_act=one.may_act,
            paired_wall_s=one.paired_wall_s,
            seen_wall_s=one.seen_wall_s,
            open_pages=pages[one.id],
            this=one.id == caller.device,
        )
        for one in all_devices(shop.journal)
    ]


@router.post("/devices/{device}/revoke", status_code=204)
def revoke(device: Number, shop: InShop) -> None:
    """Let a device in no longer; its pages are closed at once."""
    shop.sessions.revoke(device)
    shop.hub.end(device)
