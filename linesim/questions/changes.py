"""Changes of a scenario: what differs between two, before and after, and times made longer or shorter."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from linesim.scenario.origins import Place
from linesim.scenario.toml import key, shown_value
from linesim.ticks import Duration, parse_duration

if TYPE_CHECKING:
    from linesim.scenario import Scenario
    from linesim.scenario.shapes import Shape
    from linesim.scenario.work import Task


#: What decides no figure of a replication.
_WORDS = frozenset({"title", "note", "study"})
_REMARKS = frozenset({"source", "confidence", "range"})
_LONGEST = 60  #: Letters of a value that are shown; of a longer one only what it is.


@dataclass(frozen=True, slots=True)
class InputChange:
    """One input that differs.

    Attributes:
        path: Its place in the scenario.
        before, after: What it was and is, as text; None where it is not there.
    """

    path: Place
    before: str | None
    after: str | None

    @property
    def name(self) -> str:
        """The place as a dotted key."""
        return key(self.path)

    def __str__(self) -> str:
        if self.before is None:
            return f"{self.name}: new, {self.after}"
        if self.after is None:
            return f"{self.name}: gone, was {self.before}"
        return f"{self.name}: {self.before} → {self.after}"


def changes_between(before: Scenario, after: Scenario) -> tuple[InputChange, ...]:
    """Return what differs between two scenarios, in the order of the scenario.

    Titles, notes and remarks on where a figure comes from are left out; a time that is only written
    in another unit is no change.
    """
    old, new = before.as_dict(), after.as_dict()
    for words in _WORDS:
        old.pop(words, None)
        new.pop(words, None)
    found = tuple(_differences(old, new, ()))
    if not found and _in_another_order(old, new):
        return (InputChange(("order of the tables",), "as it was", "another"),)
    return found


def _differences(old: Any, new: Any, path: Place) -> Iterator[InputChange]:
    if isinstance(old, Mapping) and isinstance(new, Mapping) and ("value" in old) == ("value" in new):
        for name in dict.fromkeys([*old, *new]):
            if name in _REMARKS and not isinstance(old.get(name, new.get(name)), Mapping):
                continue
            here = path if name == "value" else (*path, name)
            if name in old and name in new:
                yield from _differences(old[name], new[name], here)
            elif name in old:
                yield InputChange(here, _shown(old[name]), None)
            else:
                yield InputChange(here, None, _shown(new[name]))
    elif not _same(old, new):
        yield InputChange(path, *_pair(old, new))


def _in_another_order(old: Any, new: Any) -> bool:
    """Return whether names that both have stand in another order somewhere."""
    if not isinstance(old, Mapping) or not isinstance(new, Mapping):
        return False
    both = [name for name in old if name in new]
    return both != [name for name in new if name in old] or any(
        _in_another_order(old[name], new[name]) for name in both
    )


def _same(old: Any, new: Any) -> bool:
    if isinstance(old, str) and isinstance(new, str) and old != new:
        try:
            one, other = parse_duration(old), parse_duration(new)
        except ValueError:
            return False
        # Shifts and hours are not the same once nights lie between the shifts.
        return one.seconds == other.seconds and (one.unit == "shift") == (other.unit == "shift")
    return bool(old == new)


def _pair(old: Any, new: Any) -> tuple[str, str]:
    if (
        isinstance(old, list)
        and isinstance(new, list)
        and len(shown_value(old) + shown_value(new)) > _LONGEST
    ):
        other = sum(a != b for a, b in zip(old, new, strict=False)) + abs(len(old) - len(new))
        return f"a list of {len(old)}", f"a list of {len(new)}, {other} of them other"
    return _shown(old), _shown(new)


def _shown(value: Any) -> str:
    text = shown_value(_without_nothing(value))
    if len(text) <= _LONGEST:
        return text
    if isinstance(value, Mapping):
        return f"a table of {len(value)}"
    return f"a list of {len(value)}" if isinstance(value, list) else text[: _LONGEST - 3] + "..."


def _without_nothing(value: Any) -> Any:
    """Return a value without what is empty, as most of a new table's fields are; a chance as its number."""
    if isinstance(value, Mapping):
        if "value" in value:
            return value["value"]
        kept = {name: _without_nothing(item) for name, item in value.items()}
        return {name: item for name, item in kept.items() if item not in ({}, [], None, "")}
    return value


Setting = tuple[Place, Any]  #: A place and what it is set to.
_DIGITS = 9  #: Digits of a scaled figure: far below a tick, and short enough to be read.


def scaled_time(path: Place, time: Shape, factor: float) -> Iterator[Setting]:
    """Yield the changes that make a time ``factor`` times as long, with its coefficient of variation kept.

    All its draws become ``factor`` times as long, whatever its shape: every time in the description of
    a shape is scaled, and what has no unit (`cv`, stages, power) stays.

    Args:
        path: Place of the time in the scenario.
        time: What stands there.
        factor: > 0.
    """
    for name in type(time).model_fields:
        value = getattr(time, name)
        if isinstance(value, Duration):
            yield (*path, name), str(scaled(value, factor))
        elif name == "values_s" and value:
            yield (*path, name), [rounded(item * factor) for item in value]


def scaled_task(path: Place, task: Task, factor: float) -> Iterator[Setting]:
    """Yield the changes that make every time of a task ``factor`` times as long; see `scaled_time`."""
    yield from scaled_time((*path, "time"), task.time, factor)
    for name, time in task.time_for.items():
        yield from scaled_time((*path, "time_for", name), time, factor)


def scaled(time: Duration, factor: float) -> Duration:
    """Return a length of time ``factor`` times as long, in the same unit.

    Examples:
        >>> from linesim.ticks import parse_duration
        >>> str(scaled(parse_duration("1 min"), 1 / 1.05))
        '0.952380952 min'
    """
    return Duration(rounded(time.amount * factor), time.unit, time.seconds * factor)


def rounded(value: float) -> Any:
    """Return a number with at most nine digits that count."""
    return float(f"{value:.{_DIGITS}g}")
