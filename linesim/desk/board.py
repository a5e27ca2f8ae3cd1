"""What every open page shows: its parts as HTML, each with a number that rises, and streams of them."""

from __future__ import annotations

import asyncio
import json
from collections.abc import AsyncIterator, Callable
from typing import Any


class Board:
    """The parts of the page, put in one loop and sent to every stream, the last state of each.

    A stream that is slow, or comes later, misses states in between and never the last one.
    """

    def __init__(self) -> None:
        self.parts: dict[str, tuple[int, str]] = {}
        self._count = 0
        self._loop: asyncio.AbstractEventLoop | None = None
        self._waiting: set[asyncio.Event] = set()
        self.is_over = False

    def begin(self) -> None:
        """Take note of the loop in which streams run; called in it."""
        self._loop = asyncio.get_running_loop()

    def call(self, function: Callable[[Any], None], found: Any) -> None:
        """Hand over what a thread found, to be taken in the loop, where everything else is done."""
        if self._loop is not None and not self._loop.is_closed():
            self._loop.call_soon_threadsafe(function, found)

    def put(self, name: str, html: str) -> None:
        """Show a part as it is now; what it shows already is not sent again."""
        if name in self.parts and self.parts[name][1] == html:
            return
        self._count += 1
        self.parts[name] = self._count, html
        for event in self._waiting:
            event.set()

    def end(self) -> None:
        """End all streams; called in their loop."""
        self.is_over = True
        for event in self._waiting:
            event.set()

    async def stream(self) -> AsyncIterator[str]:
        """Yield every part as a server-sent event, first all of them, then each as it changes."""
        sent = 0
        event = asyncio.Event()
        self._waiting.add(event)
        try:
            while not self.is_over:
                fresh = sorted((n, name, html) for name, (n, html) in self.parts.items() if n > sent)
                for n, name, html in fresh:
                    sent = n
                    yield f"data: {json.dumps({'n': n, 'name': name, 'html': html})}\n\n"
                if not fresh:
                    await event.wait()
                event.clear()
        finally:
            self._waiting.discard(event)
