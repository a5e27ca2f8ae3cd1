"""Calls for help, and the floaters who answer them."""

from __future__ import annotations

from linesim.engine.lists import look, note, note_job, timer, touch, touch_person
from linesim.engine.order import HELP
from linesim.engine.people import conveyor_clock, first_free, give_back, take_person
from linesim.engine.tables import State, rule
from linesim.ledger.ledger import E_CALL, E_HELP
from linesim.plan.tables import NONE
from linesim.plan.words import RESPONSE_STEPS_S
from linesim.ticks import TICKS_PER_SECOND

N_WITHIN = len(RESPONSE_STEPS_S)


@rule
def call(s: State, v: int) -> None:
    """Call for help at a visit."""
    w, visit = s.w[0], s.visits[v]
    visit.is_called = visit.is_open_call = 1
    visit.next_call = NONE
    if w.last_call == NONE:
        w.first_call = v
    else:
        s.visits[w.last_call].next_call = v
    w.last_call = v
    visit.asked_at = w.now
    visit.asked_in = w.epoch
    s.stations[visit.station].calls += 1
    note_job(s, E_CALL, visit.job, visit.station, NONE)


@rule
def end_call(s: State, v: int) -> None:
    """Take a call off the open ones."""
    w, visit = s.w[0], s.visits[v]
    visit.is_open_call = 0
    before = NONE
    i = w.first_call
    while i != v:
        before = i
        i = s.visits[i].next_call
    if before == NONE:
        w.first_call = visit.next_call
    else:
        s.visits[before].next_call = visit.next_call
    if w.last_call == v:
        w.last_call = before


@rule
def to_limit(s: State, v: int) -> int:
    """Return the conveyor running time that a visit, which has a limit, has left."""
    visit = s.visits[v]
    return visit.limit - conveyor_clock(s, s.stations[visit.station].section)


@rule
def is_more_urgent(s: State, a: int, b: int) -> bool:
    """Return whether call ``a`` is answered before ``b``: nearest limit, furthest down, oldest job."""
    one, other = s.visits[a], s.visits[b]
    to_one, to_other = to_limit(s, a), to_limit(s, b)
    if to_one != to_other:
        return to_one < to_other
    if one.station != other.station:
        return s.stations[one.station].depth > s.stations[other.station].depth
    return s.jobs[one.job].number < s.jobs[other.job].number


@rule
def free_floater(s: State, k: int) -> int:
    """Return the floater who would come to a station, of the first crew that has one idle, or NONE."""
    st = s.stations[k]
    for i in range(st.floaters, st.floaters + st.n_floaters):
        crew = s.crews[s.ints[i]]
        if crew.is_on and crew.n_free:
            return first_free(s, s.ints[i], 0)
    return NONE


@rule
def answer_calls(s: State) -> None:
    """Send idle floaters to open calls, to the most urgent first."""
    w = s.w[0]
    while True:
        best = NONE
        v = w.first_call
        while v != NONE:
            if free_floater(s, s.visits[v].station) != NONE and (best == NONE or is_more_urgent(s, v, best)):
                best = v
            v = s.visits[v].next_call
        if best == NONE:
            return
        o = free_floater(s, s.visits[best].station)
        operator = s.operators[o]
        take_person(s, o)
        operator.helps = best
        operator.is_coming = 1
        end_call(s, best)
        operator.serial = timer(s, w.now + s.crews[operator.crew].response, HELP, o, 0, o)


@rule
def help_arrives(s: State, o: int, serial: int) -> None:
    """Let a floater count as the station's crew."""
    operator = s.operators[o]
    if serial != operator.serial or operator.helps == NONE:
        return
    v, w = operator.helps, s.w[0]
    visit = s.visits[v]
    operator.is_coming = 0
    operator.last_job = s.jobs[visit.job].serial
    operator.next_helper = NONE
    if visit.last_helper == NONE:
        visit.first_helper = o
    else:
        s.operators[visit.last_helper].next_helper = o
    visit.last_helper = o
    touch_person(s, o)
    k = visit.station
    touch(s, k)
    look(s, k)
    if visit.asked_in == w.epoch:
        st = s.stations[k]
        st.calls_answered += 1
        response = w.now - visit.asked_at
        st.call_response += response
        for step in range(N_WITHIN):
            if response <= RESPONSE_STEPS_S[step] * TICKS_PER_SECOND:
                s.ticks[st.call_within + step] += 1
    note(s, E_HELP, s.jobs[visit.job].number, NONE, k, NONE, NONE, o, NONE)


@rule
def call_becomes_stop(s: State, v: int) -> None:
    """Count that the call of a visit, if it made one, did not keep the section from stopping."""
    visit = s.visits[v]
    if visit.asked_at != NONE and visit.asked_in == s.w[0].epoch:
        s.stations[visit.station].calls_stopped += 1


@rule
def finish_call(s: State, v: int) -> None:
    """Close the call of a visit and let its helpers go."""
    visit = s.visits[v]
    if visit.is_open_call:
        end_call(s, v)
    st = s.stations[visit.station]
    for i in range(st.floaters, st.floaters + st.n_floaters):
        crew = s.crews[s.ints[i]]
        for o in range(crew.first, crew.first + crew.people):
            operator = s.operators[o]
            if operator.helps == v:
                operator.helps = NONE
                operator.is_coming = 0
                operator.serial = 0
                give_back(s, o)
    visit.first_helper = visit.last_helper = NONE
