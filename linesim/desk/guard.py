"""Who may speak to the desk: this machine's own page, with the key that the program gave out, within limits.

It listens on 127.0.0.1 alone. Other programs here, and pages of other sites in the same browser, can still
reach it; so each request has to name the right host (or a name that leads here could stand for it), come from
this page if it says where from, and carry the cookie that the first address left. The first address alone may
come from elsewhere, such as the file that a browser is opened with: whoever has its key is let in, and its
answer leads on from here, so that the cookie goes along.
"""

from __future__ import annotations

import asyncio
import hmac
import os
from collections.abc import Callable
from html import escape
from typing import TYPE_CHECKING

from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import Request, cookie_parser
from starlette.responses import HTMLResponse, PlainTextResponse, Response

if TYPE_CHECKING:
    from starlette.types import ASGIApp, Message, Receive, Scope, Send

ACTION_LIMIT, UPLOAD_LIMIT = 1_000_000, 30_000_000  #: Largest bodies [bytes].
ACTION_SECONDS, UPLOAD_SECONDS = 10.0, 60.0  #: So long a body may take.
ENTRANCE = "/enter/"  #: Address that gives out the cookie, followed by the key.
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)


class RefusedError(Exception):
    """A request that is not answered: its status and a sentence."""

    def __init__(self, status: int, says: str) -> None:
        super().__init__(says)
        self.status, self.says = status, says


class Guard:
    """Stands before the application and lets only its own page through.

    Attributes:
        key: What the first address carries, new for each start.
        entered: Called whenever somebody came in by the first address.
    """

    def __init__(self, app: ASGIApp, port: int) -> None:
        self.app = app
        self.entered: Callable[[], None] = lambda: None
        self.key, self._pass = os.urandom(24).hex(), os.urandom(24).hex()
        self._host, self._cookie = f"127.0.0.1:{port}", f"desk-{port}"

    @property
    def address(self) -> str:
        """The first address."""
        return f"http://{self._host}{ENTRANCE}{self.key}"

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a request, or refuse it."""
        if scope["type"] != "http":
            return
        answer: ASGIApp = self.app
        try:
            answer = self._entered(scope) or self.app
        except RefusedError as error:
            answer = told(Headers(scope=scope), error.status, error.says)

        async def sends(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                headers.setdefault("Content-Security-Policy", POLICY)
                headers["X-Content-Type-Options"] = "nosniff"
                headers["Referrer-Policy"] = "no-referrer"
                headers["Cross-Origin-Opener-Policy"] = "same-origin"
                headers["Cross-Origin-Resource-Policy"] = "same-origin"
                headers["Cache-Control"] = "no-store"
                if message["status"] in (408, 413):
                    headers["Connection"] = "close"  # what is still to come is not read
            await send(message)

        await answer(scope, receive, sends)

    def _entered(self, scope: Scope) -> Response | None:
        """Return the answer that gives out the cookie; None for a request that has it.

        Raises:
            RefusedError: If the request is not of our page.
        """
        headers = Headers(scope=scope)
        method, path = scope["method"], scope["path"]
        if headers.getlist("host") != [self._host]:
            raise RefusedError(403, f"The desk answers at {self._host} only.")
        if method not in ("GET", "POST"):
            raise RefusedError(405, "The desk is read with GET and changed with POST.")
        origins = headers.getlist("origin")
        if origins not in ([], [f"http://{self._host}"]) or (method == "POST" and not origins):
            raise RefusedError(403, "This does not come from the page of the desk.")
        if method == "GET" and path.startswith(ENTRANCE):
            if not hmac.compare_digest(path.removeprefix(ENTRANCE).encode(), self.key.encode()):
                raise RefusedError(403, "This is not the address that the program printed.")
            response = HTMLResponse(leading_to("/"))
            response.set_cookie(self._cookie, self._pass, httponly=True, samesite="strict", path="/")
            self.entered()
            return response
        if headers.get("sec-fetch-site", "none") not in ("none", "same-origin"):
            raise RefusedError(403, "This comes from another site; open the address that was printed.")
        cookies = cookie_parser(headers.get("cookie", ""))
        if not hmac.compare_digest(cookies.get(self._cookie, "").encode(), self._pass.encode()):
            raise RefusedError(403, "The desk opens with the address that the program printed.")
        return None


def leading_to(address: str) -> str:
    """Return a page that leads on to an address at once."""
    on = f'<meta http-equiv="refresh" content="0; url={escape(address)}">'
    return _small_page("The desk", f'<p><a href="{escape(address)}">Open the desk</a></p>', on)


def told(headers: Headers, status: int, says: str) -> Response:
    """Return what somebody is told instead of what was asked for: a page for a reader, else a text."""
    if "text/html" in headers.get("accept", ""):
        lines = "".join(f"<p>{escape(line)}</p>" for line in says.splitlines())
        return HTMLResponse(_small_page("Not on this desk", lines), status)
    return PlainTextResponse(f"{says}\n", status)


def _small_page(title: str, body: str, head: str = "") -> str:
    return (
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8"><meta name="viewport" '
        'content="width=device-width, initial-scale=1"><meta name="color-scheme" content="light dark">'
        f'<title>{title}</title><link rel="icon" href="data:,">{head}</head>'
        f"<body><main><h1>{title}</h1>{body}</main></body></html>\n"
    )


async def body_of(request: Request, limit: int = ACTION_LIMIT, seconds: float = ACTION_SECONDS) -> bytes:
    """Return the body of a request.

    Raises:
        RefusedError: If it is too large, or takes too long to come.
    """
    told = request.headers.get("content-length", "0")
    if not told.isdecimal() or len(told) > 12 or int(told) > limit:
        raise RefusedError(413, f"This is larger than {limit:,} bytes, the most that is read.")
    data = bytearray()
    try:
        async with asyncio.timeout(seconds):
            async for part in request.stream():
                data += part
                if len(data) > limit:
                    raise RefusedError(413, f"This is larger than {limit:,} bytes, the most that is read.")
    except TimeoutError:
        raise RefusedError(408, "This took too long to come.") from None
    return bytes(data)
