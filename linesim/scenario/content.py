"""What a scenario holds: as tables, as one hash, weighed inputs, shares of options, where things stand."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from linesim.scenario.base import Chance, Named, Record, Weighed
from linesim.scenario.models import Option, Package, Scenario
from linesim.scenario.origins import Path
from linesim.scenario.run import Run
from linesim.scenario.work import Task
from linesim.ticks import Duration


@dataclass(frozen=True, slots=True)
class Layout:
    """The main line and its feeders, each a row of sections and buffers.

    Attributes:
        flows: Sections and buffers of the main line, then of each feeder.
        section_of: Section of each station, in line order.
        line_of: Line (0 is the main one) of each section, buffer and station.
        rank: Number of each section, buffer and station along its own line; a section ranks
            just before its first station.
        joins: Section or station of the main line that each feeder joins, by line.
    """

    flows: tuple[tuple[str, ...], ...]
    section_of: dict[str, str]
    line_of: dict[str, int]
    rank: dict[str, int]
    joins: dict[int, str]

    @classmethod
    def of(cls, scenario: Scenario) -> Layout:
        """Return the layout of a scenario; what is named twice counts where it comes first."""
        flows = (scenario.flow, *(feeder.flow for feeder in scenario.feeder.values()))
        section_of: dict[str, str] = {}
        line_of: dict[str, int] = {}
        rank: dict[str, int] = {}
        for line, flow in enumerate(flows):
            number = 0
            for name in flow:
                section = scenario.section.get(name)
                for place in (name, *(section.stations if section else ())):
                    if place not in rank:
                        rank[place] = number
                        line_of[place] = line
                        number += 1
                for station in section.stations if section else ():
                    section_of.setdefault(station, name)
        joins = {line: feeder.joins for line, feeder in enumerate(scenario.feeder.values(), start=1)}
        return cls(flows, section_of, line_of, rank, joins)

    def end_of(self, scenario: Scenario, section: str) -> int | None:
        """Return the rank of the last station of a section; `None` if it is not in the line."""
        ranks = [self.rank[name] for name in scenario.section[section].stations if name in self.rank]
        return max(ranks, default=self.rank.get(section))

    def is_before(self, first: str, second: str) -> bool | None:
        """Return whether `first` comes strictly before `second`; `None` on different lines."""
        if first not in self.line_of or second not in self.line_of:
            return None
        if self.line_of[first] != self.line_of[second]:
            return None
        return self.rank[first] < self.rank[second]

    def rides_to(self, first: str, second: str) -> bool:
        """Return whether what is built at `first`, on a feeder, comes to `second`, on the main line.

        It comes to all of it where nobody knows what the feeder joins.
        """
        joins = self.joins.get(self.line_of.get(first, 0))
        if joins is None or self.line_of.get(second) != 0:
            return False
        section = self.section_of.get(joins, joins)  # a unit joins as the job boards
        return section not in self.rank or self.rank[second] >= self.rank[section]

    def stations(self) -> Iterator[str]:
        """Yield the stations in line order, the main line first."""
        yield from self.section_of


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
    """Return the SHA-256 of the scenario's content in one fixed way of writing.

    Stations, crews and other things by name keep the text of their content, so that of a changed scenario
    only what was changed is written anew.
    """
    return hashlib.sha256(scenario.content_text.encode("ascii")).hexdigest()


def text_of(record: Record) -> str:
    """Return what decides figures in a record, in one fixed way of writing."""
    if not isinstance(record, Scenario):
        return _text(_canonical(record, "run" if isinstance(record, Run) else ""))
    parts = {
        name: _text_of_things(value, name) if isinstance(value, Named) else _text(_canonical(value, name))
        for name in type(record).model_fields
        if name not in _WHERE | _WORDS
        for value in [getattr(record, name)]
    }
    return f"{{{','.join(f'{_text(name)}:{parts[name]}' for name in sorted(parts))}}}"


def _text_of_things(table: Named[Record], key: str) -> str:
    pairs = [(name, item.content_text) for name, item in table.items()]
    listed = sorted(pairs, key=lambda pair: str(pair[0])) if key in _NO_ORDER else pairs
    return f"[{','.join(f'[{_text(name)},{text}]' for name, text in listed)}]"


def _text(value: Any) -> str:
    return json.dumps(value, ensure_ascii=True, separators=(",", ":"), sort_keys=True)


def _canonical(value: Any, key: str) -> Any:
    """Return a value as lists, text and numbers that are equal exactly where the content is."""
    if type(value) in _PLAIN:
        return value
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
