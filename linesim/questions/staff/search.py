"""How staffings are looked for: from the desk calculation by simulated gain per cost, two at a time."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import combinations

from linesim.questions.staff.bench import Bench
from linesim.questions.staff.staffings import Heads

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
            both = bench.ask([*self._joined(at, front), *self._moves(front, self._idle(at))])
            near = [heads for heads in (*ups, *both) if heads not in been]
            steps = [heads for heads in near if bench.ahead(heads, at) > self._matters(at)]
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

    def _matters(self, at: Heads) -> float:
        return MATTERS * abs(self._level(at))

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
                ups = bench.ask([self.staffings.moved(at, (place, 1)) for place in self._busy(at)])
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

    def _idle(self, at: Heads) -> list[int]:
        """Return the crews with least to do on paper that may have somebody fewer."""
        return [k for k in self._loads(at) if at[k] > self.staffings.posts[k].least][:2]

    def _busy(self, at: Heads) -> list[int]:
        """Return the crews with most to do on paper."""
        return [*self._loads(at)][: -2 * FRONT - 1 : -1]

    def _sum(self, at: Heads, *steps: Heads) -> Heads | None:
        """Return several steps from one staffing, taken together."""
        gaps = [(k, step[k] - at[k]) for step in steps for k in range(len(at)) if step[k] != at[k]]
        return self.staffings.moved(at, *gaps)


def _is_less(heads: Heads, seldom: list[Heads]) -> bool:
    """Whether a staffing has nobody more than one of those that make the target too seldom."""
    return any(all(n <= more for n, more in zip(heads, other, strict=True)) for other in seldom)
