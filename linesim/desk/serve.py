"""The desk on its address: one process that sleeps while nobody asks, until Ctrl-C."""

from __future__ import annotations

import asyncio
import os
import shutil
import socket
import tempfile
import threading
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import uvicorn
from uvicorn.protocols.http.h11_impl import H11Protocol

from linesim.desk.app import application
from linesim.desk.guard import Guard, leading_to
from linesim.desk.session import DeskError

if TYPE_CHECKING:
    from linesim.desk.open_desk import OpenDesk

_MOST_CONNECTIONS = 200
HEAD_SECONDS = 10.0  #: So long a request may take to say what it wants.
_LAST_SECONDS = 2  #: So long an answer that is on its way may take at the end.


class _Impatient(H11Protocol):
    """Gives up whoever connects and does not say what is wanted."""

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Begin to wait; called by the library."""
        super().connection_made(transport)
        self.loop.call_later(HEAD_SECONDS, lambda: None if self.cycle else transport.close())


class Service(uvicorn.Server):
    """Answers for a desk until it is stopped, without looking ten times a second whether it is.

    Attributes:
        address: The first address.
    """

    def __init__(self, desk: OpenDesk, listening: socket.socket) -> None:
        self._guard = Guard(application(desk), listening.getsockname()[1])
        config = uvicorn.Config(
            self._guard, log_level="error", access_log=False, lifespan="off", ws="none", http=_Impatient,
            loop="asyncio", server_header=False, date_header=False, limit_concurrency=_MOST_CONNECTIONS,
            timeout_graceful_shutdown=_LAST_SECONDS, proxy_headers=False,
        )  # fmt: skip
        super().__init__(config)
        self.address = self._guard.address
        self._desk, self._listening = desk, listening
        self._loop: asyncio.AbstractEventLoop | None = None
        self._over = asyncio.Event()

    def answer(self, opens: Callable[[str], object] | None = None) -> None:
        """Answer until somebody stops it or the program is told to end.

        Args:
            opens: Opens an address in a browser, for the user to see the desk; None opens none.
        """
        try:
            if opens is not None:
                self._show(opens)
            self.run(sockets=[self._listening])
        finally:
            self._guard.entered()
            self._desk.end()

    def _show(self, opens: Callable[[str], object]) -> None:
        """Have a browser open the desk, by a file that nobody else can read.

        Everybody on a machine can read the command lines of its programs. That of the browser names the
        file, and the file the first address. It is gone once somebody came in, or at the end. Some browsers
        are waited for until somebody closes them, so a thread does.
        """
        folder = Path(tempfile.mkdtemp(prefix="open-", dir=self._desk.folder))  # for this user alone
        self._guard.entered = lambda: shutil.rmtree(folder, ignore_errors=True)
        page = folder.resolve() / "desk.html"
        with open(page, "x", encoding="utf-8", opener=_for_its_owner) as file:
            file.write(leading_to(self.address))
        threading.Thread(target=opens, args=(page.as_uri(),), name="browser", daemon=True).start()

    def stop(self) -> None:
        """End it, from any thread; what is on its way is ended, and what was simulated is kept."""
        self.should_exit = True
        if self._loop is not None:
            self._loop.call_soon_threadsafe(self._over.set)

    async def main_loop(self) -> None:
        """Sleep until the end; called by the library, between its start and its shutdown."""
        self._loop = asyncio.get_running_loop()
        self._desk.board.begin()
        self._desk.begin()
        if not self.should_exit:
            await self._over.wait()
        self._desk.board.end()

    def handle_exit(self, sig: int, frame: Any) -> None:
        """Stop; called by the library when the program is told to end."""
        self.stop()


def _for_its_owner(path: str, flags: int) -> int:
    return os.open(path, flags, 0o600)


def bound(port: int) -> socket.socket:
    """Return a socket on this machine alone.

    Args:
        port: Its port; 0 takes one that is free.

    Raises:
        DeskError: If the port cannot be had.
    """
    found = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    found.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        found.bind(("127.0.0.1", port))
        found.listen(128)
    except OSError as error:
        found.close()
        raise DeskError(
            f"port {port} cannot be had ({error.strerror or error}); name another with --port, or leave it "
            "out to take one that is free."
        ) from None
    return found
