"""A scenario's times made longer or shorter by a factor, as changes of it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from linesim.scenario.origins import Place
from linesim.ticks import Duration

if TYPE_CHECKING:
    from linesim.scenario.shapes import Shape
    from linesim.scenario.work import Task

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
