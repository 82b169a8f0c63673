"""Every error as an answer in one form: found, expected, next."""

from __future__ import annotations

from typing import Any

from fastapi import FastAPI, Request, Response
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException

from rimwright.errors import AccessError, JournalError, RimwrightError, RunError, UnknownNameError
from rimwright.web.access import RefusedError, refused
from rimwright.web.answers import as_json
from rimwright.web.api_models import Refusal

#: What any call may answer beside what it is for; in the OpenAPI document.
_MAY_ANSWER = {
    400: "It cannot be read, or says what it cannot.",
    401: "A device without a session.",
    403: "From elsewhere, or a device that may not do that.",
    404: "Not there.",
    405: "A method that is not taken.",
    408: "Its body took too long.",
    409: "Not now: the words say why. Nothing was changed.",
    413: "Its body is too large.",
    414: "Its address is too long.",
    415: "Content of another type than is taken.",
    421: "A host that is no name of this computer.",
    422: "A value out of its bounds.",
    429: "Too often.",
    431: "Its headers are too long.",
    503: "The journal does not answer; the run goes on without it.",
}
RESPONSES: dict[int | str, dict[str, Any]] = {
    status: {"model": Refusal, "description": words} for status, words in _MAY_ANSWER.items()
}


def status_of(error: RimwrightError, method: str) -> int:
    """The status that says what kind of refusal it is.

    Parameters
    ----------
    error : RimwrightError
        What was refused.
    method : str
        Of the request: what is asked for and not there is 404, what is sent and does not fit 409.
    """
    if isinstance(error, RefusedError):
        return int(error.status)
    if isinstance(error, JournalError):
        # With a cause the store itself refused, which is not the caller's slip.
        return 503 if error.__cause__ is not None else 404 if method == "GET" else 409
    # A run that is asked for and not on is not there; one that is told something cannot now.
    kinds = (
        (AccessError, 403), (RunError, 404 if method == "GET" else 409), (UnknownNameError, 404),
    )  # fmt: skip
    return next((status for kind, status in kinds if isinstance(error, kind)), 400)


def refuse_in_one_form(app: FastAPI) -> None:
    """Give an app our form of refusals."""

    def answer(status: int, error: RimwrightError) -> Response:
        headers = {"allow": "GET, POST"} if status == 405 else None
        return Response(
            as_json(error), status_code=status, media_type="application/json", headers=headers
        )

    async def ours(request: Request, error: Exception) -> Response:
        assert isinstance(error, RimwrightError)
        return answer(status_of(error, request.method), error)

    async def out_of_bounds(_: Request, error: Exception) -> Response:
        assert isinstance(error, RequestValidationError)
        first = error.errors()[0]
        place = " ".join(str(part) for part in first["loc"] if part != "body")
        found = f"{place}: {str(first.get('input'))[:60]!r}" if place else "a body that is no JSON"
        return answer(422, refused(422, found, str(first["msg"])[:200], "correct it"))

    async def not_ours(request: Request, error: Exception) -> Response:
        assert isinstance(error, HTTPException)
        path = request.url.path[:80]
        words = {404: ("nothing at " + repr(path), "an address of these pages"),
                 405: (f"{request.method} on {path!r}", "another method")}  # fmt: skip
        found, expected = words.get(error.status_code, (str(error.detail)[:80], "another request"))
        return answer(error.status_code, refused(error.status_code, found, expected, "look it up"))

    async def fault(request: Request, _: Exception) -> Response:
        return answer(
            500, refused(500, "a fault of ours", "an answer", "look at the server's terminal")
        )

    app.add_exception_handler(RimwrightError, ours)
    app.add_exception_handler(RequestValidationError, out_of_bounds)
    app.add_exception_handler(HTTPException, not_ours)
    app.add_exception_handler(Exception, fault)
