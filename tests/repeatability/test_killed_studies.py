"""A study that is killed again and again ends with the same bytes as one that nobody disturbed."""

import os
import random
import signal
import sqlite3
import subprocess
import sys
import time
from pathlib import Path

from linesim.runs.store_file import NAME
from tests.commands.calls import LINE, environment

CASES = 2
REPLICATIONS = 40
ALL = CASES * REPLICATIONS
MORE = (0, 1, 7, 0, 11)  #: How many more replications are kept before each kill; 0: while it starts.


def command(line: Path, out: Path) -> list[str]:
    """Return the command of the study: one change against the base, some 20 ms a replication."""
    return [
        *(sys.executable, "-m", "linesim", "compare", str(line), "--try", "buffer.lane.capacity = 3"),
        *("--set", 'run.length = "12 h"', "--replications", str(REPLICATIONS)),
        *("--workers", "2", "--drive", "simpy", "--quiet", "--out", str(out)),
    ]


def stored(folder: Path) -> dict[str, tuple[int, str, float]]:
    """Return place, seal and time of every stored replication by its key; empty before there is a table."""
    if not (folder / NAME).exists():
        return {}
    connection = sqlite3.connect(folder / NAME)
    try:
        if not connection.execute("SELECT 1 FROM sqlite_master WHERE name = 'replication'").fetchone():
            return {}
        rows = connection.execute("SELECT key, rowid, seal, seconds FROM replication").fetchall()
    finally:
        connection.close()
    return {key: (place, seal, seconds) for key, place, seal, seconds in rows}


def texts(folder: Path) -> dict[str, bytes]:
    """Return the files of a study but its store."""
    return {path.name: path.read_bytes() for path in folder.iterdir() if not path.name.startswith(NAME)}


def kill(words: list[str], folder: Path, *, more: int, after: float, with_workers: bool) -> None:
    """Start a study and kill it a moment after it has kept so many replications more."""
    aim = len(stored(folder)) + more
    run = subprocess.Popen(
        words,
        env=environment({}),
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )
    end = time.monotonic() + 60
    while run.poll() is None and len(stored(folder)) < aim:
        assert time.monotonic() < end, "the study does not get on"
        time.sleep(0.02)
    time.sleep(after)
    if with_workers and run.poll() is None:
        os.killpg(run.pid, signal.SIGKILL)
    run.kill()
    _, said = run.communicate(timeout=20)
    assert run.returncode in (0, -signal.SIGKILL), said


def test_killed_again_and_again(tmp_path: Path) -> None:
    """No kill at any moment loses or repeats what was finished; the final tables are equal byte for byte."""
    line = tmp_path / "line.toml"
    line.write_text(LINE, encoding="utf-8")
    luck = random.Random(9)
    broken, whole = tmp_path / "broken", tmp_path / "whole"
    counts: list[int] = []
    before: dict[str, tuple[int, str, float]] = {}
    for number, more in enumerate(MORE):
        words = command(line, broken)
        kill(words, broken, more=more, after=luck.uniform(0, 0.3), with_workers=number % 2 == 0)
        time.sleep(0.05)
        now = stored(broken)
        assert before.items() <= now.items(), "a kept replication was lost or run again"
        before = now
        counts.append(len(now))
    assert len({count for count in counts if 0 < count < ALL}) >= 3, f"too few kills in mid-study: {counts}"
    for folder in (broken, whole):
        done = subprocess.run(
            command(line, folder),
            env=environment({}),
            capture_output=True,
            text=True,
            timeout=120,
            check=False,
        )
        assert (done.returncode, done.stderr) == (0, "")
    after = stored(broken)
    assert before.items() <= after.items() and len(after) == ALL
    assert texts(broken) == texts(whole)
    assert len(texts(broken)) == 4
