"""What must hold of the events: nobody in two places, work in order and in full, pitches of a takt."""

from collections import defaultdict, deque
from collections.abc import Callable, Iterator
from itertools import groupby

import numpy as np

from linesim.engine.calendars import WorkingTime
from linesim.ledger.ledger import Event
from linesim.plan.tables import FREE, NONE
from linesim.plan.words import O_HELPING, O_WORKING, S_WORKING
from tests.lines import Ran
from tests.luck import Luck

Work = tuple[int, int, int, int]  #: job, station, task, fault put right


def key(event: Event) -> Work:
    """Return which piece of work an event speaks of."""
    return event.job, event.station, event.task, event.where


def is_own(ran: Ran, event: Event) -> bool:
    """Return whether the work is a task where it belongs, neither open work from elsewhere nor a repair."""
    return ran.plan.tasks.station[event.task] == event.station and event.where == NONE


def instants(ran: Ran) -> Iterator[tuple[int, list[Event]]]:
    """Yield the events of each instant."""
    for time, events in groupby(ran.events, key=lambda event: event.time):
        yield time, list(events)


def check_one_place(ran: Ran) -> None:
    """No operator, robot or piece of a tool is at two pieces of work at once; tools are held as booked."""
    plan = ran.plan
    robots, tools = plan.tasks.robots.tolists(), plan.tasks.tools.tolists()
    person: dict[int, Work] = {}
    robot: dict[int, Work] = {}
    held: list[int] = [0] * len(plan.names.tool)
    since, busy = [ran.ledger.start] * len(held), [0] * len(held)
    walking: set[Work] = set()

    def hold(k: int, by: int, time: int) -> None:
        now = max(time, ran.ledger.start)
        busy[k] += held[k] * (now - since[k])
        since[k] = now
        held[k] += by
        assert 0 <= held[k] <= plan.equipment.tool_count[k]

    for event in ran.events:
        if event.task == NONE or event.what in ("fault", "redo", "task pause", "task resume", "put right"):
            continue
        work, own = key(event), is_own(ran, event)
        if event.what in ("walk", "task start"):
            begins = work not in walking
            walking.discard(work)
            for w in event.who:
                assert person.setdefault(w, work) == work
            if begins:
                for r in robots[event.task] if own else ():
                    assert robot.setdefault(r, work) == work
                for k in tools[event.task] if event.where == NONE else ():
                    hold(k, 1, event.time)
            if event.what == "walk":
                walking.add(work)
        elif event.what in ("task end", "task left"):
            walking.discard(work)
            for w in event.who:
                assert person.pop(w) == work
            for r in robots[event.task] if own else ():
                assert robot.pop(r) == work
            for k in tools[event.task] if event.where == NONE else ():
                hold(k, -1, event.time)
    for k in range(len(held)):
        hold(k, 0, ran.ledger.end)
    assert busy == ran.ledger.tool_busy_clock.tolist()


def check_working(ran: Ran) -> None:
    """A station is working exactly while a piece of work is in progress there."""
    running: dict[int, set[Work]] = defaultdict(set)
    state: dict[int, int] = {}
    for _, events in instants(ran):
        for event in events:
            if event.what in ("task start", "task resume"):
                running[event.station].add(key(event))
            elif event.what in ("task pause", "task end", "task left"):
                running[event.station].discard(key(event))
            elif event.what == "station is":
                state[event.station] = event.where
        for station, works in running.items():
            assert bool(works) == (state.get(station) == S_WORKING)


def check_hours(ran: Ran) -> None:
    """Nobody works, and no conveyor runs, outside their hours."""
    plan = ran.plan
    hours = [WorkingTime(calendar) for calendar in plan.calendars]
    crew_of = [c for c, n in enumerate(plan.crews.people.tolist()) for _ in range(n)]
    state = [NONE] * len(crew_of)
    for time, events in instants(ran):
        for event in events:
            if event.what == "operator is":
                state[event.who[0]] = event.where
        for operator, crew in enumerate(crew_of):
            calendar = plan.crews.calendar[crew]
            if calendar != NONE and not hours[calendar].on_at(time):
                assert state[operator] not in (O_WORKING, O_HELPING)
        for event in events:
            if event.what == "mark":
                calendar = plan.sections.calendar[event.section]
                assert calendar == NONE or hours[calendar].on_at(time)


def check_pitches(ran: Ran) -> None:
    """Between two marks a conveyor runs for a takt, neither more nor less; stops and breaks come on top."""
    plan = ran.plan
    for s, pacing in enumerate(plan.sections.pacing.tolist()):
        if pacing == FREE:
            continue
        calendar = plan.sections.calendar[s]
        hours = WorkingTime(plan.calendars[calendar]) if calendar != NONE else None
        takt, ran_for, last, since = int(plan.sections.takt[s]), 0, -1, 0
        is_stopped, is_on = False, True
        for time, events in instants(ran):
            if not is_stopped and is_on:
                ran_for += time - since
            since = time
            is_on = hours is None or hours.on_at(time)
            for event in events:
                if event.section != s or event.task != NONE:
                    continue
                if event.what in ("stop", "restart"):
                    is_stopped = event.what == "stop"
                elif event.what == "mark":
                    assert last < 0 or ran_for == takt
                    ran_for, last = 0, time


def check_buffers(ran: Ran) -> None:
    """A buffer hands jobs on in the order in which they came, and its levels are as booked."""
    ledger = ran.ledger
    for b, booked in enumerate(ledger.buffer_level_clock):
        inside: deque[int] = deque()
        levels, since = np.zeros(len(booked), dtype=np.int64), ledger.start
        for event in ran.events:
            if event.where != b or event.what not in ("buffer in", "buffer out"):
                continue
            now = max(event.time, ledger.start)
            if now > since:
                levels[len(inside)] += now - since
            since = now
            if event.what == "buffer in":
                inside.append(event.job)
                assert len(inside) <= ran.plan.buffers.capacity[b]
            else:
                assert inside.popleft() == event.job
        levels[len(inside)] += ledger.end - since
        assert levels.tolist() == booked.tolist()


def check_work(ran: Ran, draws: Luck) -> None:
    """Every task takes its drawn time of work, and starts only when all that comes before it is done.

    Where people are new, a task may take longer than drawn, never less.
    """
    learns = bool(ran.plan.crews.new.any())
    plan = ran.plan
    worked: dict[Work, int] = {}
    begun: dict[Work, int] = {}
    attempts: dict[tuple[int, int], int] = defaultdict(int)
    done: set[tuple[int, int]] = set()
    left: set[tuple[int, int]] = set()
    given = {e.job for e in ran.events if e.what == "bay in" or (e.what == "line-on" and e.time == 0)}
    for event in ran.events:
        if not event.what.startswith("task") or event.where != NONE:
            continue
        work, task = key(event), (event.job, event.task)
        order = draws.order(event.job)
        assert order is not None
        variant = plan.variants.get(order.model, order.options)
        if event.what == "task start":
            worked[work] = 0
            if event.job not in given:
                row = variant.work[int(plan.tasks.station[event.task])]  # its own
                assert all((event.job, p) in done for p in row.before[row.tasks.index(event.task)])
        if event.what in ("task start", "task resume"):
            begun[work] = event.time
        elif work in begun:
            worked[work] += event.time - begun.pop(work)
        if event.what == "task left":
            left.add(task)
        if event.what == "task end":
            done.add(task)
            if is_own(ran, event) and task not in left:
                row = variant.work[event.station]
                shape = row.shapes[row.tasks.index(event.task)]
                drawn = draws.task_ticks(event.task, event.job, attempts[task], shape)
                assert worked[work] >= drawn if learns else worked[work] == drawn
                attempts[task] += 1


def checks() -> tuple[Callable[[Ran], None], ...]:
    """Return every check of this page that needs the events alone."""
    return check_one_place, check_working, check_hours, check_pitches, check_buffers
