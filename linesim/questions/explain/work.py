"""Stations, tasks, durations and chances in sentences, and what of a scenario is guessed."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby
from typing import NamedTuple

from linesim.answers.wording import count_of, listed
from linesim.scenario import Scenario
from linesim.scenario.base import Chance, Weighed
from linesim.scenario.content import weighed_in
from linesim.scenario.line import Section
from linesim.scenario.origins import dotted
from linesim.scenario.people import Breakdown
from linesim.scenario.shapes import (
    Constant,
    Empirical,
    Erlang,
    Exponential,
    Normal,
    Pert,
    Shape,
    Triangular,
    Uniform,
    Weibull,
)
from linesim.scenario.work import Fault, Task


class Sentence(NamedTuple):
    """One sentence; ``depth`` 1 belongs to the last one of depth 0 before it."""

    text: str
    depth: int = 0


class Chapter(NamedTuple):
    """A heading and what stands below it."""

    title: str
    sentences: tuple[Sentence, ...]


def duration(seconds: float) -> str:
    """Return a time in the unit that suits it.

    Examples:
        >>> duration(61), duration(400), duration(10_800), duration(0)
        ('61 s', '6.67 min', '3 h', '0 s')
    """
    if seconds >= 7200:
        return f"{seconds / 3600:.3g} h"
    if seconds >= 300:
        return f"{seconds / 60:.3g} min"
    return f"{seconds:.3g} s"


def time_text(time: Shape) -> str:
    """Return a time with its spread and how well it is known, such as ``61 s, ±15 % (lognormal)``."""
    return _spread(time) + weight(time)


def _spread(time: Shape) -> str:
    mean = duration(time.mean_s)
    if isinstance(time, Constant):
        return mean
    if isinstance(time, Triangular | Pert):
        ends = f"{duration(time.low.seconds)} to {duration(time.high.seconds)}"
        curve = "straight lines" if isinstance(time, Triangular) else "beta-PERT"
        return f"{ends}, mostly {duration(time.mode.seconds)} ({curve})"
    if isinstance(time, Uniform):
        return f"anything from {duration(time.low.seconds)} to {duration(time.high.seconds)}"
    if isinstance(time, Exponential):
        return f"{mean} on average, wholly irregular (exponential)"
    if isinstance(time, Erlang):
        return f"{mean} on average ({count_of(time.stages, 'exponential stage')})"
    if isinstance(time, Empirical):
        return f"{mean} on average, as measured {len(time.values_s)} times"
    if isinstance(time, Weibull) and time.power is not None:
        return f"{mean} on average (weibull of power {time.power:g})"
    shape = str(getattr(time, "shape", ""))
    if isinstance(time, Normal) and time.sd is not None:
        return f"{mean}, ±{duration(time.sd.seconds)} ({shape})"
    spread = getattr(time, "cv", None) or 0.0
    return f"{mean}, ±{100 * spread:.3g} % ({shape})" if spread else mean


def chance_text(chance: Chance) -> str:
    """Return a chance in percent, with how well it is known."""
    return f"{percent(chance.value)}{weight(chance)}"


def percent(share: float) -> str:
    """Return a share in percent.

    Examples:
        >>> percent(0.35), percent(0.0025)
        ('35 %', '0.25 %')
    """
    return f"{100 * share:.3g} %"


def weight(value: Weighed) -> str:
    """Return how well an input is known, in square brackets; empty where nothing is said."""
    parts = [part for part in (value.confidence, value.source) if part]
    if value.range is not None:
        parts.append(f"{value.range[0]:g} to {value.range[1]:g} times that")
    return f" [{', '.join(parts)}]" if parts else ""


def breakdown_text(name: str, failure: Breakdown) -> str:
    """Return how something fails, as a sentence."""
    if isinstance(failure.every, int):
        often = f"after every {count_of(failure.every, 'job')}"
    else:
        counted = "of running time" if failure.per == "running" else "of the calendar"
        often = f"every {time_text(failure.every)} {counted}"
    mended = ""
    if failure.repaired_by:
        mended = f", with {count_of(failure.people, 'person', 'people')} of {failure.repaired_by}"
    return f"{name}: {often}, for {time_text(failure.lasts)}{mended}{weight(failure)}."


def station_sentences(scenario: Scenario, name: str, section: Section) -> Iterator[Sentence]:
    """Yield what a station is, and its tasks in file order."""
    station = scenario.station[name]
    facts = []
    if station.places > 1:
        facts.append(f"{station.places} jobs side by side")
    if station.early:
        facts.append(f"may begin {percent(station.early)} of a takt before its border")
    if station.late:
        facts.append(f"may finish {percent(station.late)} of a takt past it")
    if section.pacing != "free" and station.on_limit == "pass":
        facts.append(f"lets open work go on{f' to {station.open_to}' if station.open_to else ''}")
    if station.call_at is not None:
        facts.append(f"calls for help at {percent(station.call_at)} of its window if the work will not fit")
    crews = [crew for crew, who in scenario.crew.items() if name in who.covers and not who.floater]
    by = f" ({listed(crews)})" if crews else ""
    tasks = [one for one in scenario.placed_tasks if one.at == name]
    if not tasks:
        yield Sentence(f"{name}: no work here{'; ' + '; '.join(facts) if facts else ''}.")
        return
    yield Sentence(f"{name}{by}{': ' + '; '.join(facts) if facts else ''}.")
    for word, disturbance in station.disturbance.items():
        yield Sentence(f"Disturbance, {breakdown_text(word, disturbance)}", 1)
    for listed_at, task_name, _, task in tasks:
        yield Sentence(_task(task_name if listed_at == name else f"{listed_at}.{task_name}", task), 1)
        for fault_name, fault in task.fault.items():
            yield Sentence(_fault(fault_name, fault), 2)


def _task(name: str, task: Task) -> str:
    known = [part for part in (task.confidence, task.source) if part]
    text = f"{name}{f' ({task.title})' if task.title else ''}: {time_text(task.time)}"
    text += f" [{', '.join(known)}]" if known else ""
    if task.time_for:
        others = [f"{time_text(time)} for {what}" for what, time in task.time_for.items()]
        text += f", but {listed(others)}"
    doers = []
    if task.people and task.crew:
        doers.append(f"{count_of(task.people, 'person', 'people')} of {listed(task.crew, 'or')}")
    elif task.people:
        doers.append(count_of(task.people, "person", "people"))
    doers += [f"robot {robot}" for robot in task.robot]
    text += f"; {listed(doers)}" if doers else "; nobody is needed"
    if task.tool:
        text += f" with {listed(task.tool)}"
    if task.zone:
        text += f" in zone {task.zone}"
    if task.after:
        text += f"; after {listed(task.after)}"
    if task.options:
        text += f"; only with {listed(task.options)}"
    if task.unless:
        text += f"; not with {listed(task.unless, 'or')}"
    if task.models:
        text += f"; only on {listed(task.models)}"
    if task.again:
        text += "; again on every pass"
    if task.fixed:
        text += "; has to stay here"
    return text + "."


def _fault(name: str, fault: Fault) -> str:
    text = f"{'goes wrong' if name == 'fault' else f'leaves {name}'} in {chance_text(fault.chance)} of cases"
    if fault.chance_for:
        others = [f"{chance_text(chance)} for {what}" for what, chance in fault.chance_for.items()]
        text += f", but {listed(others)}"
    right = "there" if fault.right == "there" else f"at {fault.right}"
    mend = "the job is given up" if fault.right == "scrap" else f"put right {right}"
    if fault.found == "at once":
        text += f"; noticed at once and done again, up to {count_of(fault.tries, 'time')}"
        if fault.right == "scrap":
            text += "; if it is wrong still, the job is given up"
        elif fault.repair is not None:
            text += f"; what is still wrong is put right {right} in {time_text(fault.repair)}"
    else:
        text += f"; found at {fault.found}"
        if fault.detect.value < 1:
            text += f" in {chance_text(fault.detect)} of cases"
        text += f"; {mend}"
        if fault.repair is not None:
            text += f" in {time_text(fault.repair)}"
    return f"It {text}."


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
