"""Marks: every job on a conveyor passes into the next station."""

from __future__ import annotations

from linesim.engine.bays import part
from linesim.engine.calendars import come_to
from linesim.engine.closing import count_jobs
from linesim.engine.lists import note, note_job, touch_section, touch_stations, wake_inlets
from linesim.engine.modes import drop_hold
from linesim.engine.offers import is_wanting
from linesim.engine.opening import open_visit
from linesim.engine.order import CALL, LIMIT, REACH
from linesim.engine.queue import push
from linesim.engine.rule import rule
from linesim.engine.tables import State
from linesim.engine.visits import limit_of, visit_at
from linesim.ledger.events import E_ENTER, E_LEAVE, E_MARK
from linesim.plan.tables import NONE
from linesim.plan.words import BLOCKED, STARVED

# What could go on


@rule
def begin_mark(s: State, x: int) -> None:
    """Begin to pass a mark: the last job leaves, and the first place is free."""
    section = s.sections[x]
    section.mark_due = 0
    section.next_mark += section.takt
    section.next_move = section.next_mark - section.transfer
    drop_hold(s, x, section.last, BLOCKED)
    drop_hold(s, x, section.first, STARVED)
    touch_section(s, x)
    note(s, E_MARK, NONE, x, NONE, NONE, NONE, NONE, NONE)
    st = s.stations[section.last]
    section.leaving = st.job
    st.job = NONE
    if section.leaving != NONE:
        note_job(s, E_LEAVE, section.leaving, section.last, NONE)
        part(s, x, section.leaving)
    for i in range(section.boards, section.boards + section.n_boards):
        carrier = s.carriers[s.ints[i]]
        carrier.has_gap = 0
        if is_wanting(s, s.ints[i], section.entrance):
            carrier.has_gap = 1


@rule
def end_mark(s: State, x: int, boarding: int) -> int:
    """Let every job pass into the next station, ``boarding`` into the first; return the one that leaves."""
    section = s.sections[x]
    for i in range(section.stations + section.n_stations - 1, section.stations, -1):
        s.stations[s.ints[i]].job = s.stations[s.ints[i - 1]].job
    s.stations[section.first].job = boarding
    mark = section.next_mark - section.takt
    for position in range(section.n_stations - 1, -1, -1):
        j = s.stations[s.ints[section.stations + position]].job
        if j != NONE:
            enter(s, x, j, position, mark, 0)
    touch_stations(s, x)
    if section.leaving != NONE:
        count_jobs(s, section.modes, section.n_modes)
    wake_inlets(s, section.entrance)
    return section.leaving


@rule
def add_to_agenda(s: State, x: int, clock: int, kind: int, position: int, j: int) -> None:
    """Note what the conveyor of a section meets at a clock time."""
    section, job = s.sections[x], s.jobs[j]
    section.n_agenda += 1
    push(s.agenda, section.agenda, section.n_agenda, clock, kind, position, job.number, job.serial, j)


@rule
def enter(s: State, x: int, j: int, position: int, mark: int, at_start: int) -> None:
    """Let a job pass the upstream border of the station at ``position`` at clock ``mark``.

    Where the station reaches upstream its visit is open already, unless the run starts with the job here.
    A following station that reaches a whole takt up has the job within reach in this very instant.
    """
    section = s.sections[x]
    k = s.ints[section.stations + position]
    st = s.stations[k]
    if visit_at(s, j, k) == NONE and (at_start or not (st.early and position)):
        open_on_conveyor(s, j, k)
    come_to(s, j, section.hours)
    note_job(s, E_ENTER, j, k, NONE)
    if st.late:
        add_to_agenda(s, x, limit_of(s, j, k), LIMIT, position, j)
    if st.call_at != NONE and visit_at(s, j, k) != NONE:
        add_to_agenda(s, x, mark + st.call_at, CALL, position, j)
    if position + 1 < section.n_stations:
        ahead = s.ints[section.stations + position + 1]
        early = s.stations[ahead].early
        if early == section.takt:
            open_on_conveyor(s, j, ahead)
        elif early:
            add_to_agenda(s, x, mark + section.takt - early, REACH, position + 1, j)


@rule
def open_on_conveyor(s: State, j: int, k: int) -> None:
    """Open the work on a job that has come within reach of a station on a conveyor."""
    s.jobs[j].reached = s.stations[k].position + 1
    open_visit(s, j, k, limit_of(s, j, k))
