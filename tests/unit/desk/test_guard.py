"""Who may speak to the desk: its own page alone, within limits, and nothing that it shows is markup."""

import http.client
import json
import random
import socket
import threading
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import quote

import pytest

from linesim.desk.guard import ACTION_LIMIT, UPLOAD_LIMIT
from tests.commands.calls import LINE
from tests.desks import Served, served

CHANGE = {"place": "crew.two.people", "by": 1}


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """Return a desk that all tests here share."""
    line = tmp_path_factory.mktemp("desk") / "line.toml"
    line.write_text(LINE, encoding="utf-8")
    with served(line) as found:
        yield found


def test_the_page_and_its_own_requests_pass(desk: Served) -> None:
    """With the cookie of the first address the page and its parts come, and a change is made."""
    assert all(desk.ask("GET", path)[0] == 200 for path in ("/", "/desk.js", "/desk.css", "/form?place=run"))
    status, said = desk.do("change", **CHANGE)
    assert (status, said) == (200, {"said": "Changed."})
    assert desk.do("undo")[0] == 200


@pytest.mark.parametrize(
    ("method", "path", "headers"),
    [
        ("GET", "/", {"Host": "example.org"}),
        ("GET", "/", {"Host": "localhost:80"}),
        ("GET", "/", {"Host": None}),
        ("GET", "/", {"Cookie": None}),
        ("GET", "/", {"Cookie": "desk=1; other=2"}),
        ("GET", "/events", {"Cookie": None}),
        ("GET", "/desk.js", {"Cookie": None}),
        ("GET", "/", {"Origin": "http://example.org"}),
        ("GET", "/", {"Origin": "null"}),
        ("GET", "/", {"Sec-Fetch-Site": "cross-site"}),
        ("GET", "/", {"Sec-Fetch-Site": "same-site"}),
        ("GET", "/enter/0123456789abcdef", {"Cookie": None}),
        ("GET", "/enter/", {"Cookie": None}),
        ("POST", "/do/change", {"Origin": None}),
        ("POST", "/do/change", {"Origin": "https://example.org"}),
        ("POST", "/do/change", {"Origin": "http://127.0.0.1:1"}),
        ("POST", "/do/change", {"Cookie": None}),
        ("POST", "/do/change", {"Host": "desk.example.org"}),
        ("PUT", "/do/change", {}),
        ("OPTIONS", "/do/change", {"Origin": "https://example.org"}),
        ("POST", "/do/change", {"Content-Type": "text/plain"}),
        ("POST", "/do/end", {}),
        ("POST", "/do/__init__", {}),
    ],
)  # fmt: skip
def test_strangers_are_refused(desk: Served, method: str, path: str, headers: dict[str, str | None]) -> None:
    """A wrong host, a wrong origin, no cookie, a wrong key: nothing changes and nothing is shown."""
    before = desk.desk.session.edits
    status, text, given = desk.ask(method, path, CHANGE if method != "GET" else None, headers)
    assert 400 <= status < 500
    assert "Compact" not in text and "Two stations" not in text
    assert "set-cookie" not in given
    assert desk.desk.session.edits == before


def test_two_hosts_or_origins_are_refused(desk: Served) -> None:
    """A request that names two hosts is not taken for either."""
    link = http.client.HTTPConnection(desk.host, timeout=10)
    link.putrequest("GET", "/", skip_host=True)
    for host in (desk.host, "example.org"):
        link.putheader("Host", host)
    link.putheader("Cookie", desk.cookie)
    link.endheaders()
    assert 400 <= link.getresponse().status < 500
    link.close()


def test_the_cookie_is_for_this_site_alone(desk: Served) -> None:
    """The cookie is not to be read by scripts, not sent by other sites, and is not the key of the address."""
    _, _, headers = desk.ask("GET", desk.address.partition(desk.host)[2], None, {"Cookie": None})
    said = headers["set-cookie"].lower()
    assert "httponly" in said and "samesite=strict" in said
    assert desk.address.rpartition("/")[2] not in said


def test_every_answer_says_what_it_may_do(desk: Served) -> None:
    """Every answer has a policy without scripts in the page, forbids guessing types, frames and keeping."""
    for path in ("/", "/desk.js", "/nothing", "/form?place=nothing"):
        _, _, headers = desk.ask("GET", path)
        policy = headers["content-security-policy"]
        assert (
            "unsafe" not in policy and "default-src 'none'" in policy and "frame-ancestors 'none'" in policy
        )
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["cache-control"] == "no-store"


@pytest.mark.parametrize(("path", "most"), [("/do/change", ACTION_LIMIT), ("/upload?name=x", UPLOAD_LIMIT)])
def test_a_large_body_is_refused_before_it_is_read(desk: Served, path: str, most: int) -> None:
    """A body that says it has 100 MB is refused at once."""
    assert most < 100_000_000
    assert desk.ask("POST", path, None, {"Content-Length": "100000000"})[0] == 413
    assert desk.ask("POST", path, None, {"Content-Length": "1" * 4000})[0] in (400, 413)


def test_a_body_without_a_length_is_cut(desk: Served) -> None:
    """A body that comes in pieces without end is refused as soon as it is too large."""
    link = http.client.HTTPConnection(desk.host, timeout=30)
    link.putrequest("POST", "/do/change", skip_host=True)
    for name, value in (("Host", desk.host), ("Cookie", desk.cookie), ("Origin", f"http://{desk.host}"),
                        ("Content-Type", "application/json"), ("Transfer-Encoding", "chunked")):  # fmt: skip
        link.putheader(name, value)
    link.endheaders()
    sent = 0
    try:
        while sent < 100_000_000:
            link.send(b"40000\r\n" + b" " * 0x40000 + b"\r\n")
            sent += 0x40000
        status = 0
    except OSError:
        status = 413
    else:
        status = link.getresponse().status
    finally:
        link.close()
    assert status == 413
    assert sent < 50_000_000, "it should be cut long before its end"


def test_a_slow_body_is_given_up(desk: Served, monkeypatch: pytest.MonkeyPatch) -> None:
    """A body that does not come is given up after its time, and the desk goes on."""
    monkeypatch.setattr("linesim.desk.guard.body_of.__defaults__", (ACTION_LIMIT, 0.3))
    status, text, _ = desk.ask("POST", "/do/change", None, {"Content-Length": "50"})
    assert (status, text) == (408, "This took too long to come.\n")
    assert desk.ask("GET", "/")[0] == 200


def test_who_says_nothing_is_given_up(desk: Served, monkeypatch: pytest.MonkeyPatch) -> None:
    """A connection whose request never ends is closed after its time."""
    monkeypatch.setattr("linesim.desk.serve.HEAD_SECONDS", 0.3)
    host, _, port = desk.host.partition(":")
    with socket.create_connection((host, int(port)), timeout=10) as link:
        link.sendall(b"GET / HTTP/1.1\r\nHost: ")
        assert link.recv(100) == b""


@pytest.mark.parametrize(
    "body",
    [b"", b"{", b"[]", b"null", b"[" * 100_000, b'{"place": ' * 5_000, b"\xff\xfe", b'{"place": 1e999}'],
)  # fmt: skip
def test_what_is_no_action_is_refused(desk: Served, body: bytes) -> None:
    """Bodies that are no JSON object, or nested without end, are refused in words."""
    status, text, _ = desk.ask("POST", "/do/change", body)
    assert status in (400, 422) and "Traceback" not in text


@pytest.mark.parametrize(
    "given",
    [
        {"place": "crew.two.people", "by": 7},
        {"place": "crew.two.people", "by": [1]},
        {"place": "crew.nobody.people", "by": 1},
        {"place": "../../etc", "values": {"people": "1"}},
        {"place": "crew.two", "values": {"__class__": "1"}},
        {"place": "crew.two", "values": {"people": "x" * 30_000}},
        {"place": "crew.two", "values": ["people"]},
        {"place": ".".join("abcdefghijklmnop"), "values": {}},
        {"place": 5, "values": {"people": "3"}},
        {"place": "station.A.task.fit", "at": "nowhere"},
        {"place": "station.A.task.none", "at": "B"},
        {"line": "extends = 'other.toml'"},
        {"line": "tasks = '../tasks.csv'"},
        {"line": "orders.file = '/etc/passwd'"},
        {"line": "crew.two.people = " + "[" * 5000},
        {"line": "crew.two.people"},
        {},
    ],
)  # fmt: skip
def test_wrong_changes_are_told(desk: Served, given: dict[str, object]) -> None:
    """A change that cannot be is told with what would be right, changes nothing, and reads no other file."""
    status, said = desk.do("change", **given)
    assert status == 422
    assert said["problems"] and all(one["says"] for one in said["problems"])
    assert "root:" not in str(said)
    assert desk.desk.session.edits == ()


@pytest.mark.parametrize(
    "name",
    ["../other.toml", "..\\other.toml", "line", "a/b.toml", "..toml", ".hidden.toml", "line.toml",
     "x" * 300 + ".toml", "a\x00.toml"],
)  # fmt: skip
def test_nothing_is_written_outside_or_over(desk: Served, name: str) -> None:
    """A scenario is saved beside the file under a plain new name, or not at all."""
    folder = desk.desk.session.path.parent
    before = {path: path.read_bytes() for path in folder.iterdir() if path.is_file()}
    desk.do("change", **CHANGE)
    status, _ = desk.do("save", name=name)
    desk.do("undo")
    assert status == 422
    assert {path: path.read_bytes() for path in folder.iterdir() if path.is_file()} == before


def test_answers_of_other_names_are_no_files(desk: Served) -> None:
    """The page of a study comes for questions that were asked, and for no other name."""
    for name in ("crew", "..%2Fline", "%2e%2e/line", "study.sqlite"):
        assert desk.ask("GET", f"/answer/{name}")[0] in (404, 422)


def test_many_streams_at_once(desk: Served) -> None:
    """Twenty open streams all get every part, and the desk still answers."""
    got: list[str] = []

    def listen() -> None:
        link = http.client.HTTPConnection(desk.host, timeout=20)
        link.request("GET", "/events", headers={"Cookie": desk.cookie})
        answer = link.getresponse()
        names = ""
        while '"steps"' not in names:
            names += answer.fp.readline().decode()
        got.append(names)
        link.close()

    threads = [threading.Thread(target=listen) for _ in range(20)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(20)
    assert len(got) == 20
    assert desk.ask("GET", "/")[0] == 200


def test_names_with_markup_stay_text(tmp_path: Path) -> None:
    """Titles, notes, uploads and names that want to be markup are shown as text in every part."""
    evil = "<img src=x onerror=alert(1)>"
    text = LINE.replace('title = "Two stations and a lane"', f"title = '{evil}\"'")
    line = tmp_path / "line.toml"
    line.write_text(text.replace("[station.A.task.fit]", f"[station.A.task.fit]\ntitle = '{evil}'"), "utf-8")
    with served(line) as desk:
        desk.do("change", place="station.B", values={"title": evil})
        pages = [desk.ask("GET", path)[1] for path in ("/", "/form?place=station.A", "/form?place=station.B")]
        upload = f"Station;Task;Time [s];{evil}\nK1;{evil};12;{evil}\n".encode()
        pages.append(desk.ask("POST", f"/upload?name={'%3Cb%3Ex.csv'}", upload)[1])
        pages.append(desk.ask("POST", "/do/keep", {"name": evil})[1])
        for page in pages:
            assert "<img" not in page and "<b>x" not in page
        assert all("&lt;img" in page for page in pages[:3])


#: What hostile pages might put anywhere.
ATOMS = (
    None, True, 0, -1, 2**70, 1.5, "", "crew.two.people", "station.A.task.fit", "takt", "option.rack", "..",
    "{", "\u202e", "a" * 5000, [], {}, ["a"], {"people": "3"}, {"late": "30%"}, {"a": {"b": [1]}}, "yes", "C",
    "mix", "add tool.gun.count = 2", "crew.two = 5", "station.A.task.fit.time = {shape = 'weibull'}", "=",
    "a:b: c = 1",
)  # fmt: skip


def test_no_words_break_it(desk: Served) -> None:
    """Three hundred actions of any fields and values are done or refused in words; none breaks it."""
    luck = random.Random(11)
    keys = ("place", "by", "at", "line", "values", "name", "into", "study", "case")
    for _ in range(300):
        what = luck.choice(
            ("change", "undo", "keep", "drop", "lay", "adopt", "stop", "save", "reread", "look")
        )
        given = {luck.choice(keys): luck.choice(ATOMS) for _ in range(luck.randint(0, 4))}
        status, text, _ = desk.ask("POST", f"/do/{what}", json.dumps(given).encode())
        assert status in (200, 422), (what, given, text)
        status, _, _ = desk.ask("GET", f"/form?place={quote(str(luck.choice(ATOMS))[:2000])}")
        assert status in (200, 422)
    desk.do("undo")
    for name in list(desk.desk.session.kept):
        desk.do("drop", name=name)
