"""What a scenario takes for granted, input by input, the least known first, and what nobody measured."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby
from typing import NamedTuple

from linesim.answers.wording import count_of
from linesim.questions.explain.text import (
    Chapter,
    Sentence,
    chance_text,
    duration,
    percent,
    time_text,
    weight,
)
from linesim.scenario import Scenario
from linesim.scenario.base import Chance, Weighed
from linesim.scenario.content import weighed_in
from linesim.scenario.origins import dotted
from linesim.scenario.people import Breakdown
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


Input = tuple[tuple[str | int, ...], Weighed | Task]  #: An input: its place in the scenario, and what it is.


def guesses(scenario: Scenario) -> Chapter:
    """Return the inputs that are marked as guesses, then the estimates, then how many say nothing."""
    found = list(weighed_in(scenario))
    sentences: list[Sentence] = []
    guessed = [(path, value) for path, value in found if value.confidence == "guess"]
    if guessed:
        sentences.append(Sentence(f"Guesses, {len(guessed)}:"))
        sentences += [Sentence(_line(path, value), 1) for path, value in guessed]
    estimated = [(path, value) for path, value in found if value.confidence == "estimated"]
    if estimated:
        sentences.append(Sentence(f"Estimates, {len(estimated)}, each marked again where it stands:"))
        sentences += [Sentence(line, 1) for line in _by_station(estimated)]
    if not sentences:
        sentences.append(Sentence("No input is marked as a guess or an estimate."))
    silent = sum(1 for value in _times(found) if value.confidence is None)
    measured = sum(1 for _, value in found if value.confidence == "measured")
    known = f"{count_of(measured, 'input is', 'inputs are')} marked as measured"
    unknown = f"how well {count_of(silent, 'time is', 'times are')} known, nobody says"
    sentences.append(Sentence(f"{known}; {unknown}."))
    return Chapter("What is guessed", tuple(sentences))


def _times(found: list[Input]) -> Iterator[Shape]:
    """Yield the times whose weight is given neither with them nor with their task."""
    weighed = {path for path, value in found if isinstance(value, Task) and value.confidence}
    for path, value in found:
        if isinstance(value, Shape) and path[:-1] not in weighed:
            yield value


def _by_station(inputs: list[Input]) -> Iterator[str]:
    """Yield a line for each input; task times of one station and source, more than one, share theirs."""
    for (station, source), group in groupby(inputs, _sheet):
        members = list(group)
        if station is None or len(members) == 1:
            yield from (_line(path, value) for path, value in members)
        else:
            yield f"{station}: times of {len(members)} tasks{f' [{source}]' if source else ''}"


def _sheet(item: Input) -> tuple[str | None, str | None]:
    """Return the station of a task's time and its source; nothing for any other input."""
    path, value = item
    return (dotted(path[:-2]), value.source) if isinstance(value, Task) else (None, None)


def _line(path: tuple[str | int, ...], value: Weighed | Task) -> str:
    return f"{dotted(path)}: {_said(value)}"


def _said(value: Weighed | Task) -> str:
    if isinstance(value, Task):
        return f"time of {time_text(value.time)}{f' [{value.source}]' if value.source else ''}"
    if isinstance(value, Shape):
        return time_text(value)
    if isinstance(value, Chance):
        return chance_text(value)
    if isinstance(value, Breakdown):
        return f"lasts {time_text(value.lasts)}{weight(value)}"
    return weight(value).strip() or "as given"
