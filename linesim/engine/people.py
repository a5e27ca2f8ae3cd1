"""People: who is chosen, given back and there in a shift, how far they walk, how long new ones take."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from linesim.engine.line_records import Operator
from linesim.engine.lists import add_last, chance, look_at, timer, touch_person
from linesim.engine.order import ROSTER
from linesim.engine.tables import State, rule
from linesim.plan.plan import Plan
from linesim.plan.tables import LEARNT, NONE


@rule
def take_person(s: State, o: int) -> None:
    """Count a person among the busy."""
    operator = s.operators[o]
    crew = s.crews[operator.crew]
    if operator.is_free:
        operator.is_free = 0
        crew.n_free -= 1
    touch_person(s, o)


@rule
def give_back(s: State, o: int) -> None:
    """Count a person among the idle again; work at the stations of the crew may start.

    Who is away for this shift leaves instead.
    """
    operator = s.operators[o]
    crew = s.crews[operator.crew]
    if operator.is_away:
        touch_person(s, o)
        return
    operator.is_free = 1
    operator.free_since = s.w[0].now
    crew.n_free += 1
    touch_person(s, o)
    look_at(s, crew.stations, crew.n_stations)


@rule
def first_free(s: State, c: int, job: int) -> int:
    """Return the idle person of a crew to send to a job: one who was last there, or the first by number.

    ``job`` is the job's serial, 0 where it does not matter.
    """
    crew = s.crews[c]
    first = NONE
    for o in range(crew.first, crew.first + crew.people):
        operator = s.operators[o]
        if operator.is_free:
            if job == 0 or operator.last_job == job:
                return o
            if first == NONE:
                first = o
    return first


@rule
def n_free_people(s: State, p: int) -> int:
    """Return how many people could start a piece now: of its crews, and floaters who help there."""
    piece = s.pieces[p]
    n = 0
    for i in range(piece.crews, piece.crews + piece.n_crews):
        crew = s.crews[s.ints[i]]
        if crew.is_on:
            n += crew.n_free
    o = s.visits[piece.visit].first_helper
    while o != NONE:
        operator = s.operators[o]
        if operator.piece == NONE and s.crews[operator.crew].is_on:
            n += 1
        o = operator.next_helper
    return n


@rule
def might_find_people(s: State, p: int) -> bool:
    """Return whether a piece might find people; most that wait do not, and need no closer look."""
    piece = s.pieces[p]
    if piece.people == 0 or s.visits[piece.visit].first_helper != NONE:
        return True
    for i in range(piece.crews, piece.crews + piece.n_crews):
        if s.crews[s.ints[i]].n_free:
            return True
    return False


@rule
def choose_people(s: State, p: int) -> bool:
    """Take the people for a piece from its crews, in the order named, or none at all.

    One person comes from the first crew that has one idle. Of several the first are those already at the
    job, then the others by crew and number; helpers come last among each.
    """
    piece = s.pieces[p]
    visit = s.visits[piece.visit]
    job = s.jobs[visit.job].serial
    if piece.people == 1 and visit.first_helper == NONE:
        for i in range(piece.crews, piece.crews + piece.n_crews):
            crew = s.crews[s.ints[i]]
            if crew.n_free and crew.is_on:
                join_people(s, p, first_free(s, s.ints[i], job))
                return True
        return False
    if n_free_people(s, p) < piece.people:
        return False
    left = piece.people
    for turn in range(4):
        is_there = turn < 2
        if turn % 2 == 0:
            for i in range(piece.crews, piece.crews + piece.n_crews):
                crew = s.crews[s.ints[i]]
                if crew.is_on == 0:
                    continue
                for o in range(crew.first, crew.first + crew.people):
                    operator = s.operators[o]
                    if left and operator.is_free and (operator.last_job == job) == is_there:
                        join_people(s, p, o)
                        left -= 1
        else:
            o = visit.first_helper
            while o != NONE:
                operator = s.operators[o]
                is_idle = operator.piece == NONE and s.crews[operator.crew].is_on == 1
                if left and is_idle and (operator.last_job == job) == is_there:
                    join_people(s, p, o)
                    left -= 1
                o = operator.next_helper
    return True


@rule
def join_people(s: State, p: int, o: int) -> None:
    """Put a person behind those at a piece."""
    piece = s.pieces[p]
    piece.first_person = add_last(s.operators, piece.first_person, o)
    s.operators[o].piece = p
    take_person(s, o)


@rule
def take_first(s: State, crews: int, n_crews: int, n: int) -> int:
    """Take the first ``n`` idle people of crews that are on; return the first, NONE for too few."""
    found = 0
    for i in range(crews, crews + n_crews):
        crew = s.crews[s.ints[i]]
        if crew.is_on:
            found += crew.n_free
    if found < n:
        return NONE
    first = NONE
    left = n
    for i in range(crews, crews + n_crews):
        crew = s.crews[s.ints[i]]
        if crew.is_on == 0:
            continue
        for o in range(crew.first, crew.first + crew.people):
            if left and s.operators[o].is_free:
                first = add_last(s.operators, first, o)
                take_person(s, o)
                left -= 1
    return first


@rule
def conveyor_clock(s: State, x: int) -> int:
    """Return the running time of a section's conveyor [ticks]; 0 where there is none."""
    section = s.sections[x]
    if section.runs:
        return section.clock_at + s.w[0].now - section.since
    return section.clock_at


@rule
def is_moving(s: State, x: int) -> bool:
    """Return whether the conveyor runs at this moment; a free section runs while it may hand on."""
    section = s.sections[x]
    if section.is_on == 0 or section.first_hold != NONE:
        return False
    if section.is_paced:
        return section.runs == 1 and section.mark_due == 0 and section.move_due == 0
    return True


@rule
def walk_ticks(s: State, o: int, v: int) -> int:
    """Return how long a person walks before work on a visit [ticks].

    Nobody walks to the job that they last worked on, nor to their first. With a walking speed of ``w``
    times the conveyor's, the way is the distance between operator and job, less what the operator
    has already walked back while idle; walking up the line towards a job that comes nearer closes it
    at ``w + 1``, walking after a job at ``w - 1``, and at ``w`` while the section stands.
    """
    operator, visit = s.operators[o], s.visits[v]
    job = s.jobs[visit.job]
    if operator.last_job == 0 or operator.last_job == job.serial:
        return 0
    crew = s.crews[operator.crew]
    if crew.walk_speed == 0:
        return crew.walk
    x = s.stations[visit.station].section
    if operator.section != x:
        return 0
    way = operator.position - (conveyor_clock(s, x) - job.boarded)
    ahead = abs(way) - crew.walk_speed * (s.w[0].now - operator.free_since)
    if ahead <= 0:
        return 0
    speed = crew.walk_speed
    if is_moving(s, x):
        if way > 0:
            speed = crew.walk_speed + 1
        else:
            speed = crew.walk_speed - 1
    return round(ahead / speed)


Add = Callable[[Sequence[int]], tuple[int, int]]  #: Puts a row into ``ints``.


def hire(s: State, plan: Plan, c: int, people: Sequence[Operator], add: Add) -> None:
    """Note when the shifts of a crew begin, who may be away, and what its new people have to learn.

    Args:
        s: The tables, with the people of the crews before.
        plan: The line.
        c: The crew.
        people: Its people, not yet among the operators.
        add: Puts a row into ``ints``.
    """
    crew = s.crews[c]
    crew.curve, crew.n_curve = add(plan.crews.curve[c].tolist())
    for new in people[len(people) - int(plan.crews.new[c]) :]:
        new.practice, _ = add([0] * s.w[0].n_tasks)
    if not people or plan.crews.absence[c] == 0:
        return
    crew.absence = float(plan.crews.absence[c])
    known = sum(operator.away != NONE for operator in s.operators)
    for place, operator in enumerate(people):
        operator.away = plan.columns.away + known + place
    crew.period, begins = plan.run.shift, [plan.run.warm_up % plan.run.shift]
    if crew.calendar != NONE:
        found = plan.calendars[crew.calendar]
        crew.period, begins = found.period, sorted({first % found.period for first, _ in found.shifts})
    crew.shifts, crew.n_shifts = add(begins)
    crew.turn, crew.place = divmod(sum(begin <= 0 for begin in begins), len(begins))


@rule
def has_left(s: State, o: int) -> bool:
    """Return whether a person is away: drawn so for this shift, and with nothing to end."""
    operator = s.operators[o]
    if operator.is_away == 0 or operator.piece != NONE or operator.mode != NONE:
        return False
    return operator.bay_job == NONE and operator.helps == NONE


@rule
def draw_roster(s: State, c: int) -> None:
    """Draw who of a crew is away in the shift that begins, and set the next one."""
    crew = s.crews[c]
    for o in range(crew.first, crew.first + crew.people):
        operator = s.operators[o]
        is_away = chance(s, operator.away, 0, crew.shift) < crew.absence
        had_left = has_left(s, o)
        operator.is_away = int(is_away)
        if is_away and operator.is_free:
            take_person(s, o)
        elif had_left and not is_away:
            give_back(s, o)
    crew.shift += 1
    at = crew.turn * crew.period + s.ints[crew.shifts + crew.place]
    crew.place += 1
    if crew.place == crew.n_shifts:
        crew.place = 0
        crew.turn += 1
    timer(s, at, ROSTER, c, 0, c)


@rule
def slowed(s: State, p: int, ticks: int) -> int:
    """Return how long a piece takes its people: the slowest of the new ones sets the pace, and learns."""
    piece = s.pieces[p]
    most = LEARNT
    o = piece.first_person
    while o != NONE:
        operator = s.operators[o]
        if operator.practice != NONE:
            crew = s.crews[operator.crew]
            at = operator.practice + piece.task
            n = s.ints[at]
            if n < crew.n_curve:
                most = max(most, s.ints[crew.curve + n])
                s.ints[at] = n + 1
        o = operator.next
    if most == LEARNT:
        return ticks
    return (ticks * most + LEARNT // 2) // LEARNT
