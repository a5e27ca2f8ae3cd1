"""A small line that is right, for tests that change one thing in it."""

import tomllib
from pathlib import Path
from typing import Any

from linesim.errors import Problem, ScenarioError
from linesim.scenario import Scenario, from_dict, load_text, read_text
from linesim.scenario.replace import laid
from linesim.scenario.toml import toml_line

BASE = """\
takt = "60 s"
flow = ["main", "lane", "trim"]

[run]
length = "1 h"

[section.main]
pacing = "moving"
stations = ["A1", "A2", "A3"]

[section.trim]
pacing = "indexed"
transfer = "5 s"
stations = ["B1"]

[buffer.lane]
capacity = 2

[crew.team]
people = 2
covers = ["A1", "A2", "A3", "B1"]

[station.A1.task.fit]
time = "50 s"
[station.A2.task.seal]
time = "20 s"
"""


def written(*lines: str, text: str = BASE) -> str:
    """Return the small line with lines of TOML written into it, whatever they name."""
    raw: dict[str, Any] = tomllib.loads(text)
    for line in lines:
        raw = laid(raw, tomllib.loads(line))
    return "\n".join(toml_line((name,), value) for name, value in raw.items())


def base(*sets: str) -> Scenario:
    """Return the small line with lines of TOML written into it."""
    return load_text(written(*sets))


def problems(*sets: str, text: str = BASE, folder: Path | str = ".") -> tuple[Problem, ...]:
    """Return the errors of the small line with lines of TOML written into it."""
    try:
        read_text(written(*sets, text=text) if sets else text, folder)
    except ScenarioError as error:
        return error.problems
    return ()


def codes(*sets: str) -> list[str]:
    """Return the codes of the errors of the small line with lines of TOML written into it."""
    return [problem.code for problem in problems(*sets)]


def warnings(*sets: str) -> list[str]:
    """Return the codes of the warnings of the small line, the missing question left out."""
    found = read_text(written(*sets)).warnings
    return [warning.code for warning in found if warning.code != "no-question"]


def tables(**changes: Any) -> Scenario:
    """Return the small line with top-level tables replaced."""
    return from_dict({**base().as_dict(), **changes})
