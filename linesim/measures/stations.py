"""Where the stations' time goes, and what happens at their limits."""

from __future__ import annotations

from collections.abc import Iterator

from linesim.ledger.ledger import Ledger
from linesim.measures.value import Value, share
from linesim.plan.plan import Plan
from linesim.plan.tables import FREE, NONE
from linesim.plan.words import RESPONSE_STEPS_S, S_OFF, STATION_STATES, STOP_CAUSES
from linesim.ticks import TICKS_PER_SECOND


def station_state_words(plan: Plan) -> tuple[str, ...]:
    """Return the states of a station in column order: every line's, then the waits for disturbances."""
    return (*STATION_STATES, *(f"waiting: {word}" for word in plan.names.cause[len(STOP_CAUSES) :]))


def station_states(plan: Plan, ledger: Ledger) -> Iterator[Value]:
    """Yield each station's time by state, as shares of the time in which its calendar works."""
    words = station_state_words(plan)
    for index, name in enumerate(plan.names.station):
        row = ledger.station_state[index]
        on = int(row.sum()) - int(row[S_OFF])
        for state, word in enumerate(words):
            if state != S_OFF:
                yield Value("station_state", name, word, "share", share(int(row[state]), on))


def station_limits(plan: Plan, ledger: Ledger) -> Iterator[Value]:
    """Yield overruns, open work, overload and calls of the stations of paced sections, per job."""
    for index, name in enumerate(plan.names.station):
        if plan.sections.pacing[plan.stations.section[index]] == FREE:
            continue
        jobs = int(ledger.station_jobs[index])
        per_hundred = "1/100 jobs"
        yield Value("overruns", name, "", per_hundred, share(100 * int(ledger.overruns[index]), jobs))
        overload_s = int(ledger.overload[index]) / TICKS_PER_SECOND
        yield Value("overload", name, "", "s/job", share(overload_s, jobs))
        yield Value("unfinished", name, "", per_hundred, share(100 * int(ledger.unfinished[index]), jobs))
        if plan.stations.call_at[index] == NONE:
            continue
        calls, answered = int(ledger.calls[index]), int(ledger.calls_answered[index])
        response_s = int(ledger.call_response[index]) / TICKS_PER_SECOND
        yield Value("calls", name, "", per_hundred, share(100 * calls, jobs))
        yield Value("calls_answered", name, "", "share", share(answered, calls))
        yield Value("calls_stopped", name, "", "share", share(int(ledger.calls_stopped[index]), calls))
        yield Value("call_response", name, "", "s", share(response_s, answered))
        for step, within_s in enumerate(RESPONSE_STEPS_S):
            count = int(ledger.call_within[index, step])
            yield Value("call_within", name, f"{within_s} s", "share", share(count, calls))
