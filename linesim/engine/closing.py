"""Closing a visit: what is counted, and what its end lets go."""

from __future__ import annotations

from linesim.engine.calls import finish_call
from linesim.engine.lists import add_last, touch, wake, without
from linesim.engine.modes import fail, release
from linesim.engine.tables import State, rule
from linesim.plan.tables import JOBS, NONE
from linesim.plan.words import BLOCKED, STARVED


@rule
def count_jobs(s: State, first: int, n: int) -> None:
    """Count one job for a row of failure modes; the last one that a mode counts makes it fail."""
    for i in range(first, first + n):
        mode = s.modes[s.ints[i]]
        if mode.per == JOBS and mode.failed == 0:
            mode.left -= 1
            if mode.left == 0:
                fail(s, s.ints[i])


@rule
def station_did_job(s: State, k: int) -> None:
    """Count a job whose work at a station is over."""
    st = s.stations[k]
    st.jobs += 1
    count_jobs(s, st.modes, st.n_modes)


@rule
def work_done(s: State, k: int, j: int) -> None:
    """Note that the work on a job at a station is finished."""
    st = s.stations[k]
    section = s.sections[st.section]
    if section.is_paced:
        if section.mark_due or section.move_due or section.first_hold != NONE:
            wake(s, section.entrance)
        return
    st.first_ready = add_last(s.jobs, st.first_ready, j)
    wake(s, st.element)


@rule
def release_station(s: State, k: int) -> None:
    """Let the section go as far as a station was what held it."""
    x = s.stations[k].section
    i = s.sections[x].first_hold
    while i != NONE:
        hold = s.items[i]
        following = hold.next
        if hold.place == k and hold.cause != BLOCKED and hold.cause != STARVED:
            release(s, x, k, hold.cause)
        i = following


@rule
def forget_unnamed(s: State, v: int) -> None:
    """Take a visit off those that stopped their section and have no cause yet."""
    section = s.sections[s.stations[s.visits[v].station].section]
    before = NONE
    i = section.first_unnamed
    while i != NONE:
        following = s.visits[i].next_unnamed
        if i == v:
            if before == NONE:
                section.first_unnamed = following
            else:
                s.visits[before].next_unnamed = following
            if following == NONE:
                section.last_unnamed = before
            return
        before = i
        i = following


@rule
def unlist_visit(s: State, v: int) -> None:
    """Take a visit off the lists of its job and its station."""
    visit = s.visits[v]
    job, st = s.jobs[visit.job], s.stations[visit.station]
    before = NONE
    i = job.first_visit
    while i != v:
        before = i
        i = s.visits[i].next_of_job
    if before == NONE:
        job.first_visit = visit.next_of_job
    else:
        s.visits[before].next_of_job = visit.next_of_job
    if job.last_visit == v:
        job.last_visit = before
    st.first_visit = without(s.visits, st.first_visit, v)


@rule
def close_visit(s: State, v: int) -> None:
    """Close a visit: its work is done, or was broken off."""
    visit = s.visits[v]
    k, j = visit.station, visit.job
    unlist_visit(s, v)
    touch(s, k)
    if visit.first_helper != NONE or visit.is_called:
        finish_call(s, v)
    if visit.is_stopped:
        forget_unnamed(s, v)
        release_station(s, k)
    w = s.w[0]
    visit.next = w.free_visit
    w.free_visit = v
    station_did_job(s, k)
    work_done(s, k, j)
