"""Tasks, their faults, and the ways in which things fail, as tables."""

from __future__ import annotations

from itertools import count

from linesim.plan.index import Index
from linesim.plan.tables import (
    AT_ONCE,
    AT_STATION,
    AT_TASK,
    CALENDAR,
    CONVEYOR,
    IN_BAY,
    IN_STATION,
    JOBS,
    NONE,
    REMOVAL,
    ROBOT,
    RUNNING,
    SCRAP,
    STATION,
    SUPPLY,
    THERE,
    Faults,
    Modes,
    Ragged,
    Tasks,
    float_array,
    int_array,
)
from linesim.plan.words import BREAKDOWN
from linesim.scenario.people import Breakdown
from linesim.scenario.work import Fault, Task

_PER = (("running", RUNNING), ("calendar", CALENDAR), ("jobs", JOBS))


def tasks(index: Index) -> Tasks:
    """Return the tasks station by station down the line, in file order at each."""
    rows = index.placed
    every_model = (1 << len(index.model)) - 1
    times: list[list[tuple[int, int, int]]] = []
    for *_, task in rows:
        special = [(index.shape(time), *index.condition(name)) for name, time in task.time_for.items()]
        times.append([*special, (index.shape(task.time), NONE, NONE)])
    numbered = count()
    covering = {at: index.crews_of(at) for at in dict.fromkeys(one.at for one in rows)}
    return Tasks(
        station=int_array(index.station[one.at] for one in rows),
        people=int_array(task.people for *_, task in rows),
        crews=Ragged.of([_crews(index, covering[one.at], one.task) for one in rows]),
        robots=Ragged.of([[index.robot[r] for r in task.robot] for *_, task in rows]),
        tools=Ragged.of([[index.tool[k] for k in task.tool] for *_, task in rows]),
        zone=int_array(NONE if task.zone is None else index.zone[task.zone] for *_, task in rows),
        after=Ragged.of([[index.task_at(name, after) for after in task.after] for name, *_, task in rows]),
        needs=int_array(index.bits(task.options, index.option) for *_, task in rows),
        bars=int_array(index.bits(task.unless, index.option) for *_, task in rows),
        models=int_array(
            index.bits(task.models, index.model) if task.models else every_model for *_, task in rows
        ),
        time_shape=Ragged.of([[shape for shape, _, _ in row] for row in times]),
        time_model=Ragged.of([[model for _, model, _ in row] for row in times]),
        time_option=Ragged.of([[option for _, _, option in row] for row in times]),
        again=int_array(task.again for *_, task in rows),
        faults=Ragged.of([[next(numbered) for _ in task.fault] for *_, task in rows]),
    )


def _crews(index: Index, covering: list[int], task: Task) -> list[int]:
    """Return the crews whose people may do ``task``: those named, or all that cover its station."""
    if task.people == 0:
        return []
    if task.crew:
        return [index.crew[name] for name in task.crew]
    return covering


def _all_faults(index: Index) -> list[tuple[str, str, str, Fault]]:
    """Return (station, task, name of the fault, fault) in task order."""
    return [
        (station, task_name, fault_name, fault)
        for station, task_name, _, task in index.placed
        for fault_name, fault in task.fault.items()
    ]


def fault_names(index: Index) -> tuple[str, ...]:
    """Return a name for each fault: ``station.task.fault``."""
    return tuple(f"{station}.{task}.{fault}" for station, task, fault, _ in _all_faults(index))


def faults(index: Index) -> Faults:
    """Return the faults that tasks may leave."""
    rows = _all_faults(index)
    chances = [
        (
            *((*index.condition(name), odds.value) for name, odds in fault.chance_for.items()),
            (NONE, NONE, fault.chance.value),
        )
        for *_, fault in rows
    ]
    found = [_found(index, station, fault) for station, _, _, fault in rows]
    right = [_right(index, fault) for *_, fault in rows]
    return Faults(
        task=int_array(index.task[f"{station}.{task}"] for station, task, _, _ in rows),
        chances=tuple(chances),
        found=int_array(kind for kind, _ in found),
        found_at=int_array(at for _, at in found),
        detect=float_array(fault.detect.value for *_, fault in rows),
        tries=int_array(fault.tries for *_, fault in rows),
        right=int_array(kind for kind, _ in right),
        right_at=int_array(at for _, at in right),
        repair=int_array(NONE if f.repair is None else index.shape(f.repair) for *_, f in rows),
    )


def _found(index: Index, station: str, fault: Fault) -> tuple[int, int]:
    if fault.found == "at once":
        return AT_ONCE, NONE
    if fault.found in index.station:
        return AT_STATION, index.station[fault.found]
    return AT_TASK, index.task_at(station, fault.found)


def _right(index: Index, fault: Fault) -> tuple[int, int]:
    if fault.right in ("there", "scrap"):
        return (THERE if fault.right == "there" else SCRAP), NONE
    if fault.right in index.station:
        return IN_STATION, index.station[fault.right]
    return IN_BAY, index.bay[fault.right]


def _all_modes(index: Index) -> list[tuple[str, int, int, int, Breakdown]]:
    """Return (name, kind of owner, owner, cause, breakdown) of every way in which something fails."""
    scenario, rows = index.scenario, []
    for name, robot in scenario.robot.items():
        for word, mode in robot.failure.items():
            rows.append((f"robot.{name}.{word}", ROBOT, index.robot[name], BREAKDOWN, mode))
    for name, section in scenario.section.items():
        own = index.section[name]
        for word, mode in section.failure.items():
            rows.append((f"section.{name}.failure.{word}", CONVEYOR, own, BREAKDOWN, mode))
        for word, mode in section.disturbance.items():
            rows.append((f"section.{name}.disturbance.{word}", CONVEYOR, own, index.cause[word], mode))
    for name, station in scenario.station.items():
        for word, mode in station.disturbance.items():
            rows.append((f"station.{name}.{word}", STATION, index.station[name], index.cause[word], mode))
    for word, mode in scenario.supply.outage.items():
        rows.append((f"supply.{word}", SUPPLY, 0, BREAKDOWN, mode))
    for word, mode in scenario.removal.outage.items():
        rows.append((f"removal.{word}", REMOVAL, 0, BREAKDOWN, mode))
    return rows


def mode_names(index: Index) -> tuple[str, ...]:
    """Return a name for each way in which something fails, such as ``robot.R1.jam``."""
    return tuple(name for name, *_ in _all_modes(index))


def modes(index: Index) -> Modes:
    """Return the ways in which things fail. Supply and removal count calendar time, whatever is said."""
    rows = _all_modes(index)
    tables = [mode for *_, mode in rows]
    return Modes(
        owner_kind=int_array(kind for _, kind, *_ in rows),
        owner=int_array(owner for _, _, owner, _, _ in rows),
        per=int_array(
            CALENDAR if kind in (SUPPLY, REMOVAL) else dict(_PER)[mode.per] for _, kind, _, _, mode in rows
        ),
        every=int_array(NONE if isinstance(m.every, int) else index.shape(m.every) for m in tables),
        every_jobs=int_array(m.every if isinstance(m.every, int) else NONE for m in tables),
        lasts=int_array(index.shape(mode.lasts) for mode in tables),
        crew=int_array(NONE if m.repaired_by is None else index.crew[m.repaired_by] for m in tables),
        people=int_array(mode.people for mode in tables),
        cause=int_array(cause for _, _, _, cause, _ in rows),
    )
