"""Whether tasks name things that exist, can be done in some order, and have somebody to do them."""

from __future__ import annotations

from linesim.scenario.checks.checker import Checker
from linesim.scenario.models import Scenario
from linesim.scenario.origins import Path
from linesim.scenario.problems import has, shown
from linesim.scenario.work import Task

Key = tuple[str, str]


def check_tasks(checker: Checker) -> None:
    """Check where every task is done, its robots, tools, zones, options and models."""
    for station, table in checker.scenario.station.items():
        for name, task in table.task.items():
            path: Path = ("station", station, "task", name)
            if task.at is not None and checker.expect((*path, "at"), task.at, "station"):
                line = checker.layout.line_of
                if line.get(checker.layout.section_of.get(task.at, "")) != line.get(
                    checker.layout.section_of.get(station, "")
                ):
                    checker.say(
                        (*path, "at"),
                        "not-in-flow",
                        f"the station {shown(task.at)} is not on the line of {shown(station)}; a task stays "
                        "on its line.",
                    )
            for kind in ("robot", "tool"):
                _check_listed(checker, path, kind, getattr(task, kind))
            if task.zone is not None and checker.expect((*path, "zone"), task.zone, "zone"):
                zone = checker.scenario.zone.get(task.zone)
                if zone is not None and task.people > zone.people:
                    checker.say(
                        (*path, "zone"),
                        "zone-too-small",
                        f"the task needs {task.people} people at once and the zone {shown(task.zone)} has "
                        f"room for {zone.people}; ask for fewer or widen the zone.",
                    )
            _check_when(checker, path, task)


def _at(path: Path, key: str, number: int, total: int) -> Path:
    return (*path, key, number) if total > 1 else (*path, key)


def _check_listed(checker: Checker, path: Path, kind: str, names: tuple[str, ...]) -> None:
    for number, name in enumerate(names):
        here = _at(path, kind, number, len(names))
        if name in names[:number]:
            checker.say(here, "name-twice", f"the {kind} {shown(name)} is named twice; keep one.")
        else:
            checker.expect(here, name, kind)


def _check_when(checker: Checker, path: Path, task: Task) -> None:
    for key in ("options", "unless"):
        names = getattr(task, key)
        for number, name in enumerate(names):
            checker.expect(_at(path, key, number, len(names)), name, "option")
    for number, name in enumerate(task.models):
        checker.expect(_at(path, "models", number, len(task.models)), name, "model")
    for both in sorted(set(task.options) & set(task.unless)):
        checker.say(
            (*path, "unless"),
            "never-done",
            f"the option {shown(both)} must be present and must not; the task would never be done.",
        )
    check_variants(checker, (*path, "time_for"), task.time_for)


def check_variants(checker: Checker, path: Path, names: dict[str, object] | object) -> None:
    """Check that the keys of a table by option or model are options or models."""
    assert isinstance(names, dict)
    for name in names:
        if name not in checker.known("option") and name not in checker.known("model"):
            known = [*checker.scenario.option, *checker.scenario.model]
            checker.say(
                (*path, name),
                "unknown-option",
                f"{shown(name)} is neither an option nor a model of this scenario; "
                f"{has(known, name, 'option')}.",
            )


def check_order(checker: Checker) -> None:
    """Check that what a task comes after exists, is not further down the line, and makes no circle."""
    scenario, layout = checker.scenario, checker.layout
    before: dict[Key, list[Key]] = {}
    for station, name, at, task in scenario.placed_tasks:
        before[station, name] = []
        for number, text in enumerate(task.after):
            here = _at(("station", station, "task", name), "after", number, len(task.after))
            other = find_task(checker, here, text, station)
            if other is None:
                continue
            done_at = where_done(scenario, other)
            is_earlier = done_at == at or layout.is_before(done_at, at)
            if not is_earlier and {done_at, at} <= layout.rank.keys():
                checker.say(
                    here,
                    "later-station",
                    f"the task {shown(text)} is done at {shown(done_at)}, which does not come before "
                    f"{shown(at)}; a job gets there later or never.",
                )
            elif done_at == at:
                before[station, name].append(other)
    for circle in _circles(before):
        station, name = circle[0]
        tasks = [shown(task) for _, task in [*circle, circle[0]]]
        row = " after ".join(tasks if len(tasks) < 9 else [*tasks[:4], "…", *tasks[-3:]])
        checker.say(
            ("station", station, "task", name, "after"),
            "task-circle",
            f"the tasks wait for one another: {row}; take one `after` out.",
        )


def where_done(scenario: Scenario, key: Key) -> str:
    """Return the station at which a task is done that is named by the station it stands under."""
    return scenario.station[key[0]].task[key[1]].at or key[0]


def find_task(checker: Checker, path: Path, text: str, station: str) -> Key | None:
    """Return station and task that a text such as `K1.bolt-cab` names; say so if there is none.

    Args:
        checker: The scenario.
        path: Where the text stands.
        text: A task of `station`, or `station.task`.
        station: Station that is meant where the text names none.
    """
    place, dot, task = text.rpartition(".")
    place = place if dot else station
    if dot and not checker.expect(path, place, "station"):
        return None
    table = checker.scenario.station.get(place)
    tasks = table.task if table is not None else {}
    if task in tasks:
        return place, task
    if task not in checker.known(f"task of {place}"):
        checker.say(
            path,
            "unknown-task",
            f"{shown(task)} is not a task of station {shown(place)}; {has(tasks, task, 'task')}"
            f"{'' if dot else '; a task of another station is written as station.task'}.",
        )
    return None


def _circles(before: dict[Key, list[Key]]) -> list[list[Key]]:
    """Return circles of a graph, each found once, without recursion."""
    done: set[Key] = set()
    circles: list[list[Key]] = []
    for start in before:
        if start in done:
            continue
        row, open_ = [start], [iter(before[start])]
        on_row = {start}
        while row:
            following = next(open_[-1], None)
            if following is None:
                open_.pop()
                done.add(last := row.pop())
                on_row.discard(last)
            elif following in on_row:
                circles.append(row[row.index(following) :])
            elif following not in done:
                row.append(following)
                on_row.add(following)
                open_.append(iter(before[following]))
    return circles


def check_crews(checker: Checker) -> None:
    """Check where crews work, how they walk, and whether floaters can answer."""
    scenario = checker.scenario
    for name, crew in scenario.crew.items():
        path: Path = ("crew", name)
        for number, place in enumerate(crew.covers):
            here = (*path, "covers", number)
            if place in crew.covers[:number]:
                checker.say(here, "name-twice", f"{shown(place)} is covered twice; keep one.")
                continue
            checker.expect(here, place, "place")
            home = scenario.section.get(checker.layout.section_of.get(place, ""))
            if home is not None and not checker.is_whole(
                "section", checker.layout.section_of[place], "pacing"
            ):
                continue
            if crew.walk_speed is not None and home is not None and home.pacing != "moving":
                checker.say(
                    (*path, "walk_speed"),
                    "wrong-pacing",
                    f"{shown(place)} is in a section that is {home.pacing}; a walking speed needs a moving "
                    "one, write `walk` as a time.",
                )
        if crew.walk_speed is not None and not any(
            place in checker.layout.section_of for place in crew.covers
        ):
            checker.say(
                (*path, "walk_speed"),
                "wrong-pacing",
                "a walking speed is a multiple of the conveyor's, and this crew covers no moving section.",
            )
        if crew.response.ticks > 0 and not crew.floater:
            checker.say(
                (*path, "response"),
                "needs-other-key",
                "only floaters answer calls; add floater = true or remove `response`.",
            )
        if crew.calendar is not None:
            checker.expect((*path, "calendar"), crew.calendar, "calendar")


def crews_at(checker: Checker, place: str) -> tuple[str, ...]:
    """Return the crews that cover a station or bay, floaters left out: they only come when called."""
    return tuple(
        name for name, crew in checker.scenario.crew.items() if place in crew.covers and not crew.floater
    )


def check_staff(checker: Checker) -> None:
    """Check that every task and every bay can have the people it asks for."""
    if not checker.is_whole("crew"):
        return
    covering = {at: crews_at(checker, at) for at in {one.at for one in checker.scenario.placed_tasks}}
    for station, name, at, task in checker.scenario.placed_tasks:
        here = covering[at]
        path: Path = ("station", station, "task", name)
        for number, crew in enumerate(task.crew):
            place = (*path, "crew", number) if len(task.crew) > 1 else (*path, "crew")
            if checker.expect(place, crew, "crew") and crew not in here:
                floats = checker.scenario.crew[crew].floater
                why = "only comes when called" if floats else f"does not cover {shown(at)}"
                mend = "name a crew that is always there" if floats else "add the station to `covers`"
                checker.say(place, "crew-not-here", f"the crew {shown(crew)} {why}; {mend}.")
        if not task.crew or all(crew in checker.scenario.crew for crew in task.crew):
            named = tuple(crew for crew in task.crew or here if crew in here)
            if named or not task.crew:
                _check_number(checker, (*path, "people"), named, task.people, f"the task {shown(name)}")
    for name, bay in checker.scenario.bay.items():
        _check_number(
            checker, ("bay", name, "people"), crews_at(checker, name), bay.people, f"the bay {shown(name)}"
        )


def _check_number(checker: Checker, path: Path, crews: tuple[str, ...], people: int, who: str) -> None:
    if people == 0:
        return
    if not crews:
        checker.say(
            path[:-1],
            "nobody-to-do-it",
            f"{who} needs {people} {'person' if people == 1 else 'people'} and no crew covers its place; "
            "add the place to the `covers` of a crew (floaters do not count).",
        )
        return
    there = sum(checker.scenario.crew[crew].people for crew in crews)
    if there < people:
        checker.say(
            path,
            "too-few-people",
            f"{who} needs {people} at once and {' and '.join(crews)} "
            f"{'has' if len(crews) == 1 else 'have'} {there}; "
            "ask for fewer or give the crew more people.",
        )
