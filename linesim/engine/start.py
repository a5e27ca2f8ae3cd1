"""The first instant: who is on, what is already on the line, and what begins."""

from __future__ import annotations

from linesim.engine.bays import count_as_done
from linesim.engine.conveyor import enter
from linesim.engine.flow import fill_stall, put_in_buffer
from linesim.engine.instant import follow_calendar
from linesim.engine.line_records import GateRecord, SectionRecord
from linesim.engine.lists import touch, touch_crew, touch_robot, touch_section, wake
from linesim.engine.modes import next_failure
from linesim.engine.people import draw_roster
from linesim.engine.tables import BUFFER, JOIN, PACED, SCRAP, STALLS, State
from linesim.engine.traffic import bring, next_opening, take_carrier, unit_cell
from linesim.plan.plan import Plan
from linesim.plan.tables import NONE


def start(s: State, plan: Plan) -> None:
    """Open the line at tick 0."""
    w = s.w[0]
    for c in range(w.n_crews):
        if s.crews[c].absence > 0:
            draw_roster(s, c)
    for c in range(len(s.calendars)):
        follow_calendar(s, c)
    for m in range(w.n_modes):
        next_failure(s, m)
    if plan.run.starts_full:
        for gate in s.gates[: w.n_feeders + 1]:
            for e in reversed(_below(s, gate)):
                _fill(s, plan, gate, e)
    for g in (w.supply, w.removal):
        if s.gates[g].is_rated:
            next_opening(s, g)
    for e, el in enumerate(s.elements):
        if el.kind not in (JOIN, SCRAP):
            wake(s, e)
    for n, note in (
        (w.n_sections, touch_section),
        (w.n_stations, touch),
        (w.n_crews, touch_crew),
        (w.n_robots, touch_robot),
    ):
        for i in range(n):
            note(s, i)


def _below(s: State, gate: GateRecord) -> list[int]:
    """Return the elements down from a supply, as far as places of jobs go."""
    found = []
    e = s.elements[gate.element].below
    while s.elements[e].kind in (PACED, STALLS, BUFFER):
        found.append(e)
        e = s.elements[e].below
    return found


def _stations(s: State, section: SectionRecord) -> list[int]:
    return s.ints[section.stations : section.stations + section.n_stations]


def _fill(s: State, plan: Plan, gate: GateRecord, e: int) -> None:
    """Put a job in every place and the stated number in every buffer, the oldest furthest down."""
    el = s.elements[e]
    if el.kind == BUFFER:
        level = min(s.buffers[el.index].capacity, int(plan.buffers.level[el.index]))
        positions = [NONE] * level
    elif el.kind == PACED:
        positions = list(range(s.sections[el.index].n_stations - 1, -1, -1))
    else:
        positions = [s.stations[el.index].position] * s.stations[el.index].places
    for position in positions:
        _put(s, gate, e, position)


def _put(s: State, gate: GateRecord, e: int, position: int) -> None:
    """Take the next job from a supply and put it where it would be had it come down the line."""
    carriers = _carriers_at(s, gate, e)
    if not all(s.carriers[k].free for k in carriers):
        return
    j = bring(s, s.gates.index(gate))
    if j == NONE:
        return
    el = s.elements[e]
    for passed in _below(s, gate):
        other = s.elements[passed]
        if other.section != NONE:
            section = s.sections[other.section]
            for join in s.ints[section.feeders : section.feeders + section.n_feeders]:
                s.cells[unit_cell(s, j, s.elements[join].index)] = 1
        if passed == e:
            break
        for k in _stations(s, s.sections[other.section]) if other.kind == PACED else []:
            count_as_done(s, j, k)
        if other.kind == STALLS:
            count_as_done(s, j, other.index)
    for k in carriers:
        take_carrier(s, k, j)
    if el.kind == BUFFER:
        put_in_buffer(s, el.index, j, 0)
    elif el.kind == STALLS:
        fill_stall(s, e, j)
    else:
        section = s.sections[el.index]
        for k in _stations(s, section)[:position]:
            count_as_done(s, j, k)
        s.stations[_stations(s, section)[position]].job = j
        s.jobs[j].boarded = -position * section.takt
        section.next_mark, section.next_move = section.takt, section.takt - section.transfer
        enter(s, el.index, j, position, 0, 1)


def _carriers_at(s: State, gate: GateRecord, e: int) -> list[int]:
    """Return the carriers on which a job at an element travels."""
    on: list[int] = []
    for passed in _below(s, gate):
        el = s.elements[passed]
        if el.section != NONE:
            section = s.sections[el.section]
            boards = s.ints[section.boards : section.boards + section.n_boards]
            on += [k for k in boards if k not in on]
        if passed == e:
            break
        if el.section != NONE and el.is_last:
            leaves = s.ints[section.leaves : section.leaves + section.n_leaves]
            on = [k for k in on if k not in leaves]
    return on
