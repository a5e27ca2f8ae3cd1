"""What a scenario holds: as tables, as one hash, its weighed inputs, how often a model has an option."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping
from typing import Any

from linesim.scenario.base import Chance, Named, Record, Weighed
from linesim.scenario.models import Scenario
from linesim.scenario.orders import Option, Package
from linesim.scenario.origins import Path
from linesim.scenario.work import Task
from linesim.ticks import Duration

#: Keys that only say where content was read from.
_WHERE = frozenset({"file", "column", "extends", "tasks"})
#: Keys that decide no figure of a replication.
_WORDS = frozenset({"title", "note", "study"})
_OF_STUDIES = frozenset({"fixed"})
#: Keys that came later and say nothing where they are empty: what was written before keeps its fingerprint.
_LATER = frozenset({"absence", "learning"})
_CHOSEN_BY_RUN = frozenset({"seed", "replications", "limit_factor"})
#: Tables by name whose order means nothing: the flow and the sections give theirs.
_NO_ORDER = frozenset({"section", "station", "buffer", "calendar", "zone", "take"})
#: Types of what is written as it is; most values are of these, so they are asked for first.
_PLAIN = frozenset({str, int, float, bool, type(None)})


def as_dict(scenario: Scenario) -> dict[str, Any]:
    """Return the scenario as tables of text and numbers, without the names of files."""
    dumped = scenario.model_dump(mode="json", by_alias=True, exclude_none=True)
    return {key: _without_places(item) for key, item in dumped.items() if key not in _WHERE}


def _without_places(value: Any) -> Any:
    if isinstance(value, dict):
        # Only texts are names of files: a station or a task may well be called `file`.
        return {
            key: _without_places(item)
            for key, item in value.items()
            if not (key in _WHERE and isinstance(item, str))
        }
    return [_without_places(item) for item in value] if isinstance(value, list) else value


def fingerprint(scenario: Scenario) -> str:
    """Return the SHA-256 of the scenario's content in one fixed way of writing."""
    text = json.dumps(_canonical(scenario, ""), ensure_ascii=True, separators=(",", ":"), sort_keys=True)
    return hashlib.sha256(text.encode("ascii")).hexdigest()


def _canonical(value: Any, key: str) -> Any:
    """Return a value as lists, text and numbers that are equal exactly where the content is."""
    if type(value) in _PLAIN:
        return value
    if isinstance(value, Scenario):
        return _fields(value, _WHERE | _WORDS)
    if isinstance(value, Record):
        return _fields(
            value, _WHERE | {"title"} | _OF_STUDIES | (_CHOSEN_BY_RUN if key == "run" else frozenset())
        )
    if isinstance(value, Duration):
        # Five shifts and forty hours differ once a calendar has nights between its shifts.
        return [value.seconds, "shift"] if value.unit == "shift" else value.seconds
    if isinstance(value, Named):
        pairs = [[name, _canonical(item, name)] for name, item in value.items()]
        return sorted(pairs, key=lambda pair: str(pair[0])) if key in _NO_ORDER else pairs
    if isinstance(value, tuple):
        return [_canonical(item, key) for item in value]
    return value


def _fields(record: Record, left_out: frozenset[str]) -> Mapping[str, Any]:
    return {
        name: _canonical(value, name)
        for name in type(record).model_fields
        if name not in left_out and ((value := getattr(record, name)) or name not in _LATER)
    }


def weighed_in(scenario: Scenario) -> Iterator[tuple[Path, Weighed | Task]]:
    """Yield times, chances, breakdowns and tasks with their paths, in the order of the tables.

    A task may carry the weight of its time; then both the task and its time are yielded, and
    only one of them has a `confidence`.
    """
    yield from _below(scenario, ())


def _below(value: object, path: Path) -> Iterator[tuple[Path, Weighed | Task]]:
    if isinstance(value, Record):
        if isinstance(value, Weighed | Task):
            yield path, value
        for name, info in type(value).model_fields.items():
            yield from _below(getattr(value, name), (*path, info.alias or name))
    elif isinstance(value, dict):
        for name, item in value.items():
            yield from _below(item, (*path, name))


def take_rate(taken: Option | Package, model: str) -> float:
    """Return the chance that a job of a model takes an option or package by itself."""
    if isinstance(taken.take, Chance):
        return taken.take.value
    return taken.take[model].value if model in taken.take else 0.0


def option_shares(scenario: Scenario, model: str) -> dict[str, float]:
    """Return the share of a model's jobs that have each option, alone or through a package.

    An option and the packages that hold it are drawn independently of one another, so a job
    lacks the option only if it has taken none of them. Options that come along because another
    option `needs` them are not counted.
    """
    lacks = {name: 1.0 - take_rate(option, model) for name, option in scenario.option.items()}
    for package in scenario.package.values():
        for name in package.options:
            if name in lacks:
                lacks[name] *= 1.0 - take_rate(package, model)
    return {name: 1.0 - share for name, share in lacks.items()}
