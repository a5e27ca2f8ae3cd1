"""The working time of places, from the plan and the events alone, and what must be counted in it."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping

import numpy as np

from linesim.ledger.ledger import Event
from linesim.plan.plan import Plan
from linesim.plan.tables import BUFFER, NONE, SECTION
from linesim.plan.words import C_OFF
from tests.lines import Ran

Clock = Callable[[int], int]  #: Working time from tick 0 to a tick.
Place = tuple[str, int]


def clock_of(plan: Plan, calendars: Iterable[int], end: int) -> Clock:
    """Return the working time of a place that works while any of its calendars does."""
    wanted = set(calendars)
    if NONE in wanted:
        return lambda tick: tick
    spans: list[list[int]] = []
    for first, last in sorted(
        (turn * plan.calendars[c].period + a, turn * plan.calendars[c].period + b)
        for c in wanted
        for turn in range(end // plan.calendars[c].period + 1)
        for a, b in plan.calendars[c].on
    ):
        if spans and first <= spans[-1][1]:
            spans[-1][1] = max(spans[-1][1], last)
        else:
            spans.append([first, last])
    return lambda tick: sum(min(tick, last) - first for first, last in spans if first < tick)


def clocks(plan: Plan, end: int) -> Mapping[Place, Clock]:
    """Return the working time of every section, buffer, bay and tool, and of the segment."""
    section = plan.sections.calendar.tolist()
    follows: dict[Place, list[int]] = {("segment", 0): [plan.run.calendar]}
    follows |= {("section", x): [calendar] for x, calendar in enumerate(section)}
    flows = [(plan.flow, NONE), *zip(plan.feeders.flows, plan.feeders.joins.tolist(), strict=True)]
    for flow, joins in flows:
        line = list(zip(flow.kind.tolist(), flow.index.tolist(), strict=True))
        for i, (kind, index) in enumerate(line):
            if kind == BUFFER:
                after = [x for what, x in line[i:] if what == SECTION] + [joins]
                follows["buffer", index] = [section[after[0]]]
    for b, crews in enumerate(plan.bays.crews.tolists()):
        people = [int(plan.crews.calendar[c]) for c in crews]
        follows["bay", b] = people or [section[int(plan.bays.section[b])]]
    for tool in range(len(plan.names.tool)):
        stations = plan.tasks.station[[tool in row for row in plan.tasks.tools.tolists()]]
        uses = [section[x] for x in plan.stations.section[stations].tolist()]
        follows["tool", tool] = uses or [plan.run.calendar]
    return {place: clock_of(plan, calendars, end) for place, calendars in follows.items()}


def check_working_time(ran: Ran) -> None:
    """Lead time, jobs inside and the levels of buffers are those of the events, in working time alone."""
    plan, ledger = ran.plan, ran.ledger
    clock = clocks(plan, ledger.end)

    def within(place: Place, first: int, last: int) -> int:
        return clock[place](max(last, ledger.start)) - clock[place](max(first, ledger.start))

    assert ledger.working_time == within(("segment", 0), ledger.start, ledger.end)
    for x in range(len(plan.names.section)):
        on = int(ledger.section_state[x].sum() - ledger.section_state[x, C_OFF])
        assert on == within(("section", x), ledger.start, ledger.end)
    for b, levels in enumerate(ledger.buffer_level):
        assert int(levels.sum()) == within(("buffer", b), ledger.start, ledger.end)
        assert _levels(ran, b, lambda first, last, b=b: within(("buffer", b), first, last)) == levels.tolist()
    for kind, hours in (("tool", ledger.tool_hours), ("bay", ledger.bay_hours)):
        assert hours.tolist() == [within((kind, i), ledger.start, ledger.end) for i in range(len(hours))]
    ways, finished = _ways(ran), _finished(ran)
    stretches = [stretch for way in ways.values() for stretch in way]
    assert ledger.job_time == sum(within(("segment", 0), first, last) for _, first, last in stretches)
    done = [stretch for job in finished for stretch in ways[job]]
    assert ledger.lead_time == sum(clock[place](last) - clock[place](first) for place, first, last in done)


def _levels(ran: Ran, b: int, within: Callable[[int, int], int]) -> list[int]:
    """Return the time that a buffer spends at each level."""
    times = np.zeros(len(ran.ledger.buffer_level[b]), dtype=np.int64)
    level = since = 0
    for event in ran.events:
        if event.where == b and event.what in ("buffer in", "buffer out"):
            if level < len(times):
                times[level] += within(since, event.time)
            since = event.time
            level += 1 if event.what == "buffer in" else -1
    times[level] += within(since, ran.ledger.end)
    found: list[int] = times.tolist()
    return found


def _finished(ran: Ran) -> set[int]:
    """Return the jobs that leave as finished within the accounts."""
    return {e.job for e in ran.events if e.what == "line-off" and e.time >= ran.ledger.start}


def _ways(ran: Ran) -> dict[int, list[tuple[Place, int, int]]]:
    """Return where each job of the main line is, from when to when."""
    plan = ran.plan
    on_line = set(zip(plan.flow.kind.tolist(), plan.flow.index.tolist(), strict=True))
    found: dict[int, list[tuple[Place, int, int]]] = defaultdict(list)
    at: dict[int, tuple[Place, int]] = {}

    def goes(event: Event, place: Place | None) -> None:
        if event.job in at:
            found[event.job].append((*at.pop(event.job), event.time))
        if place is not None:
            at[event.job] = place, event.time

    for event in ran.events:
        if event.what == "line-on" and event.where == NONE:
            goes(event, ("segment", 0))
        elif event.what == "enter":
            section = int(plan.stations.section[event.station])
            if (SECTION, section) in on_line:
                goes(event, ("section", section))
        elif event.what == "buffer in" and (BUFFER, event.where) in on_line:
            goes(event, ("buffer", event.where))
        elif event.what == "bay in" and (SECTION, int(plan.bays.section[event.where])) in on_line:
            goes(event, ("bay", event.where))
        elif event.what == "line-off" or (event.what == "scrap" and event.where == NONE):
            goes(event, None)
    for job, (place, since) in at.items():
        found[job].append((place, since, ran.ledger.end))
    return found
