"""What a scenario holds, apart from how and where it was written: as tables, and as one hash."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from typing import Any

from linesim.scenario.base import Named, Record
from linesim.scenario.models import Scenario
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
