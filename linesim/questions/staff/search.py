"""Staffings that were simulated over common draws, and how they are looked for by gain per cost."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import combinations

import numpy as np

from linesim.answers.measure import Measure
from linesim.answers.values import Change, Estimate
from linesim.errors import LinesimError, ScenarioError, WrongQuestionError
from linesim.plan.tables import FloatArray
from linesim.questions.staff import Staff
from linesim.questions.staff.staffings import Heads, Staffings
from linesim.runs.case_runner import Runner, change_of, estimate_of, met_of
from linesim.runs.cases import Case
from linesim.stats.comparisons import could_be_highest, joint_confidence

MAKES, TOO_SELDOM, UNSURE = "makes it", "too seldom", "can't tell"


class Bench:
    """The staffings that were looked at.

    Attributes:
        staffings: All that are allowed.
        runner: Their replications, the line as it is first.
        measure: What decides among those of one cost, or is to be had most of.
        asked: What is asked.
        target: Jobs a shift to make; None without.
        is_for_target: Whether the cheapest that makes it is wanted; else the most of the measure.
        first, count: Replications of each, and of those that it is worth while to know better.
        tried: Those whose line moves, in the order in which they were asked for.
        barred: Those that cannot be, and why.
    """

    def __init__(
        self, staffings: Staffings, runner: Runner, measure: Measure, asked: Staff, *, target: float | None,
        first: int, count: int, is_for_target: bool,
    ) -> None:  # fmt: skip
        self.staffings, self.runner, self.measure, self.asked = staffings, runner, measure, asked
        self.target, self.is_for_target, self.first, self.count = target, is_for_target, first, count
        self.share, self.confidence, self.most = asked.in_shifts, asked.confidence, asked.most_staffings
        self.tried: dict[Heads, Case] = {staffings.now: runner.runs.cases[0]}
        self.barred: dict[Heads, str] = {}

    @property
    def is_full(self) -> bool:
        """Whether no further staffing may be looked at."""
        return len(self.tried) >= self.most

    def ask(self, wanted: Iterable[Heads | None], count: int | None = None) -> list[Heads]:
        """Run the first replications of staffings and return those whose line moves.

        What is new beyond the most that may be looked at is left out.

        Args:
            wanted: Which; None stands for one that the limits do not allow.
            count: How many replications; None takes the first ones.
        """
        chosen = [heads for heads in dict.fromkeys(wanted) if heads is not None and self._may(heads)]
        numbers = range(1, (count or self.first) + 1)
        if count:
            self.runner.ask([self.tried[self.staffings.now]], numbers)
        self.runner.ask([self.tried[heads] for heads in chosen], numbers)
        for heads in chosen:
            if (why := self.runner.stuck.get(self.tried[heads].name)) is not None:
                del self.tried[heads]
                self.barred[heads] = f"the line comes to a stand for good: {why}"
        return [heads for heads in chosen if heads in self.tried]

    def _may(self, heads: Heads) -> bool:
        if heads in self.tried:
            return True
        if heads in self.barred or self.is_full:
            return False
        try:
            self.tried[heads] = self.staffings.case(heads)
        except ScenarioError as error:
            first = error.problems[0]
            self.barred[heads] = f"{first.place}: {first.message}".rstrip(".")
            return False
        return True

    def sharpen(self, wanted: Iterable[Heads]) -> list[Heads]:
        """Run all replications of staffings; return those whose line moves."""
        return self.ask(wanted, self.count)

    def is_sharp(self, heads: Heads) -> bool:
        """Whether all replications of a staffing were run."""
        return len(self.runner.runs.numbers_of(self.tried[heads].name)) >= self.count

    def values(self, heads: Heads, numbers: Sequence[int]) -> FloatArray:
        """Return the measure in each of some replications, signed so that more is better.

        Raises:
            WrongQuestionError: If one does not give it.
        """
        found = self.runner.runs.values(self.tried[heads].name, *self.measure, numbers=numbers)
        if np.isnan(found).any():
            raise WrongQuestionError(
                f"not every replication gives {self.measure}; measure a longer run (run.length)."
            )
        return found if self.measure.more_is_better else -found

    def ahead(self, heads: Heads, other: Heads) -> float:
        """Return how much better one is than another on average, over the replications that both have."""
        numbers = self.numbers(heads, other)
        return float((self.values(heads, numbers) - self.values(other, numbers)).mean())

    def is_behind(self, heads: Heads, other: Heads, comparisons: int) -> bool:
        """Whether a staffing is surely worse than another, among so many comparisons."""
        return self.measure.sign * self.change(heads, other, comparisons).sign < 0

    def numbers(self, *which: Heads) -> tuple[int, ...]:
        """Return the replications that staffings have in common.

        Raises:
            LinesimError: If there is none, because workers died.
        """
        found = self.runner.runs.common([self.tried[heads].name for heads in which])
        if not found:
            raise LinesimError("no replication is left to compare staffings by")
        return found

    def change(self, heads: Heads, other: Heads, comparisons: int = 1) -> Change:
        """Return how much more of the measure a staffing has than another, paired over common draws."""
        names = self.tried[other].name, self.tried[heads].name
        return change_of(self.runner.runs, *names, self.measure, self.confidence, comparisons)

    def makes(self, heads: Heads) -> Estimate:
        """Return what a staffing makes."""
        return estimate_of(self.runner.runs, self.tried[heads].name, self.measure, self.confidence)

    def met(self, heads: Heads, comparisons: int = 1) -> Estimate | None:
        """Return in which share of the shifts a staffing makes the target; None without one."""
        alone = joint_confidence(self.confidence, comparisons)
        found = met_of(self.runner.runs, self.tried[heads].name, self.target, alone)
        if found is None and self.target is not None:
            raise WrongQuestionError("the run holds no whole shift to make a target in; set run.length.")
        return found

    def meets(self, heads: Heads) -> bool:
        """Whether a staffing makes the target often enough, as far as one can see."""
        found = self.met(heads)
        return found is not None and (found.mean or 0.0) >= self.share - 1e-9

    def may_meet(self, heads: Heads) -> bool:
        """Whether the data leave it open, or say, that a staffing makes the target often enough."""
        return self.meets(heads) or self.verdict(heads) != TOO_SELDOM

    @property
    def best_mean(self) -> Heads:
        """The staffing that makes most."""
        return max(self.tried, key=lambda heads: self.makes(heads).mean or 0.0)

    def verdict(self, heads: Heads) -> str:
        """Return what the data say of the target.

        Surely often enough holds for all staffings together; a single one that is truly often enough is
        called too seldom with no more than the chance of error.
        """
        found, joint = self.met(heads), self.met(heads, len(self.tried))
        assert found is not None and joint is not None
        if joint.low is not None and joint.low >= self.share - 1e-9:
            return MAKES
        return TOO_SELDOM if found.high is not None and found.high < self.share - 1e-9 else UNSURE

    def best_of(self, which: Sequence[Heads]) -> list[Heads]:
        """Return those that may have most of the measure, the first first, over what they all have."""
        numbers = self.numbers(*which)
        table = np.column_stack([self.values(heads, numbers) for heads in which])
        return [which[column] for column in could_be_highest(table, self.confidence)]

    def cost(self, heads: Heads) -> float:
        """Return what the people of a staffing cost a shift."""
        return self.staffings.cost(heads)


FRONT = 3  #: Posts that are looked at in pairs: where one more brings most, where one fewer costs least.
EVERY = 60  #: Up to so many staffings all are looked at.
MATTERS = 0.002  #: Share of what the line makes that a step must bring.


class Search:
    """A walk over staffings.

    Attributes:
        bench: What was simulated.
        is_whole: Whether every staffing was looked at that may be the answer.
    """

    def __init__(self, bench: Bench) -> None:
        self.bench, self.staffings = bench, bench.staffings
        self.is_whole = False

    # ---- the cheapest that makes a target -------------------------------------------------------------

    def cheapest(self) -> Heads | None:
        """Return the cheapest staffing that makes the target often enough; None if none is found."""
        bench = self.bench
        start = [*bench.ask([self.staffings.on_paper]), self.staffings.now]
        good = [heads for heads in start if bench.meets(heads)]
        at = min(good, key=bench.cost) if good else max(start, key=self._level)
        while True:
            at = self._climb(at)
            if not bench.meets(at):
                return self._last_look(None)
            at = self._descend(at)
            if bench.meets(at):
                found = self._last_look(at)
                if found == at or bench.is_full:
                    return found
                at = found if found is not None else at
            elif bench.is_full:
                return self._last_look(None)

    def _level(self, heads: Heads) -> float:
        return float(self.bench.makes(heads).mean or 0.0)

    def _climb(self, at: Heads) -> Heads:
        """Go up by the gain per cost until the target is made, or nothing brings more."""
        bench, been = self.bench, {at}
        while not bench.meets(at):
            ups = bench.ask(self._each(at, 1))
            front = sorted(ups, key=lambda heads: -bench.ahead(heads, at))[:FRONT]
            idle = [k for k in self._loads(at) if at[k] > self.staffings.posts[k].least][:2]
            both = bench.ask([*self._joined(at, front), *self._moves(front, idle)])
            near = [heads for heads in (*ups, *both) if heads not in been]
            steps = [heads for heads in near if bench.ahead(heads, at) > MATTERS * abs(self._level(at))]
            if not steps:
                bench.sharpen([at])
                return at
            at = max(steps, key=lambda heads: self._worth(heads, at))
            been.add(at)
            if bench.meets(at):
                bench.sharpen([at])
        return at

    def _worth(self, heads: Heads, at: Heads) -> tuple[float, float]:
        """Return the gain per cost, those that cost nothing more first."""
        gain, cost = self.bench.ahead(heads, at), self.bench.cost(heads) - self.bench.cost(at)
        return (1.0, gain) if cost <= 1e-9 else (0.0, gain / cost)

    def _descend(self, at: Heads) -> Heads:
        """Go down as long as something cheaper makes the target too."""
        bench = self.bench
        while True:
            bench.sharpen([at])
            if not bench.meets(at):
                return at  # the first replications had been lucky
            downs = bench.ask(self._each(at, -1))
            found = self._first_that_meets(at, downs)
            if found is None:
                loss = sorted(downs, key=lambda heads: -bench.ahead(heads, at))[:FRONT]
                busy = [*self._loads(at)][: -2 * FRONT - 1 : -1]
                ups = bench.ask([self.staffings.moved(at, (place, 1)) for place in busy])
                front = sorted(ups, key=lambda heads: -bench.ahead(heads, at))[:2]
                pairs = bench.ask([*self._joined(at, loss), *self._traded(at, loss, front)])
                found = self._first_that_meets(at, pairs)
            if found is None:
                return at
            at = found

    def _first_that_meets(self, at: Heads, found: Iterable[Heads]) -> Heads | None:
        """Return the first cheaper one that makes the target over all replications."""
        bench = self.bench
        cheaper = [h for h in found if bench.cost(h) < bench.cost(at) - 1e-9 and bench.may_meet(h)]
        for heads in sorted(cheaper, key=lambda heads: (bench.cost(heads), -self._level(heads))):
            if bench.sharpen([heads]) and bench.meets(heads):
                return heads
        return None

    def _last_look(self, at: Heads | None) -> Heads | None:
        """Look at all that may be as cheap: every one where they are few, else those that were tried."""
        bench = self.bench
        limit = bench.cost(self.staffings.fullest) if at is None else bench.cost(at)
        room = bench.most - len(bench.tried)
        every = self.staffings.within(limit, 50 * EVERY)
        seldom = [heads for heads in bench.tried if not bench.may_meet(heads)]
        left = [h for h in every or () if h not in bench.tried and not _is_less(h, seldom)]
        if every is not None and len(left) <= min(EVERY, room):
            bench.ask(left)
            self.is_whole = True
        near = [h for h in list(bench.tried) if bench.cost(h) <= limit + 1e-9 and bench.may_meet(h)]
        bench.sharpen(near)
        good = [h for h in near if h in bench.tried and bench.meets(h)]
        return min(good, key=lambda heads: (bench.cost(heads), -self._level(heads))) if good else None

    # ---- the most of a measure ------------------------------------------------------------------------

    def most(self, people: int | None) -> Heads:
        """Return the staffing with most of the measure, of so many people if that is given."""
        bench = self.bench
        start = [self.staffings.now] if people in (None, sum(self.staffings.now)) else []
        start += bench.ask([self.staffings.on_paper if people is None else self.staffings.spread(people)])
        at = self._best(bench.sharpen(start))
        while not bench.is_full:
            ups, downs = bench.ask(self._each(at, 1)), bench.ask(self._each(at, -1))
            front = sorted(ups, key=lambda heads: -bench.ahead(heads, at))[:FRONT]
            loss = sorted(downs, key=lambda heads: -bench.ahead(heads, at))[:FRONT]
            steps = [self._sum(at, up, down) for up in front for down in loss]
            steps += [self._sum(at, *ups, *downs) for ups in combinations(front, 2)
                      for downs in combinations(loss, 2)]  # fmt: skip
            if people is None:
                steps += [*front, *loss, *self._joined(at, front), *self._joined(at, loss)]
            tried = bench.ask(steps)
            near = [heads for heads in tried if not bench.is_behind(heads, at, len(tried))]
            found = self._best([at, *bench.sharpen(near)])
            if bench.ahead(found, at) <= 0:
                break
            at = found
        return self._all_of(people, at)

    def _all_of(self, people: int | None, at: Heads) -> Heads:
        """Look at every staffing of so many people where they are few, and know the best ones better."""
        bench = self.bench
        every = self.staffings.within(bench.cost(self.staffings.fullest), 50 * EVERY)
        if every is not None:
            left = [h for h in every if h not in bench.tried and people in (None, sum(h))]
            if len(left) <= min(EVERY, bench.most - len(bench.tried)):
                bench.ask(left)
                self.is_whole = True
        others = self.same_people(people)
        near = [h for h in others if h == at or not bench.is_behind(h, at, len(others))]
        return self._best(bench.sharpen(near))

    def same_people(self, people: int | None) -> list[Heads]:
        """Return the staffings that were tried, those of so many people if that is given."""
        return [heads for heads in self.bench.tried if people in (None, sum(heads))]

    def _best(self, which: list[Heads]) -> Heads:
        return self.bench.best_of(which)[0]

    # ---- steps ----------------------------------------------------------------------------------------

    def _each(self, at: Heads, more: int) -> list[Heads | None]:
        """Return one more, or fewer, at each post."""
        return [self.staffings.moved(at, (place, more)) for place in range(len(at))]

    def _joined(self, at: Heads, steps: list[Heads]) -> list[Heads | None]:
        """Return two steps at a time."""
        return [self._sum(at, *pair) for pair in combinations(steps, 2)]

    def _traded(self, at: Heads, downs: list[Heads], ups: list[Heads]) -> list[Heads | None]:
        """Return one from each of two crews given up for one in a third, and moves that cost less."""
        three = [self._sum(at, *pair, up) for pair in combinations(downs, 2) for up in ups]
        return [*three, *(self._sum(at, down, up) for down in downs for up in ups)]

    def _moves(self, ups: list[Heads], idle: list[int]) -> list[Heads | None]:
        """Return one person more where it brings most, from the crews with least to do on paper."""
        return [self.staffings.moved(up, (place, -1)) for up in ups[:2] for place in idle]

    def _loads(self, at: Heads) -> dict[int, float]:
        """Return the work for each person at the crews whose work is known on paper, the least first."""
        posts = enumerate(self.staffings.posts)
        loads = {k: p.desk.peak / max(at[k], 0.5) for k, p in posts if p.desk and p.desk.mean}
        return dict(sorted(loads.items(), key=lambda one: one[1]))

    def _sum(self, at: Heads, *steps: Heads) -> Heads | None:
        """Return several steps from one staffing, taken together."""
        gaps = [(k, step[k] - at[k]) for step in steps for k in range(len(at)) if step[k] != at[k]]
        return self.staffings.moved(at, *gaps)


def _is_less(heads: Heads, seldom: list[Heads]) -> bool:
    """Whether a staffing has nobody more than one of those that make the target too seldom."""
    return any(all(n <= more for n, more in zip(heads, other, strict=True)) for other in seldom)
