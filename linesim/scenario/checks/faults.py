"""Whether faults are found and put right somewhere that the job still passes."""

from __future__ import annotations

from linesim.scenario.checks.checker import Desk
from linesim.scenario.checks.pacing import check_after
from linesim.scenario.checks.work import check_variants, find_task, where_done
from linesim.scenario.line import placed_tasks
from linesim.scenario.origins import Path
from linesim.scenario.suggest import shown
from linesim.scenario.work import Fault

AT_ONCE = "at once"
THERE = "there"
SCRAP = "scrap"


def check_faults(desk: Desk) -> None:
    """Check every fault of every task."""
    for station, task_name, at, task in placed_tasks(desk.scenario.station):
        for name, fault in task.fault.items():
            path: Path = ("station", station, "task", task_name, "fault")
            _check_fault(desk, path if name == "fault" else (*path, name), station, at, fault)


def _check_fault(desk: Desk, path: Path, listed: str, station: str, fault: Fault) -> None:
    check_variants(desk, (*path, "chance_for"), fault.chance_for)
    found_at = _found_at(desk, (*path, "found"), listed, station, fault.found)
    if fault.found == AT_ONCE:
        if fault.right not in (THERE, SCRAP) and fault.repair is None:
            _needs_repair(desk, path)
    else:
        if fault.tries > 1:
            desk.say(
                (*path, "tries"),
                "needs-other-key",
                'a task is only tried again where the fault is found = "at once"; write that or remove '
                "`tries`.",
            )
        if fault.right != SCRAP and fault.repair is None:
            _needs_repair(desk, path)
    if fault.right == SCRAP and fault.repair is not None:
        desk.say(
            (*path, "repair"),
            "needs-other-key",
            'a job with this fault is scrapped (right = "scrap"), so nobody repairs it; remove `repair`.',
        )
    if fault.right not in (THERE, SCRAP, found_at):
        _check_right(desk, (*path, "right"), found_at or station, fault.right)


def _needs_repair(desk: Desk, path: Path) -> None:
    desk.say(
        (*path, "repair"),
        "missing-field",
        '`repair` is missing: how long it takes to put the fault right, such as repair = "3 min".',
    )


def _found_at(desk: Desk, path: Path, listed: str, station: str, found: str) -> str | None:
    """Return the station at which a fault is found; `None` if it cannot be told.

    A fault of a feeder's unit may be found on the main line: it goes on with the job that takes the unit.
    """
    if found == AT_ONCE:
        return station
    if "." in found:
        task = find_task(desk, path, found, listed)
        place = where_done(desk.scenario, task) if task is not None else None
    else:
        place = found if desk.expect(path, found, "station", also=(AT_ONCE,)) else None
    if place is not None and place != station and not desk.layout.rides_to(station, place):
        check_after(desk, path, station, place, "the fault")
    return place


def _check_right(desk: Desk, path: Path, start: str, right: str) -> None:
    if right in desk.known("place"):
        check_after(desk, path, start, right, "the fault")
    else:
        desk.expect(path, right, "place", also=(THERE, SCRAP))


def check_bays(desk: Desk) -> None:
    """Check where bays stand and where their jobs go on."""
    for name, bay in desk.scenario.bay.items():
        path: Path = ("bay", name)
        desk.expect((*path, "section"), bay.section, "section")
        if bay.rejoin == "out" and desk.layout.line_of.get(bay.section, 0) != 0:
            desk.say(
                (*path, "rejoin"),
                "not-in-flow",
                f"section {shown(bay.section)} belongs to a feeder, whose units are no finished jobs; name "
                "a buffer of the feeder.",
            )
        if bay.rejoin != "out" and desk.expect((*path, "rejoin"), bay.rejoin, "buffer", also=("out",)):
            buffer = desk.scenario.buffer.get(bay.rejoin)
            if buffer is not None and buffer.capacity == 0:
                desk.say(
                    (*path, "rejoin"),
                    "no-room",
                    f"the buffer {shown(bay.rejoin)} has no place for a job to rejoin; give it at least one.",
                )
            elif desk.layout.line_of.get(bay.rejoin, 0) != desk.layout.line_of.get(bay.section, 0):
                desk.say(
                    (*path, "rejoin"),
                    "not-in-flow",
                    f"the buffer {shown(bay.rejoin)} is not on the line of section {shown(bay.section)}; "
                    "a job rejoins its own line.",
                )
