"""The addresses of the desk: the page and its parts, what can be done, and what is handed on."""

from __future__ import annotations

import asyncio
import json
from collections.abc import Awaitable, Callable
from typing import TYPE_CHECKING, Any

from starlette.applications import Starlette
from starlette.responses import HTMLResponse, JSONResponse, Response, StreamingResponse
from starlette.routing import Route

from linesim.desk import hand_on, view
from linesim.desk.guard import UPLOAD_LIMIT, UPLOAD_SECONDS, RefusedError, body_of, told
from linesim.errors import LinesimError, ScenarioError

if TYPE_CHECKING:
    from starlette.requests import Request

    from linesim.desk.open_desk import OpenDesk

Answers = Callable[["Request"], Awaitable[Response]]
#: Files of the page and what they are.
_ASSETS = (
    ("desk.js", "text/javascript"), ("scroll.js", "text/javascript"), ("desk.css", "text/css"),
    ("report.css", "text/css"),
)  # fmt: skip
_WORKBOOK = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
#: What a page may have the desk do.
ACTIONS = (
    "change", "undo", "keep", "drop", "lay", "study", "adopt", "stop", "save", "reread", "look",
)  # fmt: skip
MOST_PROBLEMS = 6  #: Problems that a form shows; a change that breaks much would fill the page.


def application(desk: OpenDesk) -> Starlette:
    """Return the application of an open desk, without whoever guards it."""
    actions = {name: getattr(desk, name) for name in ACTIONS}

    async def page(request: Request) -> Response:
        desk.look({})
        return HTMLResponse(view.page(desk.session, desk.board.parts))

    async def form(request: Request) -> Response:
        return HTMLResponse(view.form_part(desk.session, request.query_params.get("place", "")))

    async def events(request: Request) -> Response:
        return StreamingResponse(desk.board.stream(), media_type="text/event-stream")

    async def do(request: Request) -> Response:
        action = actions.get(request.path_params["what"])
        if action is None:
            raise RefusedError(404, "There is nothing of this name to do.")
        return JSONResponse({"said": action(await _given(request))})

    async def upload(request: Request) -> Response:
        data = await body_of(request, UPLOAD_LIMIT, UPLOAD_SECONDS)
        name = request.query_params.get("name", "")
        return JSONResponse({"part": "upload", "html": await asyncio.to_thread(desk.upload, name, data)})

    async def confirm(request: Request) -> Response:
        said, html = await asyncio.to_thread(desk.confirm, await _given(request))
        desk.look({})
        return JSONResponse({"said": said, "part": "upload", "html": html})

    async def report(request: Request) -> Response:
        return _document(await asyncio.to_thread(hand_on.report, desk))

    async def replay(request: Request) -> Response:
        return _document(await asyncio.to_thread(hand_on.replay, desk))

    async def card(request: Request) -> Response:
        return _document(await asyncio.to_thread(hand_on.card, desk))

    async def workbook(request: Request) -> Response:
        data = await asyncio.to_thread(hand_on.workbook, desk)
        named = {"Content-Disposition": 'attachment; filename="desk.xlsx"'}
        return Response(data, media_type=_WORKBOOK, headers=named)

    async def answer(request: Request) -> Response:
        return _document(await asyncio.to_thread(hand_on.answer, desk, request.path_params["name"]))

    routes = [
        Route("/", page), Route("/form", form), Route("/events", events), Route("/report", report),
        Route("/card", card),
        Route("/replay", replay),
        Route("/workbook", workbook), Route("/answer/{name}", answer),
        Route("/do/{what}", do, methods=["POST"]), Route("/upload", upload, methods=["POST"]),
        Route("/confirm", confirm, methods=["POST"]),
        *(Route(f"/{name}", _asset(name, kind)) for name, kind in _ASSETS),
    ]  # fmt: skip
    handlers: dict[Any, Any] = {LinesimError: _wrong, RefusedError: _refused, 404: _missing}
    return Starlette(routes=routes, exception_handlers=handlers)


def _asset(name: str, kind: str) -> Answers:
    async def asset(request: Request) -> Response:
        return Response(view.asset(name), media_type=kind)

    return asset


def _document(found: tuple[str, str]) -> Response:
    """Return a page of its own, with the policy it was made for."""
    html, policy = found
    return HTMLResponse(html, headers={"Content-Security-Policy": policy})


async def _given(request: Request) -> dict[str, Any]:
    """Return what a page sends with an action.

    Raises:
        RefusedError: If it is too large, too slow, or not what our page sends.
    """
    if request.headers.get("content-type", "").partition(";")[0] != "application/json":
        raise RefusedError(415, "An action comes as JSON.")
    try:
        given = json.loads(await body_of(request))
    except (ValueError, RecursionError):
        raise RefusedError(400, "This cannot be read.") from None
    if not isinstance(given, dict):
        raise RefusedError(400, "This cannot be read.")
    return given


async def _wrong(request: Request, error: Exception) -> Response:
    """Say what is wrong with the input, each problem at its place."""
    if isinstance(error, ScenarioError):
        problems = [{"place": one.place, "says": one.message} for one in error.problems[:MOST_PROBLEMS]]
        if (more := len(error.problems) - MOST_PROBLEMS) > 0:
            problems.append({"place": "", "says": f"and {more} more of this kind."})
    else:
        problems = [{"place": "", "says": str(error)}]
    if request.method == "GET":
        return told(request.headers, 422, "\n".join(one["says"] for one in problems))
    return JSONResponse({"problems": problems}, 422)


async def _refused(request: Request, error: Exception) -> Response:
    assert isinstance(error, RefusedError)
    return told(request.headers, error.status, error.says)


async def _missing(request: Request, error: Exception) -> Response:
    return told(request.headers, 404, "There is nothing at this address.")
