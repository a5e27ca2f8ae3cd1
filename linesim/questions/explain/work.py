"""Stations and their tasks in sentences."""

from __future__ import annotations

from collections.abc import Iterator

from linesim.answers.wording import count_of, listed
from linesim.questions.explain.text import Sentence, breakdown_text, chance_text, percent, time_text
from linesim.scenario import Scenario
from linesim.scenario.line import Section, placed_tasks
from linesim.scenario.work import Fault, Task


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
    tasks = [one for one in placed_tasks(scenario.station) if one.at == name]
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
