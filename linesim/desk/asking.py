"""What a change does, asked again and again: the line with and without it over common draws, look by look.

The number of replications is that of the file and fixed beforehand, so the last look is what `compare`
says. Looks before it hold together with the same confidence (Bonferroni), so that a verdict among them is no
luck of looking often. Replication 1 of each case, whose beginning both drives run, comes after the first
look.
"""

from __future__ import annotations

import signal
import threading
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from linesim.answers.measure import Measure
from linesim.capacity.loads import Loads, StationLoad
from linesim.errors import LinesimError
from linesim.plan.build import build
from linesim.plan.words import HANDED_ON
from linesim.questions.decision import money_between
from linesim.runs.case_runner import CaseChange, changes_of, estimate_of, headline, shared_measures
from linesim.runs.cases import Case, run_cases
from linesim.runs.select import main_figure

if TYPE_CHECKING:
    from linesim.answers.values import Change, Estimate
    from linesim.runs.case_runs import CaseRuns
    from linesim.scenario import Scenario

FILE = "the file"  #: What the line as the file has it is called.
FIRST = (2, 3)  #: Replications of the first look.
MOST_PLACES = 6  #: Places whose stops are told.
MOST_CASES = 40  #: Changed lines whose replications stay at hand.
CONFIDENCE = 0.95


@dataclass(frozen=True, slots=True)
class Asking:
    """What is to be asked.

    Attributes:
        version: Counts what was asked so far; an older one is of no interest.
        base: The line as the file has it.
        now: The line with the changes; None where nothing is changed.
        kept: Alternatives by name.
    """

    version: int
    base: Scenario
    now: Scenario | None
    kept: Mapping[str, Scenario] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Looked:
    """What the replications say so far.

    Attributes:
        version: Of what was asked.
        done, total: Replications of each, and how many there will be.
        figures: The measure that decides and those beside it, with the change against the file.
        estimate, measure: What the line makes, in the measure that decides.
        stops: Places whose stops changed most, with the change.
        money: Net money and its parts; empty where nothing has a price.
        failed: Why there is no answer; empty if there is one.
    """

    version: int
    done: int
    total: int
    figures: tuple[CaseChange, ...] = ()
    estimate: Estimate | None = None
    measure: Measure | None = None
    stops: tuple[CaseChange, ...] = ()
    money: Mapping[str, Change] = field(default_factory=dict)
    failed: str = ""

    @property
    def is_last(self) -> bool:
        """Whether no further look follows."""
        return self.done >= self.total

    @property
    def has_side(self) -> bool:
        """Whether the looks so far, all together, leave more or fewer only.

        The same difference in each of so few replications is luck as well as not.
        """
        change = self.figures[0].difference if self.figures else None
        return change is not None and change.sign != 0 and not change.is_constant


@dataclass(frozen=True, slots=True)
class Side:
    """One alternative beside the others.

    Attributes:
        name: Its name; that of the file for the line as it is.
        estimate: What it makes.
        change: How much more that is than the file's; None for the file itself.
        stop, people: Minutes for which its sections stand a shift, all together, and people on the line.
        money: Net money more than the file's; None where nothing has a price.
        failed: Why there is nothing to say; empty if there is.
    """

    name: str
    estimate: Estimate | None = None
    change: Change | None = None
    stop: Estimate | None = None
    people: int = 0
    money: Change | None = None
    failed: str = ""


@dataclass(frozen=True, slots=True)
class Seen:
    """What a drawing of the line shows of its last run.

    Attributes:
        loads: Work of each station against takt.
        stop_min: Minutes of stop a shift that begin at each place.
    """

    loads: Mapping[str, StationLoad] = field(default_factory=dict)
    stop_min: Mapping[str, float] = field(default_factory=dict)


def looks(total: int) -> tuple[tuple[int, ...], ...]:
    """Return which replications each look has.

    Examples:
        >>> [len(one) for one in looks(20)], looks(20)[0], looks(1)
        ([2, 4, 8, 20], (2, 3), ((1,),))
    """
    if total < 4:
        return (tuple(range(1, total + 1)),)
    counts = [count for count in (4, 8) if count < total]
    return (FIRST, *(tuple(range(1, count + 1)) for count in (*counts, total)))


class _OutdatedError(Exception):
    """Something else is asked by now."""


class Asker(threading.Thread):
    """The thread that answers; it sleeps while there is nothing to ask.

    Args:
        how: How replications are run, without a store.
        open_store: Opens the store, in this thread.
        tell: Told what was found: `Looked`, the `Side` of each, `Seen`, or a sentence that one should hear.
    """

    def __init__(
        self, how: Mapping[str, Any], open_store: Callable[[], object], tell: Callable[[object], None]
    ) -> None:
        super().__init__(name="asker", daemon=True)
        self._how, self._open_store, self._tell = how, open_store, tell
        self._wake = threading.Condition()
        self._task: Asking | None = None
        self._is_new = self._ends = False
        self._count = 0
        self._runs: CaseRuns | None = None
        self._base: Scenario | None = None
        self._loads: tuple[Scenario, dict[str, StationLoad]] | None = None

    def ask(self, task: Asking) -> None:
        """Ask something else from now on."""
        with self._wake:
            self._task, self._is_new = task, True
            self._wake.notify()

    def end(self) -> None:
        """End the thread after the replications that are on their way."""
        with self._wake:
            self._ends = True
            self._wake.notify()

    @property
    def runs(self) -> CaseRuns | None:
        """All replications so far; frozen, so anybody may read them."""
        return self._runs

    def run(self) -> None:
        """Answer until the end."""
        if hasattr(signal, "pthread_sigmask"):  # worker processes inherit this: Ctrl-C is for the program
            signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
        store = self._open_store()
        how = {**self._how, "store": store, "notice": self._tell, "progress": self._go_on}
        while True:
            with self._wake:
                self._wake.wait_for(lambda: self._is_new or self._ends)
                if self._ends:
                    break
                task, self._is_new = self._task, False
            assert task is not None
            try:
                self._answer(task, how)
            except _OutdatedError:
                continue
            except LinesimError as error:
                self._tell(Looked(task.version, 0, 1, failed=str(error)))
        if self._runs is not None:
            self._runs.means.pool.close()

    def _go_on(self, done: int, total: int) -> None:
        """Give up what was asked where something else is asked by now; called after every replication.

        Raises:
            _OutdatedError: If so. What was simulated is in the store.
        """
        if self._is_new or self._ends:
            raise _OutdatedError

    def _answer(self, task: Asking, how: Mapping[str, Any]) -> None:
        base = Case(FILE, task.base)
        steps = looks(task.base.run.replications)
        if self._runs is None or self._base is not task.base:
            self._runs = run_cases([base], numbers=steps[0], **how)
            self._base = task.base
        if len(self._runs.cases) > MOST_CASES:  # the store has them all
            self._runs = self._runs.only([FILE, *self._runs.names[-MOST_CASES // 2 :]])
        cases = [base] if task.now is None else [base, self._case(task.now)]
        names = [case.name for case in cases]
        for place, numbers in enumerate(steps):
            self._run(cases, numbers)
            is_last = place + 1 == len(steps)
            if not is_last and all(self._has(case, steps[place + 1]) for case in cases):
                continue
            self._tell(self._looked(task.version, names, numbers, steps, 1 if is_last else len(steps) - 1))
            if is_last or (not place and task.now is None):
                self._tell(self._seen(cases[-1].scenario, names[-1]))
            self._go_on(0, 0)
        if task.kept:
            self._tell(tuple(self._sides(task)))

    def _has(self, case: Case, numbers: Iterable[int]) -> bool:
        """Return whether these replications of a case are there already."""
        assert self._runs is not None
        return case.name in self._runs.names and set(numbers) <= set(self._runs.numbers_of(case.name))

    def _run(self, cases: Iterable[Case], numbers: Iterable[int]) -> None:
        """Run what is missing, all of it at once: nobody waits between replications."""
        assert self._runs is not None
        wanted = tuple(numbers)
        if missing := [case for case in cases if not self._has(case, wanted)]:
            self._runs = self._runs.add(missing, wanted)

    def _case(self, scenario: Scenario) -> Case:
        """Return a line as a case; the same line keeps its name, so that nothing of it is run again."""
        assert self._runs is not None
        for case in self._runs.cases[1:]:
            if case.scenario == scenario:
                return case
        self._count += 1
        return Case(f"change {self._count}", scenario)

    def _looked(
        self, version: int, names: Sequence[str], numbers: Sequence[int],
        steps: Sequence[Sequence[int]], comparisons: int,
    ) -> Looked:  # fmt: skip
        assert self._runs is not None
        runs = self._runs.only(names).take(numbers)
        measure = main_figure(runs, None)
        found = Looked(
            version, len(numbers), len(steps[-1]), estimate=estimate_of(runs, names[-1], measure, CONFIDENCE),
            measure=measure,
        )  # fmt: skip
        if len(names) == 1:
            return found

        def changed(measures: Sequence[Measure], together: int) -> tuple[CaseChange, ...]:
            return changes_of(
                runs, FILE, names[1], measures, confidence=CONFIDENCE, comparisons=together * comparisons
            )

        beside = headline(runs, measure)
        stops = tuple(
            one for one in shared_measures(runs, runs.names)
            if one.measure == "line_stop" and one.cause and one.cause not in HANDED_ON
        )  # fmt: skip
        moved = sorted(changed(stops, max(1, len(stops))), key=lambda one: -abs(one.difference.mean or 0.0))
        parts = money_between(runs, FILE, names[1], CONFIDENCE, comparisons)
        return replace(
            found,
            figures=(*changed((measure,), 1), *changed(beside, len(beside))),
            stops=tuple(one for one in moved[:MOST_PLACES] if one.difference.verdict != "the same"),
            money=parts,
        )

    def _seen(self, scenario: Scenario, name: str) -> Seen:
        assert self._runs is not None
        if self._loads is None or self._loads[0] != scenario:
            found = {load.station: load for load in Loads(build(scenario)).stations}
            self._loads = scenario, found
        stop_min: dict[str, float] = {}
        for label in self._runs.found[name].labels:
            if label.measure == "line_stop" and label.cause and label.cause not in HANDED_ON:
                values = self._runs.values(name, *label[:3], numbers=self._runs.numbers_of(name))
                if not np.isnan(values).all():
                    stop_min[label.where] = stop_min.get(label.where, 0.0) + float(np.nanmean(values))
        return Seen(self._loads[1], stop_min)

    def _sides(self, task: Asking) -> Iterator[Side]:
        """Yield the file and each alternative, all over the same replications."""
        assert self._runs is not None
        numbers = range(1, task.base.run.replications + 1)
        base = Case(FILE, task.base)
        cases: dict[str, Case] = {}
        failed: dict[str, str] = {}
        for name, scenario in task.kept.items():
            case = self._case(scenario)
            try:
                self._run([base, case], numbers)
                cases[name] = case
            except LinesimError as error:
                failed[name] = str(error)
        runs = self._runs.only([FILE, *(case.name for case in cases.values())]).take(numbers)
        measure = main_figure(runs, None)
        for name, case in {FILE: base, **cases}.items():
            change = None
            money: Mapping[str, Change] = {}
            if name != FILE:
                (found,) = changes_of(
                    runs, FILE, case.name, (measure,), confidence=CONFIDENCE, comparisons=len(cases)
                )
                change = found.difference
                money = money_between(runs, FILE, case.name, CONFIDENCE, len(cases))
            people = sum(crew.people for crew in case.scenario.crew.values())
            yield Side(
                name, estimate_of(runs, case.name, measure, CONFIDENCE), change,
                _sum_of_stops(runs, case.name), people, money.get("", None),
            )  # fmt: skip
        for name, why in failed.items():
            yield Side(name, failed=why)


def _sum_of_stops(runs: CaseRuns, name: str) -> Estimate | None:
    """Return the minutes a shift for which a line's sections stand, all of them together."""
    from linesim.answers.values import Estimate, possible
    from linesim.stats.intervals import mean_interval

    columns = [label for label in runs.found[name].labels if label.measure == "line_stop" and not label.cause]
    if not columns:
        return None
    total = np.sum([runs.values(name, *label[:3]) for label in columns], axis=0)
    return Estimate.of(possible(mean_interval(total, CONFIDENCE), "min/shift"), "min/shift")
