"""Replications of several cases, by name: figures that pair up, and more of them when they are wanted."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from linesim.measures import SEGMENT
from linesim.plan.people import shifts_a_week
from linesim.runs.replicate import Replications
from linesim.runs.replication import FIGURES, Label, Recorder, Replication
from linesim.runs.runner import CaseNeed, Means, run_needs
from linesim.scenario.replace import NOTHING, Changes, lines_of

if TYPE_CHECKING:
    from linesim.answers.card import Convergence, StudyCard
    from linesim.runs.result import Result
    from linesim.runs.rows import Row
    from linesim.scenario import Scenario

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Case:
    """One variant of a line.

    Attributes:
        name: What answers call it.
        scenario: The line.
        changes: Lines of TOML that were laid over the base to get it.
        notes: What is noted down of its replications.
    """

    name: str
    scenario: Scenario
    changes: tuple[str, ...] = ()
    notes: Recorder = FIGURES

    @classmethod
    def changed(cls, name: str, base: Scenario, changes: Changes, *, add: Changes = NOTHING) -> Case:
        """Return a line with changes, which answers carry as lines of TOML.

        Args:
            name: What answers call it.
            base: The line without them.
            changes: Places and what they are set to; see `Scenario.replace`.
            add: The same for what is new.

        Raises:
            ScenarioError: With everything that is wrong then.
        """
        return cls(name, base.replace(changes, add=add), lines_of({**add, **changes}))


@dataclass(frozen=True, slots=True)
class CaseRuns:
    """Replications of several cases. Frozen: running more of them gives another `CaseRuns`.

    Attributes:
        cases: The cases, the base first.
        seed: Seed of all draws.
        found: The replications of each case, by its name.
        means: How further replications are run.
        convergences: How a figure became sharp in each case, if their number followed from that.
    """

    cases: tuple[Case, ...]
    seed: int
    found: Mapping[str, Replications]
    means: Means = field(default_factory=Means, repr=False, compare=False)
    convergences: tuple[Convergence, ...] = ()

    @property
    def names(self) -> tuple[str, ...]:
        """Names of the cases."""
        return tuple(case.name for case in self.cases)

    @property
    def numbers(self) -> tuple[int, ...]:
        """Replications that every case has finished, ascending: those that can be compared."""
        return self.common(self.names)

    @property
    def lost(self) -> tuple[tuple[str, int], ...]:
        """Case and number of each replication whose worker process died whenever it ran."""
        return tuple((name, number) for name in self.names for number in self.found[name].lost)

    def case(self, name: str) -> Case:
        """Return a case.

        Raises:
            KeyError: If there is none of this name.
        """
        for case in self.cases:
            if case.name == name:
                return case
        raise KeyError(f"no case {name!r}; there are {', '.join(self.names)}")

    def numbers_of(self, name: str) -> tuple[int, ...]:
        """Return which replications a case has finished, ascending."""
        self.case(name)
        return tuple(replication.number for replication in self.found[name].finished)

    def common(self, names: Sequence[str]) -> tuple[int, ...]:
        """Return which replications all the named cases have finished, ascending."""
        sets = [set(self.numbers_of(name)) for name in names]
        return tuple(sorted(set.intersection(*sets))) if sets else ()

    def values(
        self,
        name: str,
        measure: str,
        where: str = SEGMENT,
        cause: str = "",
        *,
        numbers: Sequence[int] | None = None,
    ) -> FloatArray:
        """Return a figure of each replication of a case.

        Args:
            name: The case.
            measure: The figure; see `linesim.measures.DEFINITIONS`.
            where: Where on the line.
            cause: Which state or cause.
            numbers: Of which replications; None takes `numbers`, so that the arrays of all cases pair up.

        Returns:
            Values in the order of the numbers, shape ``(replications,)``; NaN where a replication gives
            no such figure.

        Raises:
            KeyError: If there is no such case, figure or replication.
        """
        self.case(name)
        runs = self.found[name]
        column = runs.column(measure, where, cause)
        given = {replication.number: replication.values[column] for replication in runs.finished}
        chosen = self.numbers if numbers is None else numbers
        if missing := [number for number in chosen if number not in given]:
            raise KeyError(f"case {name!r} has no replication {missing[0]}")
        return np.array(
            [np.nan if given[number] is None else given[number] for number in chosen], dtype=np.float64
        )

    def row(
        self, name: str, measure: str, where: str = SEGMENT, cause: str = "", *, confidence: float = 0.95
    ) -> Row:
        """Return the row of a figure of a case over all its replications, without the whole table."""
        from linesim.runs.rows import figure_row

        runs = self.found[name]
        column = runs.column(measure, where, cause)
        target = self.case(name).scenario.target.jobs_per_shift
        return figure_row(runs.labels[column], column, runs.finished, confidence, target)

    def result(self, name: str, confidence: float = 0.95, *, file: str = "") -> Result:
        """Return the whole table of measures of a case, over all its replications."""
        from linesim.plan.build import build
        from linesim.runs.provenance import warnings_on
        from linesim.runs.result import ScenarioCard
        from linesim.runs.simulation import result_of

        case = self.case(name)
        plan = build(case.scenario)
        card = ScenarioCard(
            plan.title, file, case.scenario.fingerprint(), case.changes, warnings_on([case.scenario])
        )
        result = result_of(plan, self.found[name], card, seed=self.seed, confidence=confidence)
        convergence = next((one for one in self.convergences if one.case == name), None)
        return replace(result, convergence=convergence)

    def card(self, confidence: float = 0.95, *, file: str = "") -> StudyCard:
        """Return what was simulated and how, for an answer to carry."""
        from linesim.answers.card import CaseCard, StudyCard
        from linesim.runs.provenance import versions, warnings_on

        cases = tuple(
            CaseCard(
                case.name, case.scenario.fingerprint(), case.changes, len(self.found[case.name].finished)
            )
            for case in self.cases
        )
        title = self.cases[0].scenario.title
        return StudyCard(
            title,
            file,
            self.seed,
            confidence,
            cases,
            self.lost,
            tuple(versions().items()),
            self.convergences,
            warnings_on([case.scenario for case in self.cases]),
        )

    def only(self, names: Iterable[str]) -> CaseRuns:
        """Return the named cases alone, in the order of `cases`; what others lack no longer counts."""
        kept = set(names)
        for name in sorted(kept):
            self.case(name)
        cases = tuple(case for case in self.cases if case.name in kept)
        return CaseRuns(cases, self.seed, {case.name: self.found[case.name] for case in cases}, self.means)

    def take(self, numbers: Iterable[int]) -> CaseRuns:
        """Return the runs with only these replications, as if no later ones had been run.

        Args:
            numbers: Which, at least one; what was lost before the last of them stays told.
        """
        kept = set(numbers)
        last = max(kept)
        found = {
            name: Replications(
                runs.labels,
                tuple(one for one in runs.finished if one.number in kept),
                tuple(number for number in runs.lost if number <= last),
            )
            for name, runs in self.found.items()
        }
        return CaseRuns(self.cases, self.seed, found, self.means)

    def extend(self, numbers: Iterable[int], names: Iterable[str] | None = None) -> CaseRuns:
        """Run further replications.

        Args:
            numbers: Which; those that are already there are not run again.
            names: Of which cases; None means all.

        Raises:
            LinesimError: As `run_cases` does.
        """
        chosen = self.cases if names is None else self.only(names).cases
        return self.add(chosen, numbers)

    def add(self, cases: Iterable[Case], numbers: Iterable[int] | None = None) -> CaseRuns:
        """Run cases, new ones or ones that are already here, and return the runs with them.

        Args:
            cases: Which; a name that is already taken must mean the same scenario.
            numbers: Which replications; None takes `numbers`.

        Raises:
            LinesimError: As `run_cases` does.
            ValueError: If a name is used for two scenarios.
        """
        chosen = tuple(cases)
        known = {case.name: case for case in self.cases}
        for case in chosen:
            if case.name in known and known[case.name] != case:
                raise ValueError(f"two cases are called {case.name!r}")
            known[case.name] = case
        if len({case.name for case in chosen}) != len(chosen):
            raise ValueError("two cases have the same name")
        wanted = tuple(sorted(set(self.numbers if numbers is None else numbers)))
        needs = [
            CaseNeed(case.name, case.scenario, wanted, self.found.get(case.name), case.notes)
            for case in chosen
        ]
        found = {**self.found, **run_needs(needs, seed=self.seed, means=self.means)}
        base, *others = known.values()
        for case in others if base in chosen else [case for case in others if case in chosen]:
            price, shifts = case.scenario.cost.stop_minute, shifts_a_week(case.scenario)
            found[case.name] = charged(price, found[case.name], found[base.name], shifts)
        return CaseRuns(tuple(known.values()), self.seed, found, self.means)


def charged(price: float | None, runs: Replications, base: Replications, shifts: float) -> Replications:
    """Return replications of a case whose money counts stops only as far as sections stand longer for them.

    A minute of own stop that takes the place of one passed on (no room ahead, no job comes) costs nothing,
    and one that leaves such a minute behind saves nothing. So in each replication and section the change of
    own minutes counts only as far as that of all minutes for which the section stands: the middle one of 0
    and the two. The stops of the case are paid as those of the base with these changes added. What is
    charged already is not changed by charging it again.

    Args:
        price: Of a minute of own stop in the case; None leaves everything as it is.
        runs: Replications of the case.
        base: Those of the line it is compared with. What it lacks stays as it is, and a section that it
            does not have stood for no minute.
        shifts: Shifts of a week in the case.
    """
    at, places = _columns(runs.labels)
    week, total = (places.get((name, SEGMENT, "")) for name in ("net_money_per_week", "net_money"))
    stops = places.get(("net_money", SEGMENT, "stops"))
    if price is None or stops is None:
        return runs
    begun = base.column("own_stop", SEGMENT)
    parts = [n for (_, _, part), n in places.items() if part]
    old, _ = _columns(base.labels)
    before = {one.number: one.values for one in base.finished}

    def minutes(place: int | None, values: Sequence[float | None]) -> float:
        return 0.0 if place is None else values[place] or 0.0

    def counted(section: str, was: Sequence[float | None], now: Sequence[float | None]) -> float:
        first, last = old.get(section, (None, None)), at.get(section, (None, None))
        own, all_of_them = (minutes(last[n], now) - minutes(first[n], was) for n in (0, 1))
        return sorted((0.0, own, all_of_them))[1]

    def charge(one: Replication) -> Replication:
        was = before.get(one.number)
        if was is None or one.values[stops] is None:
            return one
        change = sum(counted(section, was, one.values) for section in {**old, **at})
        values = list(one.values)
        values[stops] = -price * (minutes(begun, was) + change)
        if total is not None and values[total] is not None:
            net = values[total] = sum(values[part] or 0.0 for part in parts)
            if week is not None:
                values[week] = shifts * net
        return replace(one, values=tuple(values))

    return replace(runs, finished=tuple(map(charge, runs.finished)))


@lru_cache(maxsize=64)
def _columns(labels: tuple[Label, ...]) -> tuple[dict[str, tuple[int, int]], dict[tuple[str, str, str], int]]:
    """Return of each section where its own minutes stand and all that it stands; and where money stands."""
    places = {label[:3]: place for place, label in enumerate(labels)}
    stands = {
        where: (places["own_stop", where, ""], place)
        for (measure, where, cause), place in places.items()
        if measure == "line_stop" and not cause
    }
    return stands, {name: place for name, place in places.items() if name[0].startswith("net_money")}
