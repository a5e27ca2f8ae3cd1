"""What a scenario leaves unsaid, filled in so that nobody to the right has to know the defaults.

The raw tables are completed before they are checked: one model if none is named, a table for
every station of every section, tables of the line in line order, the only calendar as that of
the run.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from linesim.scenario.base import part_of
from linesim.scenario.run import minutes_of
from linesim.ticks import SHIFT_S, parse_duration

STANDARD = "standard"  #: Name of the one model of a scenario that names none.


def complete(raw: dict[str, Any]) -> None:
    """Fill in what the raw scenario leaves unsaid; values of the wrong kind are left alone."""
    if not raw.get("model") and isinstance(raw.get("model", {}), Mapping):
        raw["model"] = {STANDARD: {}}
    calendars = raw.get("calendar")
    run = raw.get("run")
    if isinstance(calendars, Mapping) and len(calendars) == 1 and isinstance(run, dict):
        raw["run"] = {"calendar": next(iter(calendars)), **run}
    sections = _table(raw, "section")
    flow = [*_names(raw.get("flow"))]
    for feeder in _table(raw, "feeder").values():
        flow += _names(part_of(feeder, "flow"))
    stations = [station for name in flow for station in _names(part_of(sections.get(name), "stations"))]
    if isinstance(raw.get("station", {}), Mapping):
        raw["station"] = {**{name: {} for name in stations}, **_table(raw, "station")}
    for kind, order in (("section", flow), ("buffer", flow), ("station", stations)):
        if isinstance(raw.get(kind), Mapping):
            raw[kind] = _in_order(raw[kind], order)


def shift_length(raw: Mapping[str, Any]) -> float:
    """Return the gross length of a shift [s]: of the run's calendar, or as `[run]` says, or 8 h."""
    run = raw.get("run")
    followed = part_of(run, "calendar")
    calendar = _table(raw, "calendar").get(followed) if isinstance(followed, str) else None
    for span in _names(part_of(calendar, "shifts")):
        if minutes := minutes_of(span):
            return 60.0 * (minutes[1] - minutes[0])
    try:
        said = parse_duration(str(part_of(run, "shift", "")))
    except ValueError:
        return SHIFT_S
    return said.seconds if said.unit != "shift" and said.seconds > 0 else SHIFT_S


def _table(raw: Mapping[str, Any], name: str) -> Mapping[Any, Any]:
    table = raw.get(name)
    return table if isinstance(table, Mapping) else {}


def _names(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, Iterable) and not isinstance(value, Mapping):
        yield from (item for item in value if isinstance(item, str))


def _in_order(table: Mapping[str, Any], order: Iterable[str]) -> dict[str, Any]:
    """Return the table with the names of `order` first, the others after them as they stood."""
    first = [name for name in dict.fromkeys(order) if name in table]
    return {**{name: table[name] for name in first}, **table}
