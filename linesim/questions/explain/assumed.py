"""What a scenario takes for granted, input by input, the least known first."""

from __future__ import annotations

from typing import NamedTuple

from linesim.questions.explain.text import duration, percent, time_text, weight
from linesim.scenario import Scenario
from linesim.scenario.base import Chance, Weighed
from linesim.scenario.content import weighed_in
from linesim.scenario.origins import dotted
from linesim.scenario.resources import Breakdown
from linesim.scenario.shapes import Shape
from linesim.scenario.work import Fault, Task

LEVELS = ("guess", "estimated", "measured", "")  #: From the least known to what nobody says anything about.


class Assumption(NamedTuple):
    """One input that somebody has said something about, or should.

    Attributes:
        key: Its place in the scenario, dotted.
        value: What it is set to, in words.
        known: ``guess``, ``estimated``, ``measured``, or empty where nobody says.
        source: Where the figure comes from, empty where nobody says.
        span: Factors that somebody would defend, in words; empty if none are given.
    """

    key: str
    value: str
    known: str
    source: str
    span: str


def assumptions(scenario: Scenario) -> tuple[Assumption, ...]:
    """Return times, chances and breakdowns with how well each is known: guesses first, silence last.

    A time whose task says how well it is known stands there once, under the task.
    """
    found = list(weighed_in(scenario))
    told = {path for path, value in found if isinstance(value, Task) and _is_weighed(value)}
    rows = [
        _row(dotted(path), value)
        for path, value in found
        if _is_weighed(value) or (_counts_unsaid(value) and not (path[-1] == "time" and path[:-1] in told))
    ]
    return tuple(sorted(rows, key=lambda row: LEVELS.index(row.known)))


def _is_weighed(value: Weighed | Task) -> bool:
    return bool(value.confidence or value.source or getattr(value, "range", None))


def _counts_unsaid(value: Weighed | Task) -> bool:
    """Return whether an input of which nobody says anything is worth a line: no certainty, no mere frame."""
    if isinstance(value, Chance):
        return 0 < value.value < 1
    return isinstance(value, Shape)


def _row(key: str, value: Weighed | Task) -> Assumption:
    span = getattr(value, "range", None)
    said = "" if span is None else f"{span[0]:g} to {span[1]:g} times that"
    return Assumption(key, _value(value), value.confidence or "", value.source or "", said)


def _value(value: Weighed | Task) -> str:
    if isinstance(value, Task):
        return _bare(value.time)
    if isinstance(value, Shape):
        return _bare(value)
    if isinstance(value, Chance):
        return percent(value.value)
    if isinstance(value, Fault):
        return percent(value.chance.value)
    assert isinstance(value, Breakdown), f"an input of the kind {type(value).__name__} has no words"
    often = f"{value.every} jobs" if isinstance(value.every, int) else duration(value.every.mean_s)
    return f"every {often}, for {duration(value.lasts.mean_s)}"


def _bare(time: Shape) -> str:
    return time_text(time).removesuffix(weight(time))
