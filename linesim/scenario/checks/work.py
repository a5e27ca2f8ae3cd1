"""Whether tasks name things that exist, and can be done in some order."""

from __future__ import annotations

from linesim.scenario.checks.checker import Desk
from linesim.scenario.line import placed_tasks
from linesim.scenario.models import Scenario
from linesim.scenario.origins import Path
from linesim.scenario.suggest import has, shown
from linesim.scenario.work import Task

Key = tuple[str, str]


def check_tasks(desk: Desk) -> None:
    """Check where every task is done, its robots, tools, zones, options and models."""
    for station, table in desk.scenario.station.items():
        for name, task in table.task.items():
            path: Path = ("station", station, "task", name)
            if task.at is not None and desk.expect((*path, "at"), task.at, "station"):
                line = desk.layout.line_of
                if line.get(desk.layout.section_of.get(task.at, "")) != line.get(
                    desk.layout.section_of.get(station, "")
                ):
                    desk.say(
                        (*path, "at"),
                        "not-in-flow",
                        f"the station {shown(task.at)} is not on the line of {shown(station)}; a task stays "
                        "on its line.",
                    )
            for kind in ("robot", "tool"):
                _check_listed(desk, path, kind, getattr(task, kind))
            if task.zone is not None and desk.expect((*path, "zone"), task.zone, "zone"):
                zone = desk.scenario.zone.get(task.zone)
                if zone is not None and task.people > zone.people:
                    desk.say(
                        (*path, "zone"),
                        "zone-too-small",
                        f"the task needs {task.people} people at once and the zone {shown(task.zone)} has "
                        f"room for {zone.people}; ask for fewer or widen the zone.",
                    )
            _check_when(desk, path, task)


def _at(path: Path, key: str, number: int, total: int) -> Path:
    return (*path, key, number) if total > 1 else (*path, key)


def _check_listed(desk: Desk, path: Path, kind: str, names: tuple[str, ...]) -> None:
    for number, name in enumerate(names):
        here = _at(path, kind, number, len(names))
        if name in names[:number]:
            desk.say(here, "name-twice", f"the {kind} {shown(name)} is named twice; keep one.")
        else:
            desk.expect(here, name, kind)


def _check_when(desk: Desk, path: Path, task: Task) -> None:
    for key in ("options", "unless"):
        names = getattr(task, key)
        for number, name in enumerate(names):
            desk.expect(_at(path, key, number, len(names)), name, "option")
    for number, name in enumerate(task.models):
        desk.expect(_at(path, "models", number, len(task.models)), name, "model")
    for both in sorted(set(task.options) & set(task.unless)):
        desk.say(
            (*path, "unless"),
            "never-done",
            f"the option {shown(both)} must be present and must not; the task would never be done.",
        )
    check_variants(desk, (*path, "time_for"), task.time_for)


def check_variants(desk: Desk, path: Path, names: dict[str, object] | object) -> None:
    """Check that the keys of a table by option or model are options or models."""
    assert isinstance(names, dict)
    known = [*desk.scenario.option, *desk.scenario.model]
    for name in names:
        if name not in desk.known("option") and name not in desk.known("model"):
            desk.say(
                (*path, name),
                "unknown-option",
                f"{shown(name)} is neither an option nor a model of this scenario; "
                f"{has(known, name, 'option')}.",
            )


def check_order(desk: Desk) -> None:
    """Check that what a task comes after exists, is not further down the line, and makes no circle."""
    scenario, layout = desk.scenario, desk.layout
    before: dict[Key, list[Key]] = {}
    for station, name, at, task in placed_tasks(scenario.station):
        before[station, name] = []
        for number, text in enumerate(task.after):
            here = _at(("station", station, "task", name), "after", number, len(task.after))
            other = find_task(desk, here, text, station)
            if other is None:
                continue
            done_at = where_done(scenario, other)
            is_earlier = done_at == at or layout.is_before(done_at, at)
            if not is_earlier and {done_at, at} <= layout.rank.keys():
                desk.say(
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
        desk.say(
            ("station", station, "task", name, "after"),
            "task-circle",
            f"the tasks wait for one another: {row}; take one `after` out.",
        )


def where_done(scenario: Scenario, key: Key) -> str:
    """Return the station at which a task is done that is named by the station it stands under."""
    return scenario.station[key[0]].task[key[1]].at or key[0]


def find_task(desk: Desk, path: Path, text: str, station: str) -> Key | None:
    """Return station and task that a text such as `K1.bolt-cab` names; say so if there is none.

    Args:
        desk: The scenario.
        path: Where the text stands.
        text: A task of `station`, or `station.task`.
        station: Station that is meant where the text names none.
    """
    place, dot, task = text.rpartition(".")
    place = place if dot else station
    if dot and not desk.expect(path, place, "station"):
        return None
    table = desk.scenario.station.get(place)
    tasks = table.task if table is not None else {}
    if task in tasks:
        return place, task
    if task not in desk.known(f"task of {place}"):
        desk.say(
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
