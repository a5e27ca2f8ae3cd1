"""The inputs that nobody measured, and how each is moved to its low and high end."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from linesim.questions.changes import Setting, rounded, scaled_time
from linesim.scenario import Scenario
from linesim.scenario.base import Chance, Weighed
from linesim.scenario.content import weighed_in
from linesim.scenario.origins import Path, Place
from linesim.scenario.people import Breakdown
from linesim.scenario.replace import Changes
from linesim.scenario.shapes import Shape
from linesim.scenario.toml import key
from linesim.scenario.work import Fault, Task

Ends = tuple[float, float]

#: Factors on a figure that carries no range of its own.
DEFAULT_RANGE = MappingProxyType({"guess": (0.7, 1.3), "estimated": (0.85, 1.15)})
_OF_FAULTS = MappingProxyType(
    {"chance": "fault chances", "chance_for": "fault chances", "detect": "chances of detection"}
)
MOST_SINGLE = 24  #: With more inputs than these the estimated times of a station are moved together.


@dataclass(frozen=True, slots=True)
class Doubtful:
    """One input that is not measured, or several of a station that are moved together.

    Attributes:
        name: Place in the scenario; of several inputs, what they are.
        weight: ``guess`` or ``estimated``.
        silent: How many of them say nothing of themselves, and count as estimates.
        what: What the factor is on: ``time``, ``chance`` or ``how often it fails``.
        ends: Lowest and highest factor.
        is_default: Whether the factors are the usual ones, because the input carries no range.
        count: Inputs in it.
        low, high: Changes that move it to either end.
        group: What it may be moved with, such as ``estimated times of T6``; empty if it always moves alone.
    """

    name: str
    weight: str
    silent: int
    what: str
    ends: Ends
    is_default: bool
    count: int
    low: Changes
    high: Changes
    group: str = ""

    def changes(self, end: str) -> Changes:
        """Return the changes that move it to its ``low`` or ``high`` end."""
        return self.low if end == "low" else self.high


def doubtful_in(scenario: Scenario) -> tuple[Doubtful, ...]:
    """Return every input that is not marked as measured, guesses first; one without a mark is an estimate.

    A factor on a time makes it longer or shorter with its coefficient of variation kept. A chance is
    multiplied, up to 1. On a breakdown as a whole the factor is on how often it comes, on a fault as a
    whole on its chances; on a task it is on its times. Parts that carry a weight of their own are left
    to it, and what is weighed as a whole is not doubted once more in its parts.
    """
    weighed = list(weighed_in(scenario))
    wholes = {path: value for path, value in weighed if value.confidence is not None}
    found = []
    for path, value in weighed:
        if value.confidence in DEFAULT_RANGE or (
            value.confidence is None and _stands_alone(path, value, wholes)
        ):
            place = tuple(str(part) for part in path)
            found += list(_doubtful(_as_written(scenario, place), value))
    return tuple(sorted(found, key=lambda item: item.weight != "guess"))


def _stands_alone(path: Path, value: Weighed | Task, wholes: Mapping[Path, Weighed | Task]) -> bool:
    """Return whether an input without a mark is one of its own: no whole, and no part of a marked one."""
    if isinstance(value, Task | Fault) or (isinstance(value, Breakdown) and not isinstance(value.every, int)):
        return False
    if isinstance(value, Chance) and value.value in (0, 1):
        return False  # never and always are rules of the line, no estimates
    for end in range(1, len(path)):
        whole = wholes.get(path[:end])
        if isinstance(whole, Fault | Breakdown) or (
            isinstance(whole, Task) and path[end] in ("time", "time_for")
        ):
            return False
    return True


def _as_written(scenario: Scenario, path: Place) -> Place:
    """Return a place as a file names it: the only fault of a task has no name there."""
    if path[0] == "station" and path[4:6] == ("fault", "fault"):
        faults = scenario.station[path[1]].task[path[3]].fault
        if list(faults) == ["fault"]:
            return (*path[:5], *path[6:])
    return path


def by_station(inputs: Sequence[Doubtful]) -> tuple[Doubtful, ...]:
    """Return the inputs with those put together that usually err to one side, such as a station's times.

    Estimates of one station usually come from one method sheet. Guesses stay alone, and so does everything
    else that somebody took the trouble to mark.
    """
    together: dict[str, list[Doubtful]] = {}
    for item in inputs:
        together.setdefault(item.group or item.name, []).append(item)
    groups = [
        items[0] if len(items) == 1 else _joined(f"{len(items)} {name}", items)
        for name, items in together.items()
    ]
    return tuple(sorted(groups, key=lambda item: item.count > 1))


def _joined(name: str, items: Sequence[Doubtful]) -> Doubtful:
    return Doubtful(
        name=name,
        weight=items[0].weight,
        silent=sum(item.silent for item in items),
        what="time",
        ends=(min(item.ends[0] for item in items), max(item.ends[1] for item in items)),
        is_default=all(item.is_default for item in items),
        count=len(items),
        low=dict(setting for item in items for setting in item.low.items()),
        high=dict(setting for item in items for setting in item.high.items()),
        group=items[0].group,
    )


def _doubtful(path: Place, value: Weighed | Task) -> Iterator[Doubtful]:
    weight = value.confidence or "estimated"
    given = value.time.range if isinstance(value, Task) else value.range
    low, high = given or DEFAULT_RANGE[weight]
    at_low, at_high = (dict(_settings(path, value, factor)) for factor in (low, high))
    # Nothing is left of a task or failure whose parts have weights of their own, and 0 stays 0.
    if at_low != at_high:
        yield Doubtful(
            name=key(path),
            weight=weight,
            silent=int(value.confidence is None),
            what=_what(value),
            ends=(low, high),
            is_default=given is None,
            count=1,
            low=at_low,
            high=at_high,
            group=_group(path, value),
        )


def _group(path: Place, value: Weighed | Task) -> str:
    """Return what an input may be moved with: estimated times of a station; of what is unmarked also more."""
    if value.confidence not in (None, "estimated"):
        return ""
    is_time = isinstance(value, Task) or path[4:5] in (("time",), ("time_for",))
    if is_time and path[0] == "station" and path[2:3] == ("task",):
        return f"estimated times of {path[1]}"
    if value.confidence is None and path[0] == "station" and path[4:5] == ("fault",):
        kind = next((_OF_FAULTS[part] for part in path[5:] if part in _OF_FAULTS), "repair times")
        return f"unmarked {kind} at {path[1]}"
    if value.confidence is None and path[0] == "option":
        return f"unmarked take rates of {path[1]}"
    return ""


def _what(value: Weighed | Task) -> str:
    if isinstance(value, Chance | Fault):
        return "chance"
    if isinstance(value, Breakdown) and (isinstance(value.every, int) or value.every.confidence is None):
        return "how often it fails"
    return "time"


def _settings(path: Place, value: Weighed | Task, factor: float) -> Iterator[Setting]:
    if isinstance(value, Task):
        times = [((*path, "time"), value.time)]
        times += [((*path, "time_for", name), time) for name, time in value.time_for.items()]
        for place, time in times:
            if time.confidence is None:
                yield from scaled_time(place, time, factor)
    elif isinstance(value, Shape):
        yield from scaled_time(path, value, factor)
    elif isinstance(value, Chance):
        yield _chance(path, value, factor)
    elif isinstance(value, Fault):
        chances = [((*path, "chance"), value.chance)]
        chances += [((*path, "chance_for", name), odds) for name, odds in value.chance_for.items()]
        for place, odds in chances:
            if odds.confidence is None:
                yield _chance(place, odds, factor)
    else:
        assert isinstance(value, Breakdown), path
        yield from _failure(path, value, factor)


def _failure(path: Place, value: Breakdown, factor: float) -> Iterator[Setting]:
    """Yield what makes a failure come so many times as often; if that is weighed apart, last so long."""
    if isinstance(value.every, int):
        yield (*path, "every"), max(1, round(value.every / factor))
    elif value.every.confidence is None:
        yield from scaled_time((*path, "every"), value.every, 1 / factor)
    elif value.lasts.confidence is None:
        yield from scaled_time((*path, "lasts"), value.lasts, factor)


def _chance(path: Place, value: Chance, factor: float) -> Setting:
    return (*path, "value"), min(1.0, rounded(value.value * factor))
