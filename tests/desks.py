"""An open desk for tests: the real service on this machine, in a thread, ended with its test."""

import http.client
import json
import queue
import threading
from collections.abc import Callable, Iterator, Mapping
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from linesim.desk.open_desk import OpenDesk
from linesim.desk.serve import Service, bound


class Told(queue.Queue[Any]):
    """What a thread tells, in its order."""

    def until(self, is_so: Callable[[Any], object]) -> Any:
        """Return the next thing told that is so; what comes before it is dropped."""
        while not is_so(one := self.get(timeout=60)):
            pass
        return one


@dataclass
class Served:
    """A desk that answers.

    Attributes:
        desk: The desk.
        address: Its first address.
        host: Host and port.
        service: What answers.
        cookie: What a browser keeps of the first address.
    """

    desk: OpenDesk
    address: str
    host: str
    service: Service
    cookie: str = ""

    def ask(
        self, method: str, path: str, body: Any = None, headers: Mapping[str, str | None] | None = None
    ) -> tuple[int, str, dict[str, str]]:
        """Send a request as the page would, with some headers changed or (None) left out."""
        usual: dict[str, str | None] = {"Host": self.host, "Cookie": self.cookie}
        if method == "POST":
            usual |= {"Origin": f"http://{self.host}", "Content-Type": "application/json"}
        given = {name: value for name, value in {**usual, **(headers or {})}.items() if value is not None}
        data = json.dumps(body).encode() if isinstance(body, dict) else body
        link = http.client.HTTPConnection(self.host, timeout=30)
        try:
            link.putrequest(method, path, skip_host=True, skip_accept_encoding=True)
            for name, value in given.items():
                link.putheader(name, value)
            if data is not None and "Content-Length" not in given:
                link.putheader("Content-Length", str(len(data)))
            link.endheaders(data)
            answer = link.getresponse()
            return (
                answer.status,
                answer.read().decode("utf-8", "replace"),
                {name.lower(): value for name, value in answer.getheaders()},
            )
        finally:
            link.close()

    def do(self, what: str, **given: Any) -> tuple[int, dict[str, Any]]:
        """Do something as the page would."""
        status, text, _ = self.ask("POST", f"/do/{what}", given)
        return status, json.loads(text)

    def enter(self) -> None:
        """Open the first address, as a browser would."""
        first = self.address.removeprefix(f"http://{self.host}")
        _, _, headers = self.ask("GET", first, None, {"Cookie": None})
        self.cookie = headers["set-cookie"].partition(";")[0]


@contextmanager
def served(line: Path, folder: Path | None = None, *, workers: int = 1) -> Iterator[Served]:
    """Yield the desk of a scenario, which somebody has entered."""
    listening = bound(0)
    port = listening.getsockname()[1]
    made: queue.Queue[tuple[OpenDesk, Service] | Exception] = queue.Queue()

    def answer() -> None:
        try:
            desk = OpenDesk(line, folder or line.with_suffix(".desk"), {"workers": workers})
        except Exception as error:
            made.put(error)
            return
        service = Service(desk, listening)
        made.put((desk, service))
        with closing(listening):
            service.answer()

    thread = threading.Thread(target=answer, daemon=True)
    thread.start()
    first = made.get(timeout=60)
    if isinstance(first, Exception):
        raise first
    desk, service = first
    found = Served(desk, service.address, f"127.0.0.1:{port}", service)
    try:
        found.enter()
        yield found
    finally:
        service.stop()
        thread.join(30)
        assert not thread.is_alive(), "the desk did not end"
