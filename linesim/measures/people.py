"""How the crews spend their time."""

from __future__ import annotations

from collections.abc import Iterator

from linesim.ledger.ledger import Ledger
from linesim.measures.value import Value, share
from linesim.plan.plan import Plan
from linesim.plan.words import O_HELPING, O_OFF, O_REPAIRING, O_WALKING, O_WORKING, OPERATOR_STATES
from linesim.ticks import TICKS_PER_SECOND

_BUSY = (O_WORKING, O_WALKING, O_HELPING, O_REPAIRING)


def crew_time(plan: Plan, ledger: Ledger) -> Iterator[Value]:
    """Yield each crew's busy share and its time by state, as shares of its operators' time on duty."""
    for index, name in enumerate(plan.names.crew):
        first = int(plan.crews.first[index])
        ticks = ledger.operator_state[first : first + int(plan.crews.people[index])].sum(axis=0)
        on_duty = int(ticks.sum()) - int(ticks[O_OFF])
        yield Value("crew_busy", name, "", "share", share(sum(int(ticks[state]) for state in _BUSY), on_duty))
        for state, word in enumerate(OPERATOR_STATES):
            if state != O_OFF:
                yield Value("operator_state", name, word, "share", share(int(ticks[state]), on_duty))


def operator_load(plan: Plan, ledger: Ledger) -> Iterator[Value]:
    """Yield how long each operator is busy per finished job, and with what; leave out what it never does."""
    for index in range(len(plan.names.crew)):
        first = int(plan.crews.first[index])
        states = _states_of(plan, index)
        for operator in range(first, first + int(plan.crews.people[index])):
            for state in states:
                busy_s = int(ledger.operator_state[operator, state]) / TICKS_PER_SECOND
                yield Value(
                    "operator_load",
                    plan.names.operator[operator],
                    OPERATOR_STATES[state],
                    "s/job",
                    share(busy_s, ledger.jobs_out),
                )


def _states_of(plan: Plan, crew: int) -> tuple[int, ...]:
    """Return what people of a crew can be busy with, as states."""
    crews = plan.crews
    can = {
        O_WORKING: True,
        O_WALKING: bool(crews.floater[crew] or crews.walk[crew] or crews.walk_speed[crew]),
        O_HELPING: bool(crews.floater[crew]),
        O_REPAIRING: crew in plan.modes.crew,
    }
    return tuple(state for state in _BUSY if can[state])
