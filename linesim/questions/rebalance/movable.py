"""Which tasks may move to which stations, in words why the others cannot, and moves as cases."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

from linesim.answers.wording import count_of, listed
from linesim.errors import WrongQuestionError
from linesim.runs.cases import Case
from linesim.scenario import Scenario
from linesim.scenario.content import Layout
from linesim.scenario.line import Placed
from linesim.scenario.problems import has


@dataclass(frozen=True, slots=True)
class StaysPut:
    """A task that cannot move.

    Attributes:
        task: Its name, ``station.task``.
        station: Where it is done.
        why: What keeps it there.
    """

    task: str
    station: str
    why: str


class Movable:
    """The tasks of a line, with the stations that each may be done at.

    Attributes:
        tasks: All tasks, in the order of the plan.
        before: Pairs of tasks by number: the first is done before the second, or at the same station.
        stays: The tasks that cannot move, with the reason.
        targets: Stations at which each task may be done, its own among them, by number of the task.
    """

    def __init__(self, scenario: Scenario, to: Sequence[str] = (), keep: Sequence[str] = ()) -> None:
        """Look at every task.

        Args:
            scenario: The line.
            to: Sections and stations that tasks of other sections may move to as well.
            keep: Tasks, stations and sections that stay as they are.

        Raises:
            WrongQuestionError: If there is nothing of a name.
        """
        self.scenario = scenario
        self.layout = Layout.of(scenario)
        self.tasks: tuple[Placed, ...] = scenario.placed_tasks
        self.number = {one.full_name: t for t, one in enumerate(self.tasks)}
        self._more = {station for name in to for station in self._stations_named(name, "--to")}
        self._kept = {name for name in keep if name in self.number}
        kept_at = [
            s for name in keep if name not in self.number for s in self._stations_named(name, "--keep")
        ]
        self._kept |= {one.full_name for one in self.tasks if one.at in kept_at}
        self._closed = set(kept_at)
        self.before: tuple[tuple[int, int], ...] = tuple(dict.fromkeys(self._pairs()))
        stays, targets = [], []
        for t, one in enumerate(self.tasks):
            why, places = self._own(t)
            places = places if not why else (one.at,)
            targets.append(places)
            stays.append(StaysPut(one.full_name, one.at, why) if why else None)
        self.targets: list[tuple[str, ...]] = targets
        self._hold_between(stays)
        self.stays: tuple[StaysPut, ...] = tuple(stay for stay in stays if stay is not None)

    @property
    def free(self) -> tuple[int, ...]:
        """Tasks that may move, by number."""
        return tuple(t for t, places in enumerate(self.targets) if len(places) > 1)

    def rank(self, station: str) -> int:
        """Return how far down its line a station stands."""
        return self.layout.rank[station]

    def _stations_named(self, name: str, option: str) -> tuple[str, ...]:
        if name in self.scenario.section:
            return tuple(self.scenario.section[name].stations)
        if name in self.scenario.station:
            return (name,)
        known = [*self.scenario.section, *self.scenario.station, *(self.number if option == "--keep" else ())]
        kinds = "section, station or task" if option == "--keep" else "section or station"
        raise WrongQuestionError(
            f"{option} {name}: {name!r} is no {kinds} of this scenario; {has(known, name, 'place')}."
        )

    def _task_named(self, one: Placed, text: str) -> int:
        """Return the number of a task that another one names."""
        local = f"{one.station}.{text}"
        return self.number[local if local in self.number else text]

    def _pairs(self) -> Iterator[tuple[int, int]]:
        for t, one in enumerate(self.tasks):
            for text in one.task.after:
                yield self._task_named(one, text), t
            for fault in one.task.fault.values():
                if fault.found != "at once" and "." in fault.found:
                    yield t, self._task_named(one, fault.found)

    @cached_property
    def _inspections(self) -> dict[int, str]:
        """The tasks at which faults are found, each with the task that leaves the first of them."""
        found: dict[int, str] = {}
        for one in self.tasks:
            for fault in one.task.fault.values():
                if "." in fault.found:
                    found.setdefault(self._task_named(one, fault.found), one.full_name)
        return found

    def _own(self, t: int) -> tuple[str, tuple[str, ...]]:
        """Return why a task has to stay, looked at alone, or the stations at which it may be done."""
        one = self.tasks[t]
        task = one.task
        if one.full_name in self._kept:
            return "it is kept, as asked", ()
        if task.fixed:
            return "the file says `fixed`", ()
        if task.robot:
            return f"robot {listed(task.robot)} does it", ()
        if not task.people:
            return "it needs nobody: equipment does it", ()
        if t in self._inspections:
            return f"faults of {self._inspections[t]} are found at it", ()
        if self.layout.line_of.get(one.at) is None:
            return "its station is on no line", ()
        home = self.layout.section_of[one.at]
        line = self.layout.line_of[one.at]
        near = [
            station
            for station, section in self.layout.section_of.items()
            if (section == home or station in self._more)
            and self.layout.line_of[station] == line
            and (station == one.at or station not in self._closed)
        ]
        if len(near) < 2:
            return f"section {home} has no other station", ()
        able = [station for station in near if station == one.at or not self._lacks(one, station, home)]
        if len(able) < 2:
            return self._lacks(one, next(station for station in near if station != one.at), home), ()
        within = [station for station in able if station == one.at or self._keeps_faults(one, station)]
        if len(within) < 2:
            return "its faults have to be found and put right further down", ()
        return "", tuple(within)

    def _lacks(self, one: Placed, station: str, home: str) -> str:
        """Return what a task would lack at a station; empty if nothing."""
        crews = {
            name: crew for name, crew in self.scenario.crew.items()
            if station in crew.covers and not crew.floater
        }  # fmt: skip
        task = one.task
        if task.crew and not all(name in crews for name in task.crew):
            return (
                f"crew {listed(task.crew, 'or')}, which it names, covers no other station of section {home}"
            )
        there = sum(crew.people for name, crew in crews.items() if not task.crew or name in task.crew)
        if there < task.people:
            return (
                f"nowhere else in section {home} is a crew with {task.people} people at once"
                if (task.people > 1)
                else f"no crew covers another station of section {home}"
            )
        section = self.layout.section_of[station]
        if section != home:
            used = {tool for other in self.tasks for tool in other.task.tool
                    if self.layout.section_of.get(other.at) == section}  # fmt: skip
            if missing := [tool for tool in task.tool if tool not in used]:
                return f"tool {listed(missing)} is not used in section {section}"
        return ""

    def _keeps_faults(self, one: Placed, station: str) -> bool:
        """Return whether the faults of a task, done at a station, are still found and put right after it."""
        scenario, rank = self.scenario, self.layout.rank
        for fault in one.task.fault.values():
            at_once = fault.found == "at once"
            if not at_once and "." not in fault.found and rank[fault.found] < rank[station]:
                return False
            if at_once and fault.right in scenario.station and rank[fault.right] < rank[station]:
                return False
            if at_once and fault.right in scenario.bay:
                end = self.layout.end_of(scenario, scenario.bay[fault.right].section)
                if end is not None and end < rank[station]:
                    return False
        return True

    def _hold_between(self, stays: list[StaysPut | None]) -> None:
        """Narrow the stations of every task to those between what must come before and after it."""
        followers: dict[int, list[int]] = {}
        ahead: dict[int, list[int]] = {}
        for first, then in self.before:
            followers.setdefault(first, []).append(then)
            ahead.setdefault(then, []).append(first)
        changed = True
        while changed:
            changed = False
            for t, places in enumerate(self.targets):
                if len(places) < 2:
                    continue
                least = max((self._least(p) for p in ahead.get(t, ())), default=-1)
                most = min((self._furthest(f) for f in followers.get(t, ())), default=len(self.layout.rank))
                kept = tuple(place for place in places if least <= self.rank(place) <= most)
                if kept != places:
                    self.targets[t], changed = kept, True
                    if len(kept) < 2:
                        stays[t] = self._held(t, ahead.get(t, ()), followers.get(t, ()), least, most)

    def _least(self, t: int) -> int:
        return min(self.rank(place) for place in self.targets[t])

    def _furthest(self, t: int) -> int:
        return max(self.rank(place) for place in self.targets[t])

    def _held(self, t: int, ahead: Sequence[int], behind: Sequence[int], least: int, most: int) -> StaysPut:
        one = self.tasks[t]
        first = [p for p in ahead if self._least(p) == least == self.rank(one.at)]
        last = [f for f in behind if self._furthest(f) == most == self.rank(one.at)]
        if not first:
            first = [p for p in ahead if self._least(p) == least]
        if not last:
            last = [f for f in behind if self._furthest(f) == most]
        between = [f"{self.tasks[p].full_name} comes before it" for p in first[:1]]
        between += [f"{self.tasks[f].full_name} after it" for f in last[:1]]
        return StaysPut(one.full_name, one.at, f"{listed(between)}, and both leave it no other station"
                    if len(between) > 1 else f"{between[0]} and leaves it no other station")  # fmt: skip


_LONGEST = 3  #: Moves that stand in the name of a case.


@dataclass(frozen=True, slots=True)
class Move:
    """A task that moves.

    Attributes:
        task: Its name, ``station.task``.
        source, target: Where it is done, and where it is done then.
        crew_before, crew_after: Who may do it here and there.
        work_s: Its work [person-s a job], weighted by the mix.
    """

    task: str
    source: str
    target: str
    crew_before: str
    crew_after: str
    work_s: float

    def __str__(self) -> str:
        name = self.task.removeprefix(f"{self.source}.")
        return (
            f"{self.source}.{name} → {self.target}" if name != self.task else f"{self.task} → {self.target}"
        )


@dataclass(frozen=True, slots=True)
class MovesCandidate:
    """Moves that are simulated.

    Attributes:
        moves: The tasks that move.
        at: Where each task of the line is done then, by number.
        above_s: Work that does not fit then [person-s a job].
        is_proved: Whether the program has proved that none of as many moves leaves less, when it was found.
        case: The line with them.
    """

    moves: tuple[Move, ...]
    at: tuple[int, ...]
    above_s: float
    is_proved: bool
    case: Case

    @property
    def name(self) -> str:
        """What tables call it."""
        return self.case.name

    @property
    def count(self) -> int:
        """How many tasks move."""
        return len(self.moves)


def named(moves: tuple[Move, ...]) -> str:
    """Return a name for a line with moves."""
    first = ", ".join(map(str, moves[:_LONGEST]))
    return first if len(moves) <= _LONGEST else f"{len(moves)} moves: {first} …"


def why_not(movable: Movable) -> str:
    """Return in words what keeps the tasks where they are, the commonest reasons first."""
    reasons: dict[str, list[str]] = {}
    for stay in movable.stays:
        reasons.setdefault(stay.why, []).append(stay.task)
    said = [
        f"{count_of(len(tasks), 'task')} ({listed(tasks[:2])}{' ...' if len(tasks) > 2 else ''}): {why}"
        for why, tasks in sorted(reasons.items(), key=lambda item: -len(item[1]))
    ]
    more = len(said) - 4
    return "; ".join(said[:4]) + (f"; and {count_of(more, 'other reason')}." if more > 0 else ".")
