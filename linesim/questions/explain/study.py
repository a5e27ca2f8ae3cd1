"""`explain`: the line in its order as sentences, chapter by chapter, and what is said of a name."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby
from pathlib import Path

from linesim.answers.document import Document, Heading, Part, Words
from linesim.answers.table import Column, Table
from linesim.answers.wording import count_of, listed
from linesim.errors import WrongQuestionError
from linesim.measures import DEFINITIONS, GLOSSARY
from linesim.questions.explain import Explain
from linesim.questions.explain.work import (
    Chapter,
    Sentence,
    breakdown_text,
    chance_text,
    guesses,
    percent,
    station_sentences,
    time_text,
)
from linesim.runs.provenance import card_without_runs
from linesim.scenario import Scenario
from linesim.scenario.base import Chance
from linesim.scenario.line import Buffer, Section
from linesim.scenario.models import Take
from linesim.scenario.people import Crew
from linesim.scenario.problems import codes, nearest


def walk(scenario: Scenario) -> tuple[Chapter, ...]:
    """Return the walk: what is guessed, what is asked, the line in its order, people, machines, jobs."""
    chapters = [guesses(scenario), _question(scenario), _jobs(scenario), _begin(scenario)]
    chapters += list(_along(scenario, scenario.flow))
    for name, feeder in scenario.feeder.items():
        chapters.append(
            Chapter(f"Feeder {name}", (Sentence(f"Gives one unit for each job at {feeder.joins}."),))
        )
        chapters += list(_along(scenario, feeder.flow))
    chapters += [_end(scenario), _people(scenario), _machines(scenario), _hours(scenario)]
    return tuple(chapter for chapter in chapters if chapter.sentences)


def _question(scenario: Scenario) -> Chapter:
    study, run = scenario.study, scenario.run
    said = [
        f"{head}: {text}"
        for head, text in (
            ("Question", study.question),
            ("Decision", study.decision),
            ("Asked by", study.owner),
        )
        if text
    ]
    if scenario.target.jobs_per_shift is not None:
        said.append(f"The plan asks for {scenario.target.jobs_per_shift:g} jobs a shift.")
    state = "with a job in each pitch" if run.start == "full" else "empty"
    said.append(
        f"{count_of(run.replications, 'replication')} of {run.length}, after {run.warm_up} of warm-up that "
        f"is not measured; each starts {state}; seed {run.seed}."
    )
    return Chapter("What is asked", tuple(Sentence(text) for text in said))


def _jobs(scenario: Scenario) -> Chapter:
    said: list[Sentence] = []
    whole = sum(model.share for model in scenario.model.values()) or 1.0
    shares = [f"{name} {percent(model.share / whole)}" for name, model in scenario.model.items()]
    orders = scenario.orders
    if orders.sequence == "listed":
        then = "then from the first again" if orders.after_last == "repeat" else "then no more"
        said.append(Sentence(f"Jobs come as listed, {count_of(len(orders.listed), 'order')}, {then}."))
    else:
        how = "by chance" if orders.sequence == "random" else "spread evenly (goal chasing)"
        said.append(Sentence(f"Models come {how}: {listed(shares)}."))
        for name, option in scenario.option.items():
            text = f"Option {name}: {_take(option.take)}"
            text += f"; brings {listed(option.needs)} along" if option.needs else ""
            text += f"; never with {listed(option.excludes, 'or')}" if option.excludes else ""
            said.append(Sentence(text + "."))
        for name, package in scenario.package.items():
            said.append(Sentence(f"Package {name} ({listed(package.options)}): {_take(package.take)}."))
    for rule in orders.spacing.values():
        said.append(Sentence(f"At most {rule.at_most} {rule.of} in any {rule.in_any} jobs in a row."))
    return Chapter("What is built", tuple(said))


def _take(take: Take) -> str:
    if isinstance(take, Chance):
        return f"{chance_text(take)} of jobs"
    return listed([f"{chance_text(chance)} of {model}" for model, chance in take.items()])


def _begin(scenario: Scenario) -> Chapter:
    supply = scenario.supply
    said = ["A job is always waiting at the beginning of the line."]
    if supply.every is not None:
        said = [f"A job comes every {time_text(supply.every)}."]
    elif supply.at_s:
        said = [f"Jobs come at {count_of(len(supply.at_s), 'given moment')}."]
    said += [f"Outage, {breakdown_text(name, outage)}" for name, outage in supply.outage.items()]
    return Chapter("Where jobs come from", tuple(Sentence(text) for text in said))


def _along(scenario: Scenario, flow: tuple[str, ...]) -> Iterator[Chapter]:
    for before, name in zip((None, *flow), flow, strict=False):
        if name in scenario.section:
            yield _section(scenario, name, scenario.section[name], is_direct=before in scenario.section)
        else:
            yield _buffer(name, scenario.buffer[name])


def _section(scenario: Scenario, name: str, section: Section, *, is_direct: bool) -> Chapter:
    takt = section.takt or scenario.takt
    pace = {
        "moving": f"The conveyor moves all the time, one place in {takt}; it stops while work is open at a "
        "station's limit.",
        "indexed": f"All jobs step together once a takt of {takt}, when the last is finished; "
        f"the move takes {section.transfer} of it.",
        "free": f"Each station hands on by itself when the next has room; {takt} a job is what is wanted.",
    }[section.pacing]
    said = [Sentence(pace)]
    if is_direct:
        said.append(Sentence("It takes its jobs straight from the section before, with no place in between."))
    if section.pacing != "free":
        gap = "leaves the place empty" if section.on_gap == "pass" else "stops until one comes"
        said.append(Sentence(f"When no job waits, it {gap}."))
    said += [Sentence(f"Conveyor, {breakdown_text(n, f)}") for n, f in section.failure.items()]
    said += [Sentence(f"Disturbance, {breakdown_text(n, f)}") for n, f in section.disturbance.items()]
    for station in section.stations:
        said += station_sentences(scenario, station, section)
    for bay_name, bay in scenario.bay.items():
        if bay.section == name:
            back = "out as finished" if bay.rejoin == "out" else f"back to {bay.rejoin}"
            text = (
                f"At its end stands bay {bay_name}: {count_of(bay.places, 'place')} to work, {bay.waiting} "
                f"to wait, {count_of(bay.people, 'person', 'people')} a job; mended jobs go {back}"
            )
            if bay.success.value < 1:
                text += f"; a repair works in {chance_text(bay.success)} of cases"
            if bay.max_passes is not None:
                text += f"; after {count_of(bay.max_passes, 'pass', 'passes')} a job is given up"
            full = "hold up the section" if bay.on_full == "hold" else "go on with their faults"
            said.append(Sentence(f"{text}; when it is full, jobs {full}."))
    kind = {"moving": "a moving section", "indexed": "an indexed section", "free": "a free section"}
    return Chapter(f"{name}, {kind[section.pacing]}", tuple(said))


def _buffer(name: str, buffer: Buffer) -> Chapter:
    if buffer.capacity == 0:
        text = "No place: jobs are handed over directly."
    else:
        text = f"{count_of(buffer.capacity, 'place')}, first in, first out"
        text += f"; {buffer.travel} on the way through" if buffer.travel.seconds else ""
        text += "."
    return Chapter(f"{name}, a buffer", (Sentence(text),))


def _end(scenario: Scenario) -> Chapter:
    removal = scenario.removal
    said = ["Finished jobs are taken away at once."]
    if removal.every is not None:
        said = [f"A finished job is taken away every {time_text(removal.every)}."]
    elif removal.at_s:
        said = [f"Finished jobs are taken away at {count_of(len(removal.at_s), 'given moment')}."]
    said += [f"Outage, {breakdown_text(name, outage)}" for name, outage in removal.outage.items()]
    said += [
        f"Carriers, {name}: {carrier.count} of them, from {carrier.boards} to the end of {carrier.leaves}, "
        f"back in {carrier.returns}."
        for name, carrier in scenario.carrier.items()
    ]
    return Chapter("Where jobs go", tuple(Sentence(text) for text in said))


def _people(scenario: Scenario) -> Chapter:
    return Chapter("People", tuple(Sentence(_crew(name, crew)) for name, crew in scenario.crew.items()))


def _crew(name: str, crew: Crew) -> str:
    text = f"{name}: {count_of(crew.people, 'person', 'people')}"
    if crew.floater:
        text += f" who {'comes' if crew.people == 1 else 'come'} when called, within {crew.response},"
    text += f" for {listed(crew.covers)}" if crew.covers else " for repairs only"
    if crew.walk_speed is not None:
        text += f"; they walk {crew.walk_speed:g} times as fast as the conveyor moves"
    elif crew.walk.seconds:
        text += f"; {crew.walk} to turn to another job"
    text += f"; hours of {crew.calendar}" if crew.calendar else ""
    if crew.absence:
        text += f"; each is away in {100 * crew.absence:g} % of the shifts"
    if crew.learning:
        new = crew.learning
        text += (
            f"; {new.new} of them new, at first {new.first:g} times as long at a task, and {new.rate:g} of "
            "that with every doubling"
        )
    return text + "."


def _machines(scenario: Scenario) -> Chapter:
    said: list[Sentence] = []
    for name, robot in scenario.robot.items():
        hours = f", hours of {robot.calendar}" if robot.calendar else ""
        fails = "never fails" if not robot.failure else "fails:"
        said.append(Sentence(f"Robot {name}{hours} {fails}{'.' if not robot.failure else ''}"))
        said += [Sentence(breakdown_text(n, f), 1) for n, f in robot.failure.items()]
    said += [
        Sentence(f"Tool {name}: {count_of(tool.count, 'piece')}.") for name, tool in scenario.tool.items()
    ]
    said += [
        Sentence(f"Zone {name}: room for {count_of(zone.people, 'person', 'people')} on each job.")
        for name, zone in scenario.zone.items()
    ]
    return Chapter("Robots, tools and zones", tuple(said))


def _hours(scenario: Scenario) -> Chapter:
    if not scenario.calendar:
        said = [f"Work never pauses; a shift is {scenario.run.shift}."]
        return Chapter("Hours", tuple(Sentence(text) for text in said))
    return Chapter("Hours", tuple(Sentence(text) for text in _calendars(scenario)))


def _calendars(scenario: Scenario) -> Iterator[str]:
    for name, calendar in scenario.calendar.items():
        text = f"{name}: shifts {listed(calendar.shifts)}"
        text += f", breaks {listed(calendar.breaks)}" if calendar.breaks else ", no breaks"
        yield f"{text}, on {listed(calendar.days)}."
    own: Mapping[str, str | None] = {name: section.calendar for name, section in scenario.section.items()}
    for name, calendar_name in own.items():
        if calendar_name:
            yield f"Section {name} keeps the hours of {calendar_name}."


def study(asked: Explain, scenario: Scenario) -> Document:
    """Return the walk along a line."""
    return document_of(scenario.title, walk(scenario), file=asked.file)


def document_of(title: str, chapters: Sequence[Chapter], *, file: str = "") -> Document:
    """Return chapters as an answer."""
    columns = (Column("chapter"), Column("place", "count"), Column("depth", "count"), Column("sentence"))
    rows = (
        {"chapter": chapter.title, "place": place, "depth": sentence.depth, "sentence": sentence.text}
        for chapter in chapters
        for place, sentence in enumerate(chapter.sentences, start=1)
    )
    parts: list[Part] = []
    for chapter in chapters:
        parts.append(Heading(chapter.title))
        for depth, sentences in groupby(chapter.sentences, key=lambda sentence: sentence.depth):
            parts.append(Words(tuple(sentence.text for sentence in sentences), depth, hangs=True))
    return Document(
        study="explain",
        sentences=(),
        tables_=(Table.of("walk", columns, rows, "Every sentence.", keys=("chapter", "place")),),
        parts=tuple(parts),
        cautions=(),
        card=card_without_runs(title, file),
    )


_NAME = re.compile(r"\[?([\w-]{1,60})(:.{0,60})?\]?", re.ASCII)


def explained(text: str) -> Document | None:
    """Return what is said of a name; None for what can only be a file.

    Args:
        text: A measure, with place and cause or without (``line_stop:trim``), a state or cause, or the code
            of a message, in its brackets or without.

    Raises:
        WrongQuestionError: If it is neither a file nor a known name.
    """
    found = _NAME.fullmatch(text)
    if found is None or Path(text).exists():
        return None
    name = found[1]
    if name in DEFINITIONS:
        says = DEFINITIONS[name]
        head, said = "A measure", [says.says, f"Unit: {says.unit}. One figure for each: {says.where}."]
    elif name in (paragraphs := codes()):
        is_warning = name in codes("warnings")
        head, said = "A warning" if is_warning else "A message that refuses a file", [paragraphs[name]]
    elif name in GLOSSARY:
        head, said = "A word", [GLOSSARY[name]]
    else:
        near = nearest(name, (*DEFINITIONS, *paragraphs, *GLOSSARY))
        such = f"; did you mean {', '.join(near)}?" if near else ""
        raise WrongQuestionError(
            f"{text!r} is no file, and neither a measure nor the code of a message{such or '.'}"
        )
    return document_of(name, (Chapter(head, tuple(map(Sentence, said))),))
