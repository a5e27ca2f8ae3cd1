"""How far the conveyor of a moving or indexed section has come at any moment."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from functools import cached_property

from linesim.plan.plan import Plan
from linesim.plan.tables import FREE, INDEXED, NONE


@dataclass(frozen=True)
class Belt:
    """The running time of one conveyor, and the marks at which its jobs pass on.

    A job that came on with mark ``m`` has gone ``travel(t) - m`` places at ``t``: one number for all jobs of
    the section, so that a stop is a flat step in the way of each of them.

    Attributes:
        takt: Running time from mark to mark [ticks].
        transfer: Part of it in which an indexed section moves [ticks]; 0 in a moving one.
        toggles: Ticks at which it starts or halts, in turn; it stands before the first.
        marks: Ticks at which the marks were passed, the first one being mark 1.
        is_indexed: Whether its jobs stand in their stations and move on during the transfer.
    """

    takt: int
    transfer: int
    toggles: tuple[int, ...]
    marks: tuple[int, ...]
    is_indexed: bool = False

    @cached_property
    def _ran(self) -> tuple[int, ...]:
        """Running time at each toggle."""
        ran = [0]
        for i, (before, after) in enumerate(zip(self.toggles, self.toggles[1:], strict=False)):
            ran.append(ran[-1] + (after - before if i % 2 == 0 else 0))
        return tuple(ran)

    def ran(self, t: int) -> int:
        """Return the running time from the start of the run to ``t`` [ticks]."""
        i = bisect_right(self.toggles, t) - 1
        if i < 0:
            return 0
        return self._ran[i] + (t - self.toggles[i] if i % 2 == 0 else 0)

    @cached_property
    def phase(self) -> int:
        """Running time at mark 0 [ticks]: 0, or a takt before the start of the run."""
        return self.ran(self.marks[0]) - self.takt if self.marks else 0

    def travel(self, t: int) -> float:
        """Return how many places a job that came on with mark 0 would have gone by ``t``."""
        return (self.ran(t) - self.phase) / self.takt

    def passed(self, t: int) -> int:
        """Return how many marks have been passed by ``t``, that of ``t`` itself included."""
        return bisect_right(self.marks, t)

    def station(self, boarded: int, t: int) -> int:
        """Return at which station of the section a job is that came on with mark ``boarded``, from 0."""
        return self.passed(t) - boarded

    def place(self, boarded: int, t: int) -> float:
        """Return where on the section the job is at ``t``, in stations from its upstream end.

        In a moving section it passes the borders 0, 1, 2, … at the marks. In an indexed one it stands in the
        middle of a station, at 0.5, 1.5, …, and moves on during the transfer before a mark.
        """
        if not self.is_indexed:
            return self.travel(t) - boarded
        station = self.station(boarded, t)
        if not self.transfer:
            return station + 0.5
        moved = 1 + (self.ran(t) - self.phase - (boarded + station + 1) * self.takt) / self.transfer
        return station + 0.5 + min(1.0, max(0.0, moved))


class Belts:
    """Listens to the log and keeps when each section starts, halts, and passes its marks."""

    def __init__(self, plan: Plan) -> None:
        self._plan = plan
        n = len(plan.names.section)
        self._calendar = plan.sections.calendar.tolist()
        self.is_on = [calendar == NONE for calendar in self._calendar]
        self._stands = [False] * n
        self._toggles: list[list[int]] = [[0] if is_on else [] for is_on in self.is_on]
        self._duty: list[list[int]] = [[0] if is_on else [] for is_on in self.is_on]
        self.marks: list[list[int]] = [[] for _ in range(n)]

    def switch(self, calendar: int, is_on: bool, now: int) -> None:
        """Note that working time of a calendar begins or ends."""
        for section, follows in enumerate(self._calendar):
            if follows == calendar and self.is_on[section] != is_on:
                self.is_on[section] = is_on
                _toggle(self._duty[section], now)
                self._look(section, now)

    def stand(self, section: int, stands: bool, now: int) -> None:
        """Note that a section halts or goes on."""
        self._stands[section] = stands
        self._look(section, now)

    def _look(self, section: int, now: int) -> None:
        should_run = self.is_on[section] and not self._stands[section]
        if should_run != (len(self._toggles[section]) % 2 == 1):
            _toggle(self._toggles[section], now)

    def belts(self) -> tuple[Belt | None, ...]:
        """Return the belt of each section; None for a free one."""
        sections = self._plan.sections
        return tuple(
            None
            if sections.pacing[s] == FREE
            else Belt(
                int(sections.takt[s]),
                int(sections.transfer[s]) if sections.pacing[s] == INDEXED else 0,
                tuple(self._toggles[s]),
                tuple(self.marks[s]),
                bool(sections.pacing[s] == INDEXED),
            )
            for s in range(len(self.marks))
        )

    def duty(self) -> tuple[tuple[int, ...], ...]:
        """Return the ticks at which each section comes on duty and goes off, in turn; off at first."""
        return tuple(tuple(ticks) for ticks in self._duty)


def _toggle(ticks: list[int], now: int) -> None:
    """Add a change; two at one instant are none."""
    if ticks and ticks[-1] == now:
        ticks.pop()
    else:
        ticks.append(now)
