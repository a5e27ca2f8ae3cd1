"""`linesim desk` as a user starts it: its address, its end, a port that is taken, a death, a quiet time."""

import http.client
import json
import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import psutil
import pytest

from linesim.runs.store import Store
from tests.commands.calls import LINE, call, program
from tests.commands.started import started


def opened(run: "subprocess.Popen[str]") -> tuple[str, str, str]:
    """Return host, first path and cookie of a desk that has started."""
    assert run.stdout is not None
    address = run.stdout.readline().split()[-1]
    host, _, path = address.removeprefix("http://").partition("/")
    link = http.client.HTTPConnection(host, timeout=30)
    link.request("GET", f"/{path}")
    cookie = (link.getresponse().getheader("set-cookie") or "").partition(";")[0]
    link.close()
    return host, path, cookie


def post(host: str, cookie: str, what: str, given: dict[str, object]) -> int:
    """Do something at a desk, as its page would, and return the status."""
    link = http.client.HTTPConnection(host, timeout=30)
    headers = {"Cookie": cookie, "Origin": f"http://{host}", "Content-Type": "application/json"}
    link.request("POST", f"/do/{what}", json.dumps(given), headers)
    status = link.getresponse().status
    link.close()
    return status


def until(is_so: Callable[[], bool], seconds: float = 60.0) -> None:
    """Wait until something is so."""
    end = time.monotonic() + seconds
    while not is_so():
        assert time.monotonic() < end, "it did not happen"
        time.sleep(0.1)


def kept(folder: Path) -> int:
    """Return how many replications a folder keeps."""
    with Store(folder, must_exist=True) as store:
        return store.count()


def test_it_prints_its_address_answers_sleeps_and_ends(line: Path) -> None:
    """It listens on this machine alone, answers, sleeps while nobody asks, and Ctrl-C ends it."""
    words = [sys.executable, "-m", "linesim", "desk", line, "--no-browser", "--workers", "1"]
    with started(words) as run:
        host, _, cookie = opened(run)
        assert host.startswith("127.0.0.1:")
        own = psutil.Process(run.pid)
        assert {link.laddr.ip for link in own.net_connections() if link.status == "LISTEN"} == {"127.0.0.1"}
        until(lambda: kept(line.with_suffix(".desk")) == 10)
        stream = http.client.HTTPConnection(host, timeout=30)
        stream.request("GET", "/events", headers={"Cookie": cookie})
        assert stream.getresponse().readline().startswith(b"data: ")
        time.sleep(1.0)  # the last look is told, and whatever came with it is done
        before = sum(own.cpu_times()[:2])
        time.sleep(4.0)
        assert sum(own.cpu_times()[:2]) - before <= 0.02, "a desk left alone should sleep"
        run.send_signal(signal.SIGINT)
        out, err = run.communicate(timeout=30)
        stream.close()
    assert run.returncode == 0
    assert out.splitlines()[-1] == "The desk is closed; what was kept stays."
    assert "Traceback" not in err
    assert line.read_text(encoding="utf-8") == LINE


@pytest.mark.parametrize("enters", [True, False])
def test_no_command_line_holds_the_key(line: Path, tmp_path: Path, enters: bool) -> None:
    """The browser is told a file of this user alone, which leads to the address and is gone afterwards."""
    note, browser = tmp_path / "note.json", tmp_path / "browser.py"
    browser.write_text(
        "import json, os, pathlib, sys, time, urllib.parse, urllib.request\n"
        "path = pathlib.Path(urllib.request.url2pathname(urllib.parse.urlsplit(sys.argv[1]).path))\n"
        "modes = [oct(os.stat(one).st_mode & 0o777) for one in (path, path.parent)]\n"
        "found = [sys.argv[1], str(path), modes, path.read_text()]\n"
        f"pathlib.Path({str(note)!r}).write_text(json.dumps(found))\n"
        "time.sleep(60)\n",  # a browser stays, and may be the program that was started
        encoding="utf-8",
    )  # fmt: skip
    words = [sys.executable, "-m", "linesim", "desk", line, "--workers", "1"]
    with started(words, BROWSER=f"{sys.executable} {browser} %s") as run:
        assert run.stdout is not None
        address = run.stdout.readline().split()[-1]
        until(note.is_file)
        until(lambda: note.read_text(encoding="utf-8").endswith("]"))
        told, path, modes, page = json.loads(note.read_text(encoding="utf-8"))
        key = address.rpartition("/")[2]
        assert told.startswith("file:") and key not in told and address in page
        assert modes == ["0o600", "0o700"] and Path(path).is_relative_to(line.with_suffix(".desk"))
        assert not [one for one in psutil.process_iter(["cmdline"]) if key in str(one.info["cmdline"])]
        if enters:
            host, _, entrance = address.removeprefix("http://").partition("/")
            link = http.client.HTTPConnection(host, timeout=30)
            link.request("GET", f"/{entrance}")
            assert link.getresponse().status == 200
            link.close()
        else:
            assert Path(path).exists()
            run.send_signal(signal.SIGINT)
        until(lambda: not Path(path).parent.exists())
        run.send_signal(signal.SIGINT)
        run.wait(30)


def test_a_killed_desk_keeps_what_it_has(line: Path) -> None:
    """Killed in the middle of a study, it has kept every finished replication and every alternative."""
    line.write_text(LINE.replace("replications = 10", "replications = 200"), encoding="utf-8")
    folder = line.with_suffix(".desk")
    words = [sys.executable, "-m", "linesim", "desk", line, "--no-browser", "--workers", "1"]
    with started(words) as run:
        host, _, cookie = opened(run)
        assert post(host, cookie, "change", {"place": "crew.two.people", "by": 1}) == 200
        assert post(host, cookie, "keep", {"name": "one more"}) == 200
        assert post(host, cookie, "study", {"name": "crew", "values": {}}) == 200
        until(lambda: kept(folder) >= 20)
        os.kill(run.pid, signal.SIGKILL)
        run.wait(30)
    there = kept(folder)
    assert there >= 20
    with started(words) as run:
        host, _, cookie = opened(run)
        link = http.client.HTTPConnection(host, timeout=30)
        link.request("GET", "/", headers={"Cookie": cookie})
        assert "<b>one more</b>: two crew: 2 → 3 people" in link.getresponse().read().decode()
        link.close()
        assert kept(folder) >= there
        run.send_signal(signal.SIGTERM)
        run.communicate(timeout=30)


def test_a_port_that_is_taken_is_told(line: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A port that another program has is told with what would be right, and nothing is made."""
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = other.getsockname()[1]
        said = call(capsys, "desk", line, "--no-browser", "--port", str(port))
    assert said.status == 2
    assert said.err.startswith(f"port {port} cannot be had (") and "--port" in said.err
    assert not line.with_suffix(".desk").exists()


@pytest.mark.parametrize("words", [["--port", "0"], ["--port", "70000"], ["--port", "eighty"]])
def test_no_port_is_told(line: Path, words: list[str]) -> None:
    """What is no port is refused with what would be right."""
    said = program("desk", line, *words)
    assert said.status == 2 and "from 1 to 65535" in said.err


def test_a_wrong_file_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A file that is not there or wrong is told as every command tells it, before anything is opened."""
    said = call(capsys, "desk", tmp_path / "nothing.toml", "--no-browser")
    assert said.status == 2 and "does not exist" in said.err
    wrong = tmp_path / "wrong.toml"
    wrong.write_text("takt = 5", encoding="utf-8")
    said = call(capsys, "desk", wrong, "--no-browser")
    assert said.status == 2 and "bare-number" in said.err


def test_without_its_libraries_it_says_what_to_install(
    line: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where the extra is not installed the command says so, and how to have it."""
    monkeypatch.setattr("linesim.commands.desk.find_spec", lambda name: None if name == "uvicorn" else 1)
    said = call(capsys, "desk", line)
    assert said.status == 2
    assert "needs uvicorn" in said.err and "linesim[desk]" in said.err
