"""Open work: what was left of a job's work at a limit, where it will be done, and what goes along.

Work that comes after open work cannot be done before it. Where open work is to be done further down
than the station of what follows, that goes along and becomes open work of the same place; where it is
to be done nowhere any more, neither is what follows.

A place is a number: station ``k`` is ``k``, bay ``b`` is ``n_stations + b``, and nowhere comes last.
"""

from __future__ import annotations

from linesim.engine.closing import close_visit
from linesim.engine.lists import add_item, add_last, draw, drop_item, new_item, note_job, without
from linesim.engine.tables import OVER, WAITS, State, rule
from linesim.engine.visits import (
    add_open_work,
    attempts,
    is_past,
    leave_out,
    open_again,
    open_place,
    set_open,
    step_of,
    visit_at,
)
from linesim.ledger.ledger import E_OPEN_WORK
from linesim.plan.tables import NONE


@rule
def nowhere(s: State) -> int:
    """Return the place that stands for: no place is left that could do it."""
    return s.w[0].n_stations + s.w[0].n_bays


@rule
def how_far(s: State, place: int) -> int:
    """Return how far off a place is: stations down the line, then bays, then nowhere."""
    w = s.w[0]
    if place < w.n_stations:
        return s.stations[place].depth
    if place < w.n_stations + w.n_bays:
        return (1 << 40) + s.bays[place - w.n_stations].element
    return 1 << 50


@rule
def drawn_ticks(s: State, j: int, t: int) -> int:
    """Return the ticks that a task which is not yet begun takes on a job."""
    return draw(s, s.steps[step_of(s, j, t)].column, attempts(s, j, t), s.jobs[j].number)


# The tasks that go along are listed in the first cells: where each goes (plus 1), then which they are.


@rule
def go_along(s: State, n: int, t: int, place: int) -> int:
    """Put a task behind ``n`` that are listed, to be done at ``place``; return how many they are now."""
    s.cells[t] = place + 1
    s.cells[s.w[0].n_tasks + n] = t
    return n + 1


@rule
def find_places(s: State, j: int, n: int) -> None:
    """Send each task that is listed as far as the furthest open work that it comes after."""
    w = s.w[0]
    is_changed = True
    while is_changed:
        is_changed = False
        for a in range(w.n_tasks, w.n_tasks + n):
            t = s.cells[a]
            far = s.cells[t] - 1
            step = s.steps[step_of(s, j, t)]
            for i in range(step.before, step.before + step.n_before):
                p = s.links[i]
                place = s.cells[p] - 1
                if place == NONE:
                    place = open_place(s, j, p)
                if place != NONE and how_far(s, place) > how_far(s, far):
                    far = place
            if far != s.cells[t] - 1:
                is_changed = True
                s.cells[t] = far + 1


@rule
def forget_places(s: State, n: int) -> None:
    """Empty the list."""
    first = s.w[0].n_tasks
    for a in range(first, first + n):
        s.cells[s.cells[a]] = 0


@rule
def keep_beyond(s: State, n: int, k: int) -> int:
    """Keep of the tasks that are listed those that go further down than station ``k``; return how many."""
    first, here, kept = s.w[0].n_tasks, how_far(s, k), 0
    for a in range(first, first + n):
        t = s.cells[a]
        if how_far(s, s.cells[t] - 1) > here:
            s.cells[first + kept] = t
            kept += 1
        else:
            s.cells[t] = 0
    return kept


@rule
def give(s: State, j: int, k: int, i: int) -> bool:
    """Add an item to the work on a job at a station: now if it reaches the job, else when it comes.

    Return False if the job is past that station's limit already, so that nobody will do it.
    """
    v = visit_at(s, j, k)
    if v == NONE:
        v = open_again(s, j, k)
    if v != NONE:
        add_open_work(s, v, i)
    elif is_past(s, j, k):
        drop_item(s, i)
        return False
    else:
        add_item(s, j, i, k)
    return True


@rule
def put(s: State, j: int, i: int, place: int) -> None:
    """Send an item to a place."""
    item = s.items[i]
    is_task, t = item.fault == NONE, item.task
    if is_task:
        set_open(s, j, t, place)
    if place < s.w[0].n_stations:
        if not give(s, j, place, i) and is_task:
            set_open(s, j, t, nowhere(s))
    elif place != nowhere(s):
        add_item(s, j, i, place)
    else:
        drop_item(s, i)


@rule
def send_on(s: State, j: int, k: int, n: int) -> None:
    """Send on the tasks that are listed, which belong to station ``k`` and were not begun."""
    s.jobs[j].is_unclean = 1
    s.stations[k].unfinished += 1
    note_job(s, E_OPEN_WORK, j, k, NONE)
    first = s.w[0].n_tasks
    for a in range(first, first + n):
        t = s.cells[a]
        if s.cells[t]:
            i = new_item(s, t, drawn_ticks(s, j, t), s.tasks[t].people, NONE)
            put(s, j, i, s.cells[t] - 1)
    forget_places(s, n)


@rule
def take_along(s: State, v: int) -> None:
    """Leave out of a new visit what comes after open work further down, and send it there."""
    visit = s.visits[v]
    k = visit.station
    n = list_waiting(s, v)
    find_places(s, visit.job, n)
    n = keep_beyond(s, n, k)
    if n == 0:
        return
    first = s.w[0].n_tasks
    for a in range(first, first + n):
        leave_out(s, v, s.cells[a])
    send_on(s, visit.job, k, n)


@rule
def list_waiting(s: State, v: int) -> int:
    """List the tasks of a visit that wait for earlier work, to be done where they are."""
    visit = s.visits[v]
    first, n = s.stations[visit.station].first_task, 0
    for i in range(visit.tasks, visit.tasks + visit.n_tasks):
        t = s.links[i]
        if s.cells[visit.cells + 2 * (t - first) + 1] == WAITS:
            n = go_along(s, n, t, visit.station)
    return n


@rule
def carry(s: State, j: int, i: int, place: int) -> None:
    """Send the items from ``i`` on to ``place``, or further down with what they come after."""
    n, first = 0, i
    while i != NONE:
        if s.items[i].fault == NONE:
            n = go_along(s, n, s.items[i].task, place)
        i = s.items[i].next
    find_places(s, j, n)
    i = first
    while i != NONE:
        following = s.items[i].next
        if s.items[i].fault == NONE:
            put(s, j, i, s.cells[s.items[i].task] - 1)
        else:
            put(s, j, i, place)
        i = following
    forget_places(s, n)
    v = s.jobs[j].first_visit
    while v != NONE:
        following = s.visits[v].next_of_job
        take_from(s, v)
        v = following


@rule
def take_from(s: State, v: int) -> None:
    """Send on what of an open visit comes after open work further down."""
    visit, w = s.visits[v], s.w[0]
    j, k = visit.job, visit.station
    n = list_waiting(s, v)
    i = visit.first_later
    while i != NONE:
        n = go_along(s, n, s.items[i].task, k)
        i = s.items[i].next
    find_places(s, j, n)
    n = keep_beyond(s, n, k)
    if n == 0:
        return
    first = s.stations[k].first_task
    for a in range(w.n_tasks, w.n_tasks + n):
        t = s.cells[a]
        at = visit.cells + 2 * (t - first) + 1
        if s.tasks[t].station == k and s.cells[at] == WAITS:
            s.cells[at] = OVER
    visit.left -= n
    i = visit.first_later
    going = NONE
    while i != NONE:
        following = s.items[i].next
        if s.cells[s.items[i].task]:
            visit.first_later = without(s.items, visit.first_later, i)
            going = add_last(s.items, going, i)
        i = following
    while going != NONE:
        following = s.items[going].next
        t = s.items[going].task
        place = s.cells[t] - 1
        s.cells[t] = 0
        put(s, j, going, place)
        going = following
    send_on(s, j, k, n)
    if visit.left == 0:
        close_visit(s, v)


@rule
def withdraw(s: State, j: int, t: int) -> None:
    """Take a task out of the open work of a job, which is back at the station where it belongs."""
    set_open(s, j, t, NONE)
    job = s.jobs[j]
    i = job.first_item
    while i != NONE:
        following = s.items[i].next
        if s.items[i].fault == NONE and s.items[i].task == t:
            job.first_item = without(s.items, job.first_item, i)
            drop_item(s, i)
        i = following
