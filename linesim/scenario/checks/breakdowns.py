"""Whether breakdowns, supply and removal can happen as written."""

from __future__ import annotations

from collections.abc import Iterator

from linesim.scenario.breakdowns import Breakdown
from linesim.scenario.checks.checker import Desk
from linesim.scenario.origins import Path
from linesim.scenario.suggest import shown

#: Words that name causes of the program's own; a disturbance needs another one.
OWN_CAUSES = frozenset({"overrun", "waiting", "breakdown", "repeat", "blocked", "starved"})


def breakdowns_of(desk: Desk) -> Iterator[tuple[Path, Breakdown]]:
    """Yield every breakdown of the scenario with its path."""
    scenario = desk.scenario
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


def check_breakdowns(desk: Desk) -> None:
    """Check how often things break down, and whether somebody can mend them."""
    scenario = desk.scenario
    for path, breakdown in breakdowns_of(desk):
        if not isinstance(breakdown.every, int) and not breakdown.every.mean_s > 0:
            desk.say(
                (*path, "every"), "out-of-range", "found a mean of 0 s; the time between two is more than 0."
            )
        if path[-2] == "disturbance" and path[-1] in OWN_CAUSES:
            desk.say(
                path,
                "cause-taken",
                f"{shown(path[-1])} is a cause that the program itself uses; choose another word, such as "
                f'"{path[-1]}-parts".',
            )
        if breakdown.repaired_by is None:
            if breakdown.people > 1:
                desk.say(
                    (*path, "people"),
                    "needs-other-key",
                    "`people` only means something with `repaired_by`; add that.",
                )
            continue
        if desk.expect((*path, "repaired_by"), breakdown.repaired_by, "crew"):
            crew = scenario.crew.get(breakdown.repaired_by)
            if crew is None:
                continue
            if crew.floater:
                desk.say(
                    (*path, "repaired_by"),
                    "crew-not-here",
                    f"the crew {shown(breakdown.repaired_by)} are floaters, who only come when a station "
                    "calls; name another one.",
                )
            elif crew.people < breakdown.people:
                desk.say(
                    (*path, "people"),
                    "too-few-people",
                    f"a repair needs {breakdown.people} at once and {breakdown.repaired_by} has "
                    f"{crew.people}; ask for fewer "
                    "or give the crew more people.",
                )


def check_ends(desk: Desk) -> None:
    """Check supply and removal."""
    for name in ("supply", "removal"):
        end = getattr(desk.scenario, name)
        if end.every is not None and (end.file is not None or end.at_s):
            desk.say((name, "every"), "one-of", "found `every` and moments from a table; keep one of them.")
        if end.every is not None and not end.every.mean_s > 0:
            desk.say((name, "every"), "out-of-range", "found a mean of 0 s; leave `every` out for no limit.")
        if any(later < earlier for earlier, later in zip(end.at_s, end.at_s[1:], strict=False)):
            desk.say((name, "at_s"), "out-of-order", "the moments do not run upwards; sort them.")
