"""How the crews spend their time."""

from __future__ import annotations

from collections.abc import Iterator

from linesim.ledger.ledger import Ledger
from linesim.measures.value import Value, share
from linesim.plan.plan import Plan
from linesim.plan.words import O_HELPING, O_OFF, O_REPAIRING, O_WALKING, O_WORKING, OPERATOR_STATES

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
