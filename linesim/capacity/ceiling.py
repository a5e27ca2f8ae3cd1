"""The most a line could make if nothing ever waited, and how many people its crews need on paper."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from linesim.capacity.loads import Loads, crew_spread
from linesim.measures.output import TICKS_PER_HOUR
from linesim.plan.plan import Plan
from linesim.plan.tables import (
    CALENDAR,
    CONVEYOR,
    FREE,
    INDEXED,
    JOBS,
    NONE,
    ROBOT,
    RUNNING,
    SECTION,
    STATION,
)
from linesim.ticks import seconds


def gross_per_hour(plan: Plan) -> float:
    """Return the jobs per hour of the slowest takt of the main line, as if nothing ever stood."""
    flow = plan.flow
    takts = [int(plan.sections.takt[i]) for k, i in zip(flow.kind, flow.index, strict=True) if k == SECTION]
    return TICKS_PER_HOUR / max(takts)


def pace_in_words(plan: Plan) -> str:
    """Return the takt of each section as a sentence."""
    takts = {plan.names.section[i]: seconds(int(t)) for i, t in enumerate(plan.sections.takt.tolist())}
    if len(set(takts.values())) == 1:
        return f"Takt {next(iter(takts.values())):g} s in every section."
    return f"Takt: {', '.join(f'{name} {takt:g} s' for name, takt in takts.items())}."


MOST_UNIONS = 4096  #: Groups of crews that are looked at before only the whole is.


@dataclass(frozen=True, slots=True)
class Limit:
    """One thing that output cannot exceed.

    Attributes:
        what: ``takt`` · ``station`` · ``crew`` · ``robot`` · ``tool`` · ``carrier`` · ``supply`` ·
            ``removal``.
        name: Which one; several crews that share their work are joined by ``+``.
        jobs_per_hour: The most it lets through, per hour of the scenario's working time.
        because: Half a sentence that says how it comes about.
    """

    what: str
    name: str
    jobs_per_hour: float
    because: str

    @property
    def label(self) -> str:
        """Kind and name in words, such as `station K1`, `takt of trim`, `supply`."""
        if self.what == self.name:
            return self.what
        return f"takt of {self.name}" if self.what == "takt" else f"{self.what} {self.name}"


def limits(loads: Loads) -> tuple[Limit, ...]:
    """Return everything that limits output, the tightest first.

    From mean times, and with failures at their long-run rate: no run of a line is better for
    long, and every real one is worse, because something always waits.
    """
    found = [
        *_takts(loads),
        *_stations(loads),
        *_crews(loads),
        *_robots(loads),
        *_tools(loads),
        *_carriers(loads),
        *_gates(loads.plan),
    ]
    return tuple(sorted(found, key=lambda limit: limit.jobs_per_hour))


def _takts(loads: Loads) -> Iterator[Limit]:
    plan = loads.plan
    for index, name in enumerate(plan.names.section):
        takt_s = seconds(int(plan.sections.takt[index]))
        if plan.sections.pacing[index] == FREE or takt_s <= 0:
            continue
        hours = _hours(plan, int(plan.sections.calendar[index]))
        up, says = _up_share(plan, CONVEYOR, index, takt_s, takt_s), f"one job a takt of {takt_s:g} s"
        if up < 1:
            says += f", and its conveyor fails {_percent(1 - up)} of the time"
        yield Limit("takt", name, 3600 / takt_s * hours * up, says)


def _stations(loads: Loads) -> Iterator[Limit]:
    plan = loads.plan
    for s, load in enumerate(loads.stations):
        section = int(plan.stations.section[s])
        pacing, takt = int(plan.sections.pacing[section]), int(plan.sections.takt[section])
        if load.cycle_s <= 0 or (pacing != FREE and not plan.stations.stops_at_limit[s]):
            continue
        jobs, cycle_s, says = load.places, load.cycle_s, f"its work takes at least {load.cycle_s:.1f} s"
        if pacing == INDEXED:
            cycle_s += seconds(int(plan.sections.transfer[section]))
            says += ", and the move comes on top" if cycle_s > load.cycle_s else ""
        elif pacing != FREE and takt:
            reach = (int(plan.stations.early[s]) + int(plan.stations.late[s])) / takt
            jobs = math.ceil(1 + reach)
        up = _up_share(plan, STATION, s, load.cycle_s / load.places, cycle_s)
        rate = 3600 * jobs / cycle_s * up * _hours(plan, int(plan.sections.calendar[section]))
        if up < 1:
            says += f", and disturbances take {_percent(1 - up)} of the time"
        yield Limit("station", load.station, rate, says)


def _crews(loads: Loads) -> Iterator[Limit]:
    """Yield what each group of crews can do that some work cannot go past.

    Work that only crew A may do is limited by A; work that A or B may do, together with what only A
    and only B may do, by A and B. The groups are the unions of the sets of crews that tasks name.
    """
    plan = loads.plan
    work: dict[frozenset[int], float] = {}
    for t, person_s in enumerate(loads.task_person_s):
        crews = frozenset(loads.may_do(t, with_floaters=True))
        if crews and person_s > 0:
            work[crews] = work.get(crews, 0.0) + person_s
    for group in _unions(list(work)):
        person_s = sum(amount for crews, amount in work.items() if crews <= group)
        there = plan.crews.people * (1 - plan.crews.absence)
        people = sum(float(there[c]) * _hours(plan, int(plan.crews.calendar[c])) for c in group)
        names = "+".join(plan.names.crew[c] for c in sorted(group))
        count = sum(int(plan.crews.people[c]) for c in group)
        says = f"{person_s:.1f} s of work a job for {count} {'person' if count == 1 else 'people'}"
        yield Limit("crew", names, 3600 * people / person_s, says)


def _unions(sets: list[frozenset[int]]) -> list[frozenset[int]]:
    found: set[frozenset[int]] = set()
    for new in sets:
        found |= {new, *(new | old for old in found)}
        if len(found) > MOST_UNIONS:
            return [*sets, frozenset().union(*sets)]
    return sorted(found, key=sorted)


def _robots(loads: Loads) -> Iterator[Limit]:
    plan = loads.plan
    for index, load in enumerate(loads.robots):
        if load.work_s <= 0:
            continue
        up = _up_share(plan, ROBOT, index, load.work_s, load.work_s)
        rate = 3600 / load.work_s * up * _hours(plan, int(plan.equipment.robot_calendar[index]))
        says = f"{load.work_s:.1f} s of work a job"
        if up < 1:
            says += f", and failures take {_percent(1 - up)} of the time"
        yield Limit("robot", load.name, rate, says)


def _tools(loads: Loads) -> Iterator[Limit]:
    for load in loads.tools:
        if load.work_s > 0:
            rate = 3600 * load.count / load.work_s
            pieces = f"{load.count} piece{'' if load.count == 1 else 's'}"
            yield Limit("tool", load.name, rate, f"{load.work_s:.1f} s of use a job for {pieces}")


def _carriers(loads: Loads) -> Iterator[Limit]:
    """Yield what each loop of carriers can carry: each is away at least for the way through and back."""
    plan, flow = loads.plan, loads.plan.flow
    for index, name in enumerate(plan.names.carrier):
        count, boards, leaves = (
            int(row[index]) for row in (plan.carriers.count, plan.carriers.boards, plan.carriers.leaves)
        )
        on_board, away_s = False, seconds(int(plan.carriers.returns[index]))
        for kind, element in zip(flow.kind.tolist(), flow.index.tolist(), strict=True):
            if kind == SECTION:
                on_board = on_board or element == boards
                away_s += _way_s(loads, element) if on_board else 0.0
                if element == leaves:
                    break
            elif on_board and plan.buffers.capacity[element]:
                away_s += seconds(int(plan.buffers.travel[element]))
        if away_s > 0:
            says = f"{count} of them, each away for at least {away_s:.1f} s"
            yield Limit("carrier", name, 3600 * count / away_s, says)


def _way_s(loads: Loads, section: int) -> float:
    """Return the shortest time in which a job passes a section [s]."""
    plan = loads.plan
    stations = plan.sections.stations[section].tolist()
    if plan.sections.pacing[section] == FREE:
        return math.fsum(loads.stations[s].cycle_s for s in stations)
    return float(len(stations)) * seconds(int(plan.sections.takt[section]))


def _gates(plan: Plan) -> Iterator[Limit]:
    for what, gate in (("supply", plan.supply), ("removal", plan.removal)):
        if gate.every != NONE and (gap_s := plan.shapes[gate.every].mean_s) > 0:
            yield Limit(what, what, 3600 / gap_s, f"one job every {gap_s:.1f} s on average")


def _up_share(plan: Plan, kind: int, owner: int, running_s: float, cycle_s: float) -> float:
    """Return the long-run share of time that failures leave.

    With failures that count running time, each second of running brings ``lasts / every`` seconds of
    failure; with calendar time they take ``lasts / (every + lasts)`` of all time; with jobs, each job
    brings ``lasts / jobs`` seconds. The modes of one thing do not overlap.

    Args:
        plan: The line.
        kind: What kind of thing fails, as in `Modes.owner_kind`.
        owner: Its index.
        running_s: Running time a job needs [s].
        cycle_s: Time between jobs if nothing failed [s].
    """
    modes, extra, left = plan.modes, 0.0, 1.0
    for m in range(len(modes.owner)):
        if modes.owner_kind[m] != kind or modes.owner[m] != owner:
            continue
        lasts_s = plan.shapes[int(modes.lasts[m])].mean_s
        if modes.per[m] == JOBS:
            extra += lasts_s / int(modes.every_jobs[m])
            continue
        every_s = plan.shapes[int(modes.every[m])].mean_s
        if modes.per[m] == CALENDAR:
            left *= every_s / (every_s + lasts_s) if every_s + lasts_s > 0 else 1.0
        else:
            assert modes.per[m] == RUNNING
            extra += running_s * lasts_s / every_s if every_s > 0 else 0.0
    return left * (cycle_s / (cycle_s + extra) if cycle_s > 0 else 1.0)


def _percent(share: float) -> str:
    return f"{100 * share:.2g} %"


def _hours(plan: Plan, calendar: int) -> float:
    """Return the working hours of a calendar per working hour of the scenario's own."""
    return _on_share(plan, calendar) / _on_share(plan, plan.run.calendar)


def _on_share(plan: Plan, calendar: int) -> float:
    if calendar == NONE:
        return 1.0
    found = plan.calendars[calendar]
    return sum(end - start for start, end in found.on) / found.period


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
