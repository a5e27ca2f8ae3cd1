"""Every input that carries a weight: times, chances and breakdowns, with their places."""

from __future__ import annotations

from collections.abc import Iterator

from linesim.scenario.base import Record
from linesim.scenario.models import Scenario
from linesim.scenario.origins import Path
from linesim.scenario.weights import Weighed
from linesim.scenario.work import Task


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
