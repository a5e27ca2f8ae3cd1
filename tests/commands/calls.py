"""How the tests of commands call the program: in this process, or as a user would."""

import os
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]

LINE = """\
title = "Two stations and a lane"
takt  = "60 s"
flow  = ["front", "lane", "back"]
[study]
question = "What does it make?"
[target]
jobs_per_shift = 55
[run]
length       = "3 h"
warm_up      = "10 min"
replications = 10
seed         = 5
shift        = "1 h"
[model.plain]
share = 3.0
[model.rich]
[option.rack]
take = 0.5
[section.front]
pacing   = "free"
stations = ["A"]
[section.back]
pacing   = "moving"
stations = ["B", "C"]
[station.B]
late = 0.2
[buffer.lane]
capacity = 2
[crew.one]
people = 1
covers = ["A"]
[crew.two]
people = 2
covers = ["B"]
[station.A.task.fit]
time     = { mean = "50 s", cv = 0.3 }
time_for = { rich = { mean = "58 s", cv = 0.3 } }
fault    = { chance = 0.05, found = "at once", tries = 1, repair = "20 s" }
[station.B.task.bolt]
time   = { mean = "45 s", cv = 0.3 }
[station.B.task.rack]
time    = "20 s"
options = ["rack"]
after   = ["bolt"]
"""  #: A line of two stations that fails to keep its takt now and then; a replication takes milliseconds.

#: Every job fails its test. The bay gives back to a lane whose job waits for the one that waits for the bay.
STUCK = """\
takt = "60 s"
flow = ["first", "lane", "second"]
[run]
length = "4 h"
[section.first]
pacing   = "free"
stations = ["A"]
[section.second]
pacing   = "free"
stations = ["B"]
[buffer.lane]
capacity = 1
[bay.corner]
section = "second"
rejoin  = "lane"
[crew.all]
people = 5
covers = ["A", "B", "corner"]
[station.A.task.fit]
time  = "30 s"
fault = { chance = 1.0, found = "B.test", right = "corner", repair = "5 min" }
[station.B.task.test]
time  = "30 s"
again = true
"""


@dataclass(frozen=True)
class Said:
    """What a call of the program said, and its exit status."""

    status: int
    out: str
    err: str


def call(capsys: pytest.CaptureFixture[str], *words: str | Path) -> Said:
    """Run a command in this process."""
    from linesim.commands.main import main

    status = main([str(word) for word in words])
    said = capsys.readouterr()
    return Said(status, said.out, said.err)


def program(*words: str | Path, cwd: Path | None = None, **env: str) -> Said:
    """Run the program as a user does, in a process of its own."""
    done = subprocess.run(
        [sys.executable, "-m", "linesim", *[str(word) for word in words]],
        cwd=cwd,
        env=environment(env),
        capture_output=True,
        text=True,
        encoding="utf-8",
        timeout=120,
        check=False,
    )
    return Said(done.returncode, done.stdout, done.stderr)


def environment(changes: dict[str, str]) -> dict[str, str]:
    """Return the environment of a user, with the checkout as the package and some variables changed."""
    ours = {"NO_COLOR", "COLUMNS", "TERM", "OPENBLAS_NUM_THREADS"}
    plain = {key: value for key, value in os.environ.items() if key not in ours}
    return {**plain, "PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "utf-8", **changes}


def command_words(command: str) -> Sequence[str]:
    """Return the words of an example of the help as a shell would split them, without the program's name."""
    import shlex

    words = shlex.split(command)
    assert words[0] == "linesim"
    return words[1:]
