"""What the line makes, what stops it, what that is worth, and how jobs get through it."""

from __future__ import annotations

from collections.abc import Iterator

from linesim.ledger.ledger import Ledger
from linesim.ledger.shifts import shifts_a_day_and_week
from linesim.measures.definitions import SEGMENT, Value, share
from linesim.plan.plan import Plan
from linesim.plan.tables import CONVEYOR, FREE, STATION, IntArray
from linesim.plan.words import BLOCKED, C_RUNNING, C_STOPPED, STARVED, STOP_CAUSES

TICKS_PER_MINUTE = 60_000
TICKS_PER_HOUR = 3_600_000


def shifts_worked(plan: Plan, ledger: Ledger) -> float:
    """Return the working time of the accounts as a number of average shifts; need not be whole."""
    return ledger.working_time / plan.shift_ticks


def minutes_per_shift(ticks: int, plan: Plan, ledger: Ledger) -> float | None:
    """Return an amount of time in the accounts as minutes in an average shift; None in no working time."""
    return share(ticks / TICKS_PER_MINUTE, shifts_worked(plan, ledger))


def output(plan: Plan, ledger: Ledger) -> Iterator[Value]:
    """Yield throughput, jobs per shift, day and week, and the shifts that meet the target of the plan.

    Shifts count whole: a shift cut by the end of the warm-up or of the run is in the
    throughput and in no shift figure.
    """
    yield Value(
        "throughput", SEGMENT, "", "jobs/h", share(ledger.jobs_out, ledger.working_time / TICKS_PER_HOUR)
    )
    made = ledger.window_jobs
    a_shift = share(int(made.sum()), len(made))
    yield Value("jobs_per_shift", SEGMENT, "", "jobs", a_shift)
    for name, shifts in zip(("jobs_per_day", "jobs_per_week"), shifts_a_day_and_week(plan), strict=True):
        yield Value(name, SEGMENT, "", "jobs", None if a_shift is None else shifts * a_shift)
    if plan.target is not None:
        met = int((made >= plan.target).sum())
        yield Value("plan_met", SEGMENT, "", "share", share(met, len(made)))


def money(plan: Plan, ledger: Ledger) -> Iterator[Value]:
    """Yield net money a shift and a week, and its parts a shift: jobs, less own stops, people and equipment.

    A part without a price has no row, and without the margin of a job there is no sum. Jobs are those of
    whole shifts, as in `jobs_per_shift`; what a section only passes on costs nothing, so that one event is
    paid once.
    """
    prices = plan.prices
    if prices is None:
        return
    made = share(int(ledger.window_jobs.sum()), len(ledger.window_jobs))
    parts = {
        "jobs": _times(prices.margin, made),
        "stops": _times(prices.stop_minute, own_minutes(plan, ledger), sign=-1),
        "people": _times(prices.people, 1, sign=-1),
        "equipment": _times(prices.equipment, 1, sign=-1),
    }
    priced = zip(parts, (prices.margin, prices.stop_minute, prices.people, prices.equipment), strict=True)
    named = {part: parts[part] for part, price in priced if price is not None}
    unit = f"{prices.currency}/shift"
    if prices.margin is not None:
        given = [value for value in named.values() if value is not None]
        net = sum(given) if len(given) == len(named) else None
        yield Value("net_money", SEGMENT, "", unit, net)
        _, week = shifts_a_day_and_week(plan)
        a_week = None if net is None else week * net
        yield Value("net_money_per_week", SEGMENT, "", f"{prices.currency}/week", a_week)
    for part, value in named.items():
        yield Value("net_money", SEGMENT, part, unit, value)


def _times(price: float | None, amount: float | None, *, sign: int = 1) -> float | None:
    return None if price is None or amount is None else sign * price * amount


def way_through(plan: Plan, ledger: Ledger) -> Iterator[Value]:
    """Yield lead time and jobs inside, in working time and on the clock, and the share overtaken."""
    out, clock = ledger.jobs_out, ledger.end - ledger.start
    yield Value("lead_time", SEGMENT, "", "min", share(ledger.lead_time / TICKS_PER_MINUTE, out))
    yield Value("lead_time_clock", SEGMENT, "", "min", share(ledger.lead_time_clock / TICKS_PER_MINUTE, out))
    yield Value("in_progress", SEGMENT, "", "jobs", share(ledger.job_time, ledger.working_time))
    yield Value("in_progress_clock", SEGMENT, "", "jobs", share(ledger.job_time_clock, clock))
    yield Value("out_of_sequence", SEGMENT, "", "share", share(ledger.out_of_sequence, out))


def quality(plan: Plan, ledger: Ledger) -> Iterator[Value]:
    """Yield the shares of jobs right first time, reworked, scrapped and let out with something wrong."""
    out = ledger.jobs_out
    yield Value("first_time_through", SEGMENT, "", "share", share(ledger.first_time, out))
    yield Value("reworked", SEGMENT, "", "share", share(ledger.reworked, out))
    yield Value("scrapped", SEGMENT, "", "share", share(ledger.jobs_scrapped, out + ledger.jobs_scrapped))
    yield Value("escaped", SEGMENT, "", "share", share(ledger.escaped, out))


def feeders(plan: Plan, ledger: Ledger) -> Iterator[Value]:
    """Yield how many units each feeder starts and hands to the main line."""
    hours = ledger.working_time / TICKS_PER_HOUR
    for index, name in enumerate(plan.names.feeder):
        yield Value("units_started", name, "", "units/h", share(int(ledger.units_in[index]), hours))
        yield Value("units_merged", name, "", "units/h", share(int(ledger.units_merged[index]), hours))


def causes_of(plan: Plan, owner_kind: int, owner: int) -> tuple[int, ...]:
    """Return the causes that a station or section can be booked with, as indices, in table order.

    These are the causes every line knows and the disturbance words of that place; a
    ``parts`` disturbance of one station gives no row of zeros at all the others.
    """
    modes = plan.modes
    own = {
        int(modes.cause[m])
        for m in range(len(modes.owner))
        if modes.owner_kind[m] == owner_kind and modes.owner[m] == owner
    }
    return (*range(len(STOP_CAUSES)), *sorted(own - set(range(len(STOP_CAUSES)))))


def line_stops(plan: Plan, ledger: Ledger) -> Iterator[Value]:
    """Yield minutes and stops per shift: each section's total, its own causes, its stations by cause.

    The minutes of a section and its stations that carry a cause add up to the row of the section that
    carries none: a minute of stop has one place and one cause. Turns add up to as many as the section
    stopped or more: a stop that passes from one place or cause to another is a turn of each.
    """
    yield from _by_place(plan, ledger)
    for index, name in enumerate(plan.names.section):
        running = int(ledger.section_state[index, C_RUNNING])
        stopped = int(ledger.section_state[index, C_STOPPED])
        yield Value("availability", name, "", "share", share(running, running + stopped))


def own_stops(plan: Plan, ledger: Ledger) -> Iterator[Value]:
    """Yield minutes of the stops that begin on the line: of all sections, of each, of its stations.

    What a section only passes on (no room ahead, no job comes) is left out, so that one event counts once
    however many sections come to stand for it. A station of a free section has no conveyor to stop.
    """
    begun = _begun(ledger)
    yield Value("own_stop", SEGMENT, "", "min/shift", own_minutes(plan, ledger))
    for index, name in enumerate(plan.names.section):
        ticks = begun[index].sum(axis=-1)
        yield Value("own_stop", name, "", "min/shift", minutes_per_shift(int(ticks.sum()), plan, ledger))
        for s in plan.sections.stations[index] if plan.sections.pacing[index] != FREE else ():
            minutes = minutes_per_shift(int(ticks[s]), plan, ledger)
            yield Value("own_stop", plan.names.station[s], "", "min/shift", minutes)


def own_minutes(plan: Plan, ledger: Ledger) -> float | None:
    """Return the minutes a shift of all stops that begin on the line; None in no working time."""
    return minutes_per_shift(int(_begun(ledger).sum()), plan, ledger)


def _begun(ledger: Ledger) -> IntArray:
    """Return the ticks of stop by section, place and cause, with none for what is only passed on."""
    ticks = ledger.stop.copy()
    ticks[..., [BLOCKED, STARVED]] = 0
    return ticks


def _by_place(plan: Plan, ledger: Ledger) -> Iterator[Value]:
    shifts = shifts_worked(plan, ledger)
    for index, name in enumerate(plan.names.section):
        ticks, counts = ledger.stop[index], ledger.stops[index]
        places = [(name, -1, causes_of(plan, CONVEYOR, index))] + [
            (plan.names.station[s], int(s), causes_of(plan, STATION, int(s)))
            for s in plan.sections.stations[index]
        ]
        yield Value("line_stop", name, "", "min/shift", minutes_per_shift(int(ticks.sum()), plan, ledger))
        for where, row, causes in places:
            for cause in causes:
                minutes = minutes_per_shift(int(ticks[row, cause]), plan, ledger)
                yield Value("line_stop", where, plan.names.cause[cause], "min/shift", minutes)
        yield Value("line_stops", name, "", "1/shift", share(int(ledger.stands[index]), shifts))
        for where, row, causes in places:
            for cause in causes:
                yield Value(
                    "stop_turns",
                    where,
                    plan.names.cause[cause],
                    "1/shift",
                    share(int(counts[row, cause]), shifts),
                )
