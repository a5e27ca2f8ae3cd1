"""The inputs that somebody guessed or estimated, and how each is moved to its low and high end."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING

from linesim.questions.scaled import Setting, rounded, scaled_time
from linesim.scenario.breakdowns import Breakdown
from linesim.scenario.inputs import weighed_in
from linesim.scenario.origins import Place
from linesim.scenario.replace import Changes
from linesim.scenario.shapes import Shape
from linesim.scenario.toml import key
from linesim.scenario.weights import Chance, Weighed
from linesim.scenario.work import Fault, Task

if TYPE_CHECKING:
    from linesim.scenario import Scenario

Ends = tuple[float, float]

#: Factors on a figure that carries no range of its own.
DEFAULT_RANGE = MappingProxyType({"guess": (0.7, 1.3), "estimated": (0.85, 1.15)})
MOST_SINGLE = 24  #: With more inputs than these the estimated times of a station are moved together.


@dataclass(frozen=True, slots=True)
class Doubtful:
    """One input that is not measured, or several of a station that are moved together.

    Attributes:
        name: Place in the scenario; of several inputs, what they are.
        weight: ``guess`` or ``estimated``.
        what: What the factor is on: ``time``, ``chance`` or ``how often it fails``.
        ends: Lowest and highest factor.
        is_default: Whether the factors are the usual ones, because the input carries no range.
        count: Inputs in it.
        low, high: Changes that move it to either end.
        station: Station of a task's time, which may be moved with others of its station; else empty.
    """

    name: str
    weight: str
    what: str
    ends: Ends
    is_default: bool
    count: int
    low: Changes
    high: Changes
    station: str = ""


def doubtful_in(scenario: Scenario) -> tuple[Doubtful, ...]:
    """Return every input that is marked as a guess or an estimate, the guesses first.

    A factor on a time makes it longer or shorter with its coefficient of variation kept. A chance is
    multiplied, up to 1. On a breakdown as a whole the factor is on how often it comes, on a fault as a
    whole on its chances; on a task it is on its times. Parts that carry a weight of their own are left
    to it.
    """
    found = []
    for path, value in weighed_in(scenario):
        if value.confidence in DEFAULT_RANGE:
            place = tuple(str(part) for part in path)
            found += list(_doubtful(_as_written(scenario, place), value))
    return tuple(sorted(found, key=lambda item: item.weight != "guess"))


def _as_written(scenario: Scenario, path: Place) -> Place:
    """Return a place as a file names it: the only fault of a task has no name there."""
    if path[0] == "station" and path[4:6] == ("fault", "fault"):
        faults = scenario.station[path[1]].task[path[3]].fault
        if list(faults) == ["fault"]:
            return (*path[:5], *path[6:])
    return path


def by_station(inputs: Sequence[Doubtful]) -> tuple[Doubtful, ...]:
    """Return the inputs with the estimated times of tasks put together, station by station.

    Estimates of one station usually come from one method sheet and err to the same side. Guesses and
    everything else stay alone.
    """
    together: dict[str, list[Doubtful]] = {}
    alone = []
    for item in inputs:
        if item.station and item.weight == "estimated":
            together.setdefault(item.station, []).append(item)
        else:
            alone.append(item)
    groups = [
        items[0] if len(items) == 1 else _joined(f"{len(items)} estimated times of {station}", items)
        for station, items in together.items()
    ]
    return (*alone, *groups)


def _joined(name: str, items: Sequence[Doubtful]) -> Doubtful:
    return Doubtful(
        name=name,
        weight=items[0].weight,
        what="time",
        ends=(min(item.ends[0] for item in items), max(item.ends[1] for item in items)),
        is_default=all(item.is_default for item in items),
        count=len(items),
        low=dict(setting for item in items for setting in item.low.items()),
        high=dict(setting for item in items for setting in item.high.items()),
        station=items[0].station,
    )


def _doubtful(path: Place, value: Weighed | Task) -> Iterator[Doubtful]:
    assert value.confidence is not None
    given = value.time.range if isinstance(value, Task) else value.range
    low, high = given or DEFAULT_RANGE[value.confidence]
    at_low, at_high = (dict(_settings(path, value, factor)) for factor in (low, high))
    if at_low:  # nothing is left of a task or failure whose parts have weights of their own
        yield Doubtful(
            name=key(path),
            weight=value.confidence,
            what=_what(value),
            ends=(low, high),
            is_default=given is None,
            count=1,
            low=at_low,
            high=at_high,
            station=_station(path, value),
        )


def _station(path: Place, value: Weighed | Task) -> str:
    """Return the station of a task's time; empty for everything else, such as a repair."""
    is_time = isinstance(value, Task) or (
        isinstance(value, Shape) and path[4:5] in (("time",), ("time_for",))
    )
    return path[1] if is_time and path[0] == "station" and path[2:3] == ("task",) else ""


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
