"""Working time: when sections, crews and robots are on, and accounts that go on in it alone."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Iterable, Sequence
from typing import Any

from linesim.engine.line_records import Account, CalendarRecord, HoursRecord
from linesim.engine.tables import State, rule
from linesim.plan.tables import NONE, PlannedCalendar


class WorkingTime:
    """One calendar, read from tick to tick."""

    __slots__ = ("_edges", "_period", "changes", "is_on")

    def __init__(self, calendar: PlannedCalendar) -> None:
        self._period = calendar.period
        # Spans that touch leave their border twice, and working time goes on through it.
        self._edges = sorted(edge for span in calendar.on for edge in span)
        turns = {edge % self._period for edge in self._edges}
        self.changes = sorted(
            edge for edge in turns if self.on_at(edge) != self.on_at(edge + self._period - 1)
        )
        self.is_on = self.on_at(0)

    def on_at(self, tick: int) -> bool:
        """Return whether ``tick`` is working time."""
        return bisect_right(self._edges, tick % self._period) % 2 == 1

    def next_change(self, tick: int) -> int | None:
        """Return the first tick after ``tick`` at which working time begins or ends, or None."""
        if not self.changes:
            return None
        turn, phase = divmod(tick, self._period)
        later = bisect_right(self.changes, phase)
        if later < len(self.changes):
            return turn * self._period + self.changes[later]
        return (turn + 1) * self._period + self.changes[0]


class PlaceHours:
    """Fills the tables of calendars, of hours, one for each set of calendars, and of accounts."""

    __slots__ = ("_calendars", "_found", "_s")

    def __init__(self, s: State, calendars: Sequence[PlannedCalendar]) -> None:
        self._s = s
        self._calendars = calendars
        self._found: dict[frozenset[int], int] = {}
        s.calendars, s.hours, s.accounts = [], [], []

    def of(self, calendars: Iterable[int]) -> int:
        """Return the hours in which any of these calendars works; NONE among them works all the time."""
        key = frozenset(calendars)
        if key not in self._found:
            self._found[key] = len(self._s.hours)
            working = (c == NONE or WorkingTime(self._calendars[c]).is_on for c in key)
            self._s.hours.append(HoursRecord(n_on=sum(working)))
        return self._found[key]

    def account(self, calendars: Iterable[int]) -> int:
        """Return a new account of a place that works while any of these calendars does."""
        self._s.accounts.append(Account(hours=self.of(calendars)))
        return len(self._s.accounts) - 1

    def add_calendars(self, add: Callable[[Sequence[int]], tuple[int, int]]) -> None:
        """Fill the table of calendars, once all hours are known; ``add`` puts a row into ``ints``."""
        for c, calendar in enumerate(self._calendars):
            working = WorkingTime(calendar)
            row = CalendarRecord(period=calendar.period, is_on=int(working.is_on))
            row.changes, row.n_changes = add(working.changes)
            first = working.next_change(0)
            if first is not None:
                row.turn, phase = divmod(first, calendar.period)
                row.place = working.changes.index(phase)
            row.hours, row.n_hours = add([h for key, h in self._found.items() if c in key])
            self._s.calendars.append(row)


@rule
def worked(s: State, h: int) -> int:
    """Return for how long hours ``h`` have been working time up to now [ticks]."""
    hours = s.hours[h]
    if hours.n_on:
        return hours.worked + s.w[0].now - hours.since
    return hours.worked


@rule
def switch_hours(s: State, c: int) -> None:
    """Let the hours that follow a calendar go on or rest, as it says now."""
    calendar = s.calendars[c]
    for i in range(calendar.hours, calendar.hours + calendar.n_hours):
        hours = s.hours[s.ints[i]]
        hours.worked = worked(s, s.ints[i])
        hours.since = s.w[0].now
        hours.n_on += 2 * calendar.is_on - 1


@rule
def record(s: State, a: int, level: int) -> None:
    """Book an account up to now, on the clock and in working time; its level is ``level`` from now on."""
    account, now = s.accounts[a], s.w[0].now
    at = worked(s, account.hours)
    account.on_clock += account.level * (now - account.since)
    account.in_hours += account.level * (at - account.worked)
    account.since = now
    account.worked = at
    account.level = level


@rule
def become(s: State, thing: Any, state: int) -> None:
    """Book the state that a section, station, operator or robot was in; it is in ``state`` from now on."""
    now = s.w[0].now
    s.ticks[thing.ticks + thing.state] += now - thing.state_since
    thing.state = state
    thing.state_since = now


@rule
def come_to(s: State, j: int, h: int) -> None:
    """Let a job be in a place with hours ``h`` from now on; its way up to now counts by those it was in."""
    job = s.jobs[j]
    if job.hours != h:
        job.way += worked(s, job.hours) - job.worked
        job.hours = h
        job.worked = worked(s, h)
