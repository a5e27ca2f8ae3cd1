"""Calendars as spans of ticks, and the length of a run in them."""

from __future__ import annotations

from collections.abc import Iterable

from linesim.plan.index import Index
from linesim.plan.tables import NONE, PlannedCalendar, PlannedRun
from linesim.scenario.run import DAY_MIN, DAYS, WEEK_MIN, Calendar, Day, minutes_of
from linesim.ticks import Duration, ticks

Span = tuple[int, int]


def calendars(index: Index) -> tuple[PlannedCalendar, ...]:
    """Return every calendar over a week that begins with the first shift of the run's own.

    Tick 0 is the moment at which that first shift begins, for all calendars alike.
    """
    scenario = index.scenario
    if not scenario.calendar:
        return ()
    own = scenario.run.calendar
    origin = min(first for first, _ in _shifts(scenario.calendar[own])) if own is not None else 0
    return tuple(_calendar(table, origin) for table in scenario.calendar.values())


def _shifts(table: Calendar) -> list[Span]:
    """Return (begin, end) of the week's shifts in minutes from Monday midnight, in order."""
    return sorted(spans_of(table.shifts, table.days))


def spans_of(texts: Iterable[str], days: Iterable[Day]) -> list[Span]:
    """Return (begin, end) of spans of the day on each of these days, in minutes from Monday midnight."""
    found = []
    for day in days:
        for text in texts:
            minutes = minutes_of(text)
            assert minutes is not None, text
            start = DAYS.index(day) * DAY_MIN
            found.append((start + minutes[0], start + minutes[1]))
    return found


def _calendar(table: Calendar, origin: int) -> PlannedCalendar:
    turns, breaks = _shifts(table), _breaks(table)
    on = [span for shift in turns for span in _without(shift, breaks)]
    week = ticks(60.0 * WEEK_MIN)

    def turned(minutes: int) -> int:
        return ticks(60.0 * ((minutes - origin) % WEEK_MIN))

    spans: list[Span] = []
    for first, last in on:
        begin, length = turned(first), ticks(60.0 * (last - first))
        end = begin + length
        spans += [(begin, end)] if end <= week else [(begin, week), (0, end - week)]
    shifts = [(turned(first), turned(first) + ticks(60.0 * (last - first))) for first, last in turns]
    return PlannedCalendar(week, tuple(sorted(spans)), tuple(sorted(shifts)))


def _breaks(table: Calendar) -> list[Span]:
    """Return the breaks of a week and of the night before it, for shifts that cross midnight."""
    every_day = []
    for text in table.breaks:
        minutes = minutes_of(text)
        assert minutes is not None, text
        every_day += [(day * DAY_MIN + minutes[0], day * DAY_MIN + minutes[1]) for day in range(-1, 9)]
    return sorted(every_day)


def _without(shift: Span, breaks: list[Span]) -> list[Span]:
    """Return what is left of ``shift`` without ``breaks``."""
    begin, end = shift
    left = []
    for first, last in breaks:
        if last <= begin or first >= end:
            continue
        if first > begin:
            left.append((begin, first))
        begin = max(begin, last)
    return [*left, (begin, end)] if begin < end else left


def run(index: Index, known: tuple[PlannedCalendar, ...]) -> PlannedRun:
    """Return warm-up and length in ticks; whole shifts are those of the run's calendar."""
    table = index.scenario.run
    own = NONE if table.calendar is None else index.calendar[table.calendar]
    warm_up, length = table.warm_up.ticks, table.length.ticks
    if own != NONE:
        calendar = known[own]
        n_warm = _whole_shifts(table.warm_up)
        if n_warm is not None:
            warm_up = _shift(calendar, n_warm)[0]
        n_length = _whole_shifts(table.length)
        if n_length is not None:
            first = next(n for n in range(10**9) if _shift(calendar, n)[0] >= warm_up)
            length = _shift(calendar, first + n_length - 1)[1] - warm_up
    return PlannedRun(
        warm_up=warm_up,
        length=length,
        replications=table.replications,
        seed=table.seed,
        shift=table.shift.ticks,
        starts_full=table.start == "full",
        calendar=own,
    )


def _whole_shifts(duration: Duration) -> int | None:
    """Return how many whole shifts ``duration`` is, or None if it is something else."""
    whole = duration.unit == "shift" and duration.amount == int(duration.amount)
    return int(duration.amount) if whole else None


def _shift(calendar: PlannedCalendar, n: int) -> Span:
    """Return shift ``n``, counted from 0."""
    turn, k = divmod(n, len(calendar.shifts))
    first, last = calendar.shifts[k]
    return turn * calendar.period + first, turn * calendar.period + last
