"""Whether breakdowns, supply and removal can happen, and faults are found where the job still passes."""

from __future__ import annotations

from collections.abc import Iterator

from linesim.scenario.checks.checker import Checker
from linesim.scenario.checks.flow import check_after
from linesim.scenario.checks.work import check_variants, find_task, where_done
from linesim.scenario.origins import Path
from linesim.scenario.people import Breakdown
from linesim.scenario.problems import shown
from linesim.scenario.work import Fault

#: Words that name causes of the program's own; a disturbance needs another one.
OWN_CAUSES = frozenset({"overrun", "waiting", "breakdown", "repeat", "blocked", "starved"})


def breakdowns_of(checker: Checker) -> Iterator[tuple[Path, Breakdown]]:
    """Yield every breakdown of the scenario with its path."""
    scenario = checker.scenario
    for kind, keys in (
        ("section", ("failure", "disturbance")),
        ("station", ("disturbance",)),
        ("robot", ("failure",)),
    ):
        for name, thing in getattr(scenario, kind).items():
            for key in keys:
                for mode, breakdown in getattr(thing, key).items():
                    yield (kind, name, key, mode), breakdown
    for end in ("supply", "removal"):
        for mode, breakdown in getattr(scenario, end).outage.items():
            yield (end, "outage", mode), breakdown


def check_breakdowns(checker: Checker) -> None:
    """Check how often things break down, and whether somebody can mend them."""
    scenario = checker.scenario
    for path, breakdown in breakdowns_of(checker):
        if not isinstance(breakdown.every, int) and not breakdown.every.mean_s > 0:
            checker.say(
                (*path, "every"), "out-of-range", "found a mean of 0 s; the time between two is more than 0."
            )
        if path[-2] == "disturbance" and path[-1] in OWN_CAUSES:
            checker.say(
                path,
                "cause-taken",
                f"{shown(path[-1])} is a cause that the program itself uses; choose another word, such as "
                f'"{path[-1]}-parts".',
            )
        if breakdown.repaired_by is None:
            if breakdown.people > 1:
                checker.say(
                    (*path, "people"),
                    "needs-other-key",
                    "`people` only means something with `repaired_by`; add that.",
                )
            continue
        if checker.expect((*path, "repaired_by"), breakdown.repaired_by, "crew"):
            crew = scenario.crew.get(breakdown.repaired_by)
            if crew is None:
                continue
            if crew.floater:
                checker.say(
                    (*path, "repaired_by"),
                    "crew-not-here",
                    f"the crew {shown(breakdown.repaired_by)} are floaters, who only come when a station "
                    "calls; name another one.",
                )
            elif crew.people < breakdown.people:
                checker.say(
                    (*path, "people"),
                    "too-few-people",
                    f"a repair needs {breakdown.people} at once and {breakdown.repaired_by} has "
                    f"{crew.people}; ask for fewer "
                    "or give the crew more people.",
                )


def check_ends(checker: Checker) -> None:
    """Check supply and removal."""
    for name in ("supply", "removal"):
        end = getattr(checker.scenario, name)
        if end.every is not None and (end.file is not None or end.at_s):
            checker.say(
                (name, "every"), "one-of", "found `every` and moments from a table; keep one of them."
            )
        if end.every is not None and not end.every.mean_s > 0:
            checker.say(
                (name, "every"), "out-of-range", "found a mean of 0 s; leave `every` out for no limit."
            )
        if any(later < earlier for earlier, later in zip(end.at_s, end.at_s[1:], strict=False)):
            checker.say((name, "at_s"), "out-of-order", "the moments do not run upwards; sort them.")


AT_ONCE = "at once"
THERE = "there"
SCRAP = "scrap"


def check_faults(checker: Checker) -> None:
    """Check every fault of every task."""
    for station, task_name, at, task in checker.scenario.placed_tasks:
        for name, fault in task.fault.items():
            path: Path = ("station", station, "task", task_name, "fault")
            _check_fault(checker, path if name == "fault" else (*path, name), station, at, fault)


def _check_fault(checker: Checker, path: Path, listed: str, station: str, fault: Fault) -> None:
    check_variants(checker, (*path, "chance_for"), fault.chance_for)
    found_at = _found_at(checker, (*path, "found"), listed, station, fault.found)
    if fault.found == AT_ONCE:
        if fault.right not in (THERE, SCRAP) and fault.repair is None:
            _needs_repair(checker, path)
    else:
        if fault.tries > 1:
            checker.say(
                (*path, "tries"),
                "needs-other-key",
                'a task is only tried again where the fault is found = "at once"; write that or remove '
                "`tries`.",
            )
        if fault.right != SCRAP and fault.repair is None:
            _needs_repair(checker, path)
    if fault.right == SCRAP and fault.repair is not None:
        checker.say(
            (*path, "repair"),
            "needs-other-key",
            'a job with this fault is scrapped (right = "scrap"), so nobody repairs it; remove `repair`.',
        )
    if fault.right not in (THERE, SCRAP, found_at):
        _check_right(checker, (*path, "right"), found_at or station, fault.right)


def _needs_repair(checker: Checker, path: Path) -> None:
    checker.say(
        (*path, "repair"),
        "missing-field",
        '`repair` is missing: how long it takes to put the fault right, such as repair = "3 min".',
    )


def _found_at(checker: Checker, path: Path, listed: str, station: str, found: str) -> str | None:
    """Return the station at which a fault is found; `None` if it cannot be told.

    A fault of a feeder's unit may be found on the main line: it goes on with the job that takes the unit.
    """
    if found == AT_ONCE:
        return station
    if "." in found:
        task = find_task(checker, path, found, listed)
        place = where_done(checker.scenario, task) if task is not None else None
    else:
        place = found if checker.expect(path, found, "station", also=(AT_ONCE,)) else None
    if place is not None and place != station and not checker.layout.rides_to(station, place):
        check_after(checker, path, station, place, "the fault")
    return place


def _check_right(checker: Checker, path: Path, start: str, right: str) -> None:
    if right in checker.known("place"):
        check_after(checker, path, start, right, "the fault")
    else:
        checker.expect(path, right, "place", also=(THERE, SCRAP))


def check_bays(checker: Checker) -> None:
    """Check where bays stand and where their jobs go on."""
    for name, bay in checker.scenario.bay.items():
        path: Path = ("bay", name)
        checker.expect((*path, "section"), bay.section, "section")
        if bay.rejoin == "out" and checker.layout.line_of.get(bay.section, 0) != 0:
            checker.say(
                (*path, "rejoin"),
                "not-in-flow",
                f"section {shown(bay.section)} belongs to a feeder, whose units are no finished jobs; name "
                "a buffer of the feeder.",
            )
        if bay.rejoin != "out" and checker.expect((*path, "rejoin"), bay.rejoin, "buffer", also=("out",)):
            buffer = checker.scenario.buffer.get(bay.rejoin)
            if buffer is not None and buffer.capacity == 0:
                checker.say(
                    (*path, "rejoin"),
                    "no-room",
                    f"the buffer {shown(bay.rejoin)} has no place for a job to rejoin; give it at least one.",
                )
            elif checker.layout.line_of.get(bay.rejoin, 0) != checker.layout.line_of.get(bay.section, 0):
                checker.say(
                    (*path, "rejoin"),
                    "not-in-flow",
                    f"the buffer {shown(bay.rejoin)} is not on the line of section {shown(bay.section)}; "
                    "a job rejoins its own line.",
                )
