"""Who of a crew is there in a shift, and how much longer new people take."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from linesim.engine.line_records import Operator
from linesim.engine.lists import chance, timer
from linesim.engine.order import ROSTER
from linesim.engine.people import give_back, take_person
from linesim.engine.tables import State, rule
from linesim.plan.plan import Plan
from linesim.plan.tables import LEARNT, NONE

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
