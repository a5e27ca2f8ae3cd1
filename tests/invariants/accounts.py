"""What must hold of every ledger, and of every list of events that goes with it."""

from typing import Any

import numpy as np

from linesim.ledger.ledger import Ledger
from linesim.plan.plan import Plan
from linesim.plan.tables import NONE
from linesim.plan.words import C_STOPPED, S_STARVED
from tests.lines import Ran


def check_sums(plan: Plan, ledger: Ledger) -> None:
    """Every account sums to the clock; stops sum to the time sections stood; jobs are kept."""
    clock = ledger.end - ledger.start
    for table in (ledger.station_state, ledger.section_state, ledger.operator_state, ledger.robot_state):
        assert (np.asarray(table) >= 0).all()
        assert [int(row.sum()) for row in table] == [clock] * len(table)
    for on_clock, in_hours in zip(ledger.buffer_level_clock, ledger.buffer_level, strict=True):
        assert int(on_clock.sum()) == clock and (in_hours >= 0).all() and (in_hours <= on_clock).all()
    assert (ledger.stop >= 0).all()
    assert ledger.stop.sum(axis=(1, 2)).tolist() == ledger.section_state[:, C_STOPPED].tolist()
    assert (ledger.window_stop.sum(axis=0) <= ledger.stop.sum(axis=(1, 2))).all()
    assert ledger.inside_start + ledger.jobs_in == ledger.jobs_out + ledger.jobs_scrapped + ledger.inside_end
    assert min(ledger.inside_start, ledger.inside_end, ledger.jobs_out, ledger.jobs_scrapped) >= 0
    assert ledger.window_jobs.sum() <= ledger.jobs_out
    assert (ledger.bay_hold <= clock).all()
    for busy, on_clock, hours, count in (
        (ledger.tool_busy, ledger.tool_busy_clock, ledger.tool_hours, plan.equipment.tool_count),
        (ledger.carrier_busy, ledger.carrier_busy_clock, ledger.carrier_hours, plan.carriers.count),
        # In a work place too, until its people come.
        (
            ledger.bay_waiting,
            ledger.bay_waiting_clock,
            ledger.bay_hours,
            plan.bays.waiting + plan.bays.places,
        ),
        (ledger.bay_working, ledger.bay_working_clock, ledger.bay_hours, plan.bays.places),
    ):
        assert (busy >= 0).all() and (busy <= on_clock).all() and (hours <= clock).all()
        assert (busy <= hours * count).all() and (on_clock <= clock * count).all()
    assert ledger.lead_time <= ledger.lead_time_clock and ledger.job_time <= ledger.job_time_clock
    lengths = np.diff(ledger.windows, axis=1)
    by_shift, room = ledger.window_bay.sum(axis=2), plan.bays.waiting + plan.bays.places
    assert (by_shift >= 0).all() and (by_shift <= lengths * room).all()
    if lengths.sum() == clock:  # shift follows shift: who waits or is in work is inside
        assert (by_shift.sum(axis=0) >= ledger.bay_waiting_clock + ledger.bay_working_clock).all()
    assert ledger.first_time + ledger.reworked <= ledger.jobs_out
    assert ledger.escaped <= ledger.jobs_out
    if ledger.start == 0:  # later on some were made or found before the accounts began
        gone = ledger.faults_escaped + ledger.faults_not_put_right
        assert (gone <= ledger.faults_made).all()
        assert (ledger.faults_not_put_right <= ledger.faults_found).all()
    for level, places in zip(ledger.buffer_level, plan.buffers.capacity, strict=True):
        assert len(level) <= places + 1


def check_counts(ran: Ran) -> None:
    """What the ledger counts is what the events say, from the end of the warm-up on."""
    ledger, counted = ran.ledger, [e for e in ran.events if e.time >= ran.ledger.start]

    def n(what: str, keep: Any = lambda e: True) -> int:
        return sum(e.what == what and keep(e) for e in counted)

    assert ledger.jobs_in == n("line-on", lambda e: e.where == NONE)
    assert ledger.jobs_out == n("line-off")
    assert ledger.jobs_scrapped == n("scrap", lambda e: e.where == NONE)
    for s in range(len(ran.plan.names.station)):
        assert ledger.calls[s] == n("call", lambda e, s=s: e.station == s)
        assert ledger.unfinished[s] == n("open work", lambda e, s=s: e.station == s)
    for f in range(len(ran.plan.names.fault)):
        assert ledger.faults_made[f] == n("fault", lambda e, f=f: e.where == f)
        assert ledger.faults_found[f] == n("found", lambda e, f=f: e.where == f)
    for feeder in range(len(ran.plan.names.feeder)):
        assert ledger.units_in[feeder] == n("line-on", lambda e, f=feeder: e.where == f)
        assert ledger.units_merged[feeder] == n("merge", lambda e, f=feeder: e.where == f)
    assert int(ledger.stops.sum()) == n("stop")
    for x in range(len(ran.plan.names.section)):
        assert ledger.stands[x] == _stands(ran, x)


def _stands(ran: Ran, section: int) -> int:
    """Return how often a section comes to a stand within the accounts: a stop that follows no other stop."""
    found, stood = 0, False
    for event in ran.events:
        if event.section == section and event.what in {"stop", "restart"}:
            found += event.what == "stop" and not stood and event.time >= ran.ledger.start
            stood = event.what == "stop"
    return found


def check_calls(ran: Ran) -> None:
    """Help is as long on its way as booked, for a call of this job, and counts where that call counts."""
    called: dict[tuple[int, int], int] = {}
    response = [0] * len(ran.plan.names.station)
    answered = response.copy()
    for event in ran.events:
        if event.what == "call":
            called[event.job, event.station] = event.time
        elif event.what == "help" and called[event.job, event.station] >= ran.ledger.start:
            response[event.station] += event.time - called[event.job, event.station]
            answered[event.station] += 1
    assert response == ran.ledger.call_response.tolist()
    assert answered == ran.ledger.calls_answered.tolist()
    assert (ran.ledger.calls_answered <= ran.ledger.calls).all()
    assert (ran.ledger.calls_stopped <= ran.ledger.calls).all()


def check_little(ran: Ran) -> None:
    """Job-ticks inside are the sum of the jobs' own times inside (Little's law on the path)."""
    ledger = ran.ledger
    on = {e.job: e.time for e in ran.events if e.what == "line-on" and e.where == NONE}
    off = {e.job: e.time for e in ran.events if e.what in ("line-off", "scrap") and e.where == NONE}
    inside = sum(
        max(0, min(off.get(job, ledger.end), ledger.end) - max(time, ledger.start))
        for job, time in on.items()
    )
    assert inside == ledger.job_time_clock
    out = [job for job, time in off.items() if time >= ledger.start]
    scrapped = {e.job for e in ran.events if e.what == "scrap" and e.where == NONE}
    assert sum(off[job] - on[job] for job in out if job not in scrapped) == ledger.lead_time_clock


def check_states_from_events(ran: Ran) -> None:
    """The states that the event log tells add up to the accounts of stations and people."""
    ledger = ran.ledger
    for what, column, table, first in (
        ("station is", "station", ledger.station_state, S_STARVED),
        ("operator is", "who", ledger.operator_state, 0),
    ):
        totals, since = np.zeros_like(table), [ledger.start] * len(table)
        state = [first] * len(table)
        for event in ran.events:
            if event.what != what:
                continue
            i = event.station if column == "station" else event.who[0]
            now = max(event.time, ledger.start)
            totals[i, state[i]] += now - since[i]
            since[i], state[i] = now, event.where
        for i in range(len(table)):
            totals[i, state[i]] += ledger.end - since[i]
        assert totals.tolist() == table.tolist()
