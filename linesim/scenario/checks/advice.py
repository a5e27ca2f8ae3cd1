"""What is worth saying about a scenario that is right: things nobody uses, guesses, an empty question."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from linesim.scenario.base import Chance
from linesim.scenario.checks.breakdowns import AT_ONCE, THERE, breakdowns_of
from linesim.scenario.checks.checker import Checker
from linesim.scenario.checks.work import where_done
from linesim.scenario.content import option_shares, weighed_in
from linesim.scenario.models import Option, Package
from linesim.scenario.origins import Path, dotted
from linesim.scenario.problems import nearest, shown

_FEW = 10  #: Fewer replications than this give intervals that say little.


def advise(checker: Checker) -> None:
    """Note every warning."""
    _unused(checker)
    _options(checker)
    _spacing_broken(checker)
    _constant_breakdowns(checker)
    _carriers(checker)
    scenario = checker.scenario
    if not scenario.study.question:
        checker.warn(
            ("study", "question"),
            "no-question",
            "the study has no question; say in [study] what is asked, and reports begin with it.",
        )
    if scenario.run.replications < _FEW:
        checker.warn(
            ("run", "replications"),
            "few-replications",
            f"{scenario.run.replications} replications give wide intervals; {_FEW} or more are usual.",
        )
    guesses = [dotted(path) for path, input_ in weighed_in(scenario) if input_.confidence == "guess"]
    if guesses:
        listed = ", ".join(guesses[:5]) + (f" and {len(guesses) - 5} more" if len(guesses) > 5 else "")
        one = len(guesses) == 1
        checker.warn(
            (),
            "guesses",
            f"{len(guesses)} input{' is a guess' if one else 's are guesses'}: {listed}; measure what "
            "the answer hangs on.",
        )


def _unused(checker: Checker) -> None:
    scenario = checker.scenario
    placed = scenario.placed_tasks
    tasks = {place: [one.task for one in placed if one.at == place] for place in scenario.station}
    menders = {breakdown.repaired_by for _, breakdown in breakdowns_of(checker)}
    mended_at = set(_mended_at(checker))
    for name, crew in scenario.crew.items():
        if crew.people == 0 or name in menders:
            continue
        works = any(
            task.people > 0 and (crew.floater or not task.crew or name in task.crew)
            for place in crew.covers
            for task in tasks.get(place, ())
        ) or not mended_at.isdisjoint(crew.covers)
        calls = any(
            scenario.station[place].call_at is not None for place in crew.covers if place in scenario.station
        )
        if crew.floater and not calls:
            checker.warn(
                ("crew", name),
                "unused-crew",
                f"nobody calls the floaters {shown(name)}; give a station they cover a `call_at`.",
            )
        elif not works and not any(place in scenario.bay for place in crew.covers):
            checker.warn(
                ("crew", name), "unused-crew", f"no task, bay or repair uses the crew {shown(name)}."
            )
    every_task = [task for table in tasks.values() for task in table]
    _say_unused(checker, "robot", (robot for task in every_task for robot in task.robot))
    _say_unused(checker, "tool", (tool for task in every_task for tool in task.tool))
    _say_unused(checker, "zone", (task.zone for task in every_task if task.zone))
    _say_unused(checker, "calendar", _calendars(checker))
    _say_unused(checker, "bay", _bays(checker))
    asked = set(_told_apart(checker))
    for name in scenario.option:
        if name not in asked:
            checker.warn(
                ("option", name),
                "unused-option",
                f"nothing asks for the option {shown(name)}: no task, time, fault or rule of the sequence "
                "differs by it.",
            )
    # One plain model from which the others differ is as it should be, unless its name looks like a slip.
    plain = [name for name in scenario.model if name not in asked]
    alone = len(scenario.model) > 1 and len(plain) == 1 and not nearest(plain[0], asked)
    if len(scenario.model) > 1 and not alone:
        for name in plain:
            checker.warn(
                ("model", name),
                "unused-model",
                f"nothing asks for the model {shown(name)}: no task, time, fault, take rate or rule of the "
                "sequence is its own.",
            )


def _told_apart(checker: Checker) -> Iterator[str]:
    """Yield the models and options by which something on the line differs."""
    scenario = checker.scenario
    for station in scenario.station.values():
        for task in station.task.values():
            yield from (*task.options, *task.unless, *task.models, *task.time_for)
            for fault in task.fault.values():
                yield from fault.chance_for
    takes: list[Option | Package] = [*scenario.option.values(), *scenario.package.values()]
    for taken in takes:
        if not isinstance(taken.take, Chance):
            yield from taken.take
    yield from (rule.of for rule in scenario.orders.spacing.values())
    for name, option in scenario.option.items():
        # Who brings another option along, or keeps one away, changes what is built.
        yield from (name, *option.needs) if option.needs or option.excludes else ()


def _mended_at(checker: Checker) -> Iterator[str]:
    """Yield where work may come up that is no task of the place: open work, and faults to put right."""
    for station in checker.scenario.station.values():
        if station.on_limit == "pass" and station.open_to is not None:
            yield station.open_to
    for *_, at, task in checker.scenario.placed_tasks:
        for fault in task.fault.values():
            if fault.right != THERE:
                yield fault.right
            elif fault.repair is not None:
                place, dot, name = fault.found.partition(".")
                there = where_done(checker.scenario, (place, name)) if dot else place
                yield at if fault.found == AT_ONCE else there


def _say_unused(checker: Checker, kind: str, used: Iterable[str]) -> None:
    names = set(used)
    for name in getattr(checker.scenario, kind):
        if name not in names:
            checker.warn((kind, name), f"unused-{kind}", f"nothing uses the {kind} {shown(name)}.")


def _calendars(checker: Checker) -> Iterator[str]:
    scenario = checker.scenario
    followed = [scenario.run.calendar]
    followed += [section.calendar for section in scenario.section.values()]
    followed += [crew.calendar for crew in scenario.crew.values()]
    followed += [robot.calendar for robot in scenario.robot.values()]
    yield from (name for name in followed if name is not None)


def _bays(checker: Checker) -> Iterator[str]:
    for station in checker.scenario.station.values():
        if station.on_limit == "pass":
            yield from checker.scenario.bay if station.open_to is None else (station.open_to,)
        for task in station.task.values():
            for fault in task.fault.values():
                yield fault.right


def _options(checker: Checker) -> None:
    scenario = checker.scenario
    ordered = {option for order in scenario.orders.jobs for option in order.options}
    shares = [option_shares(scenario, model) for model in scenario.model]
    offered = {
        name
        for name in scenario.option
        if name in ordered or any(row[name] > 0 for row in shares) or _is_needed(checker, name)
    }
    for station, table in scenario.station.items():
        for name, task in table.task.items():
            for option in task.options:
                if option not in offered:
                    checker.warn(
                        ("station", station, "task", name, "options"),
                        "option-never-taken",
                        f"no model offers the option {shown(option)}, so this task is never done.",
                    )
            never = [model for model in task.models if scenario.model[model].share == 0]
            if task.models and len(never) == len(task.models) and scenario.orders.sequence != "listed":
                checker.warn(
                    ("station", station, "task", name, "models"),
                    "option-never-taken",
                    f"no job is a {' or '.join(never)}, so this task is never done.",
                )


def _is_needed(checker: Checker, name: str) -> bool:
    return any(name in option.needs for option in checker.scenario.option.values())


def _spacing_broken(checker: Checker) -> None:
    """Count the runs of a listed sequence that break a spacing rule; only whole runs count."""
    orders = checker.scenario.orders
    if orders.sequence != "listed":
        return
    for name, rule in orders.spacing.items():
        marks = [rule.of == order.model or rule.of in order.options for order in orders.jobs]
        runs = range(len(marks) - rule.in_any + 1)
        broken = sum(sum(marks[at : at + rule.in_any]) > rule.at_most for at in runs)
        if broken:
            checker.warn(
                ("orders", "spacing", name),
                "spacing-broken",
                f"the listed orders break this rule in {broken} of {len(runs)} runs of {rule.in_any} jobs.",
            )


def _constant_breakdowns(checker: Checker) -> None:
    for path, breakdown in breakdowns_of(checker):
        every: object = breakdown.every
        if getattr(every, "shape", None) == "constant" and path[-2] == "failure":
            where: Path = (*path, "every")
            checker.warn(
                where,
                "clockwork",
                'failures come at fixed times, like clockwork; most have shape = "exponential".',
            )


def _carriers(checker: Checker) -> None:
    """Note loops that lock: a section that waits lets nobody go until a job comes, and none can board."""
    scenario = checker.scenario
    flow = scenario.flow
    for name, loop in scenario.carrier.items():
        on_board = flow[flow.index(loop.boards) : flow.index(loop.leaves) + 1]
        waiting = [
            place
            for place in on_board
            if place in scenario.section
            and scenario.section[place].pacing != "free"
            and scenario.section[place].on_gap == "wait"
        ]
        places = sum(len(scenario.section[place].stations) for place in waiting)
        if 0 < loop.count <= places:
            few = "1 carrier is" if loop.count == 1 else f"{loop.count} carriers are"
            checker.warn(
                ("carrier", name, "count"),
                "carriers-too-few",
                f"{few} all on board when the {places} places of {' and '.join(waiting)} wait for the next "
                f"job, which then cannot board; give the loop at least {places + 1}, or let gaps pass.",
            )
