"""People on paper: how many each crew needs at the heavier jobs, and a target that no staffing can reach."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from linesim.capacity.ceiling import Limit, limits
from linesim.capacity.loads import Loads, crew_spread
from linesim.measures.output import TICKS_PER_HOUR
from linesim.plan.plan import Plan
from linesim.plan.tables import NONE


@dataclass(frozen=True, slots=True)
class CrewDesk:
    """What the work of a crew asks for at its takt.

    Attributes:
        mean: People at the average job; 0 where no task names the crew (repairs, floaters).
        peak: People at the job that nineteen in twenty do not exceed.
    """

    mean: float
    peak: float

    @property
    def people(self) -> int:
        """Whole people at the peak."""
        return math.ceil(self.peak - 1e-9)


def desk_of(loads: Loads) -> tuple[CrewDesk, ...]:
    """Return what each crew's work asks for; every crew must have somebody.

    Work that several crews may do is split by their numbers of people, as in `Loads.crews`. Who is away now
    and then takes as many more; what new people take longer is not in it.
    """
    found = []
    for c, load in enumerate(loads.crews):
        spread = crew_spread(loads, c)
        assert spread is not None, f"nobody is in crew {load.name}"
        there = load.takt_s * (1 - float(loads.plan.crews.absence[c]))
        found.append(CrewDesk(*(load.count * work / there for work in (spread.mean, spread.p95))))
    return tuple(found)


def hours_a_shift(plan: Plan) -> tuple[float, float]:
    """Return the working hours of a shift of the run's calendar: on average, and of the longest."""
    if plan.run.calendar == NONE:
        return (plan.run.shift / TICKS_PER_HOUR,) * 2
    found = plan.calendars[plan.run.calendar]
    on = [(begin + turn, end + turn) for turn in (0, found.period) for begin, end in found.on]
    hours = [
        sum(max(0, min(last, end) - max(first, begin)) for begin, end in on) / TICKS_PER_HOUR
        for first, last in found.shifts
    ]
    return sum(hours) / len(hours), max(hours)


def out_of_reach(loads: Loads, target: float, share: float) -> str:
    """Return why no line of these loads makes a target in a share of its shifts; empty if it may.

    Two bounds: what would be made if nothing ever failed or waited, which a shift can only pass by what
    stood ready before it, for a share of half the shifts or more; and the average, which is at least the
    share times the target.

    Args:
        loads: Of the line with as many people as there may be.
        target: Jobs a shift.
        share: Of the shifts, between 0 and 1.
    """
    mean_h, longest_h = hours_a_shift(loads.plan)
    modes = replace(loads.plan.modes, owner=loads.plan.modes.owner[:0])
    sound = limits(Loads(replace(loads.plan, modes=modes)))[:1]
    usual = limits(loads)[:1]
    if sound and share >= 0.5 and target > (most := sound[0].jobs_per_hour * longest_h) + 1e-9:
        return _said(target, sound[0], most, "even if nothing ever failed or waited")
    if usual and share * target > (most := usual[0].jobs_per_hour * mean_h) + 1e-9:
        return _said(target, usual[0], most, "on average")
    return ""


def _said(target: float, limit: Limit, most: float, how: str) -> str:
    return (
        f"{target:g} jobs a shift are out of reach of every staffing that is allowed: {limit.label} lets no "
        f"more than {math.floor(10 * most + 1e-6) / 10:g} through in a shift {how} ({limit.because})."
    )
