"""Orders that keep spacing rules, found by constraint programming, and why there are none."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Any

from linesim.draws.spacing import counts, most_that_fit
from linesim.plan.orders import PlannedOrder, PlannedSpacing
from linesim.questions.rebalance.search import solved, solver

LOOK = 2.0  #: Effort of a first look, in the solver's own measure, about seconds; the same on every machine.
EFFORT = 10.0  #: Of a second look.
LEVEL = 1.0  #: Of the search for the most even order.
MOST_CELLS = 6000  #: Places times kinds of order up to which the program is asked.


class SequenceProgram:
    """A constraint program over the orders of a list; those that are alike are one kind.

    Orders of a kind are built in the order in which they are due: if any sequence keeps all within their
    places, this one does.

    Args:
        orders: The list.
        due: Place at which each order is due, counted from 0.
        rules: Spacing rules; only full windows of the list count.
        within: Most places that an order moves from where it is due; None for any.
        even: Whether models and options are to be spread as evenly as can be, places and parts counted alike.
        may_break: Whether rules may be broken; then the fewest windows are.
    """

    def __init__(
        self,
        orders: Sequence[PlannedOrder],
        due: Sequence[int],
        rules: Sequence[PlannedSpacing],
        within: int | None,
        *,
        even: bool = False,
        may_break: bool = False,
    ) -> None:
        self.cp: Any = solver()
        self.orders, self.n, self.may_break = tuple(orders), len(orders), may_break
        found: dict[Hashable, list[int]] = {}
        for i in sorted(range(self.n), key=lambda i: (due[i], i)):
            alike = orders[i] if even else tuple(counts(rule, orders[i]) for rule in rules)
            found.setdefault(alike, []).append(i)
        self.kinds = list(found.values())  # which orders of the list, those due first
        self.is_small = self.n * len(self.kinds) <= MOST_CELLS
        self.broken: list[Any] = []
        self.model: Any = self.cp.CpModel()
        if not self.is_small:
            return
        self.here = [
            [self.model.new_bool_var(f"{k}@{i}") for k in range(len(self.kinds))] for i in range(self.n)
        ]
        for row in self.here:
            self.model.add_exactly_one(row)
        far = self.n if within is None else within
        for k, mine in enumerate(self.kinds):
            column = [row[k] for row in self.here]
            self.model.add(sum(column) == len(mine))
            for j, i in enumerate(mine):
                if (last := due[i] + far) < self.n - 1:
                    self.model.add(sum(column[: last + 1]) >= j + 1)
                if (first := due[i] - far) > 0:
                    self.model.add(sum(column[:first]) <= j)
        for rule in rules:
            self._keep(rule)
        if even:
            self._level()

    def _having(self, kinds: Sequence[int]) -> tuple[list[Any], int]:
        """Return for each place whether one of some kinds stands there, and how many orders they have."""
        marked = [self.model.new_bool_var("") for _ in self.here]  # what the solver learns is short by these
        for row, var in zip(self.here, marked, strict=True):
            for k, here in enumerate(row):
                self.model.add_implication(here, var if k in kinds else var.negated())
        return marked, sum(len(self.kinds[k]) for k in kinds)

    def _keep(self, rule: PlannedSpacing) -> None:
        n = self.n
        marked, total = self._having(
            [k for k, mine in enumerate(self.kinds) if counts(rule, self.orders[mine[0]])]
        )
        for start in range(n - rule.in_any + 1):
            window = sum(marked[start : start + rule.in_any])
            if self.may_break:
                over = self.model.new_bool_var(f"broken {rule.name} {start}")
                self.model.add(window <= rule.at_most + (rule.in_any - rule.at_most) * over)
                self.broken.append(over)
            else:
                self.model.add(window <= rule.at_most)
        if not self.may_break:
            # What the places ahead can hold bounds what those behind must: implied, but found at once.
            for length in range(rule.in_any, n, rule.in_any):
                self.model.add(sum(marked[length:]) >= total - most_that_fit(rule, length))
                self.model.add(sum(marked[: n - length]) >= total - most_that_fit(rule, length))

    def _level(self) -> None:
        parts: dict[tuple[str, int], list[int]] = {}
        for k, mine in enumerate(self.kinds):
            order = self.orders[mine[0]]
            parts.setdefault(("model", order.model), []).append(k)
            for option in range(order.options.bit_length()):
                if order.options >> option & 1:
                    parts.setdefault(("option", option), []).append(k)
        far = []
        for part, kinds in parts.items():
            marked, total = self._having(kinds)
            so_far: Any = 0
            for i in range(self.n if total < self.n else 0):
                so_far += marked[i]
                off = self.model.new_int_var(0, self.n**2, f"off {part} {i}")
                self.model.add(off >= self.n * so_far - (i + 1) * total)
                self.model.add(off >= (i + 1) * total - self.n * so_far)
                far.append(off)
        self.model.minimize(sum(far) + 1000 * self.n**2 * sum(self.broken))

    def solve(self, effort: float, begin: Sequence[int] = ()) -> tuple[tuple[int, ...] | None, bool]:
        """Return which order stands at each place, None if no order was found, and whether that is sure.

        Args:
            effort: In the solver's own measure.
            begin: Numbers of the orders in a sequence to begin with.
        """
        if not self.is_small:
            return None, False
        kind = {i: k for k, mine in enumerate(self.kinds) for i in mine}
        for row, number in zip(self.here, begin, strict=bool(begin)):
            for k, var in enumerate(row):
                self.model.add_hint(var, int(kind[number] == k))
        # Rules alone are a matter of logic.
        logic = {} if self.model.has_objective() else {"linearization_level": 0}
        found, is_proved = solved(self.cp, self.model, effort, **logic)
        if found is None:
            return None, is_proved
        waiting = [iter(mine) for mine in self.kinds]
        places = [next(k for k, var in enumerate(row) if found.boolean_value(var)) for row in self.here]
        return tuple(next(waiting[k]) for k in places), True


@dataclass(frozen=True, slots=True)
class Kept:
    """Whether the rules of a list can be kept.

    Attributes:
        numbers: Which order stands at each place of a sequence that keeps them; None if none was found.
        why: Rules that no order can keep together; empty if there is a sequence, or nobody knows.
    """

    numbers: tuple[int, ...] | None
    why: str = ""


def keep_rules(
    orders: Sequence[PlannedOrder], due: Sequence[int], rules: Sequence[PlannedSpacing], within: int | None
) -> Kept:
    """Return a sequence that keeps all rules, or those that no order can keep, as far as can be found.

    First each rule is counted, then all are tried together. Where that decides nothing, two at a time
    are: few kinds of order are left then, and lists that have no solution often have none for two rules.
    """
    for rule in rules:
        marked = sum(counts(rule, order) for order in orders)
        if marked > (fits := most_that_fit(rule, len(orders))):
            why = f"{rule.name}: {marked} of {len(orders)} orders count for it, and it has room for {fits}"
            return Kept(None, why)

    def tried(some: Sequence[PlannedSpacing], effort: float) -> tuple[tuple[int, ...] | None, bool]:
        return SequenceProgram(orders, due, some, within).solve(effort)

    def needed(some: Sequence[PlannedSpacing]) -> list[PlannedSpacing]:
        left = list(some)
        for rule in some:
            rest = [other for other in left if other is not rule]
            if tried(rest, LOOK) == (None, True):
                left = rest
        return left

    for some, effort in ((rules, LOOK), *((pair, LOOK) for pair in combinations(rules, 2)), (rules, EFFORT)):
        found, is_sure = tried(some, effort)
        if found is not None and len(some) == len(rules):
            return Kept(found)
        if found is None and is_sure:
            limit = "" if within is None else f" with nobody moved more than {within} places"
            each = [f"{rule.name} (at most {rule.at_most} in {rule.in_any})" for rule in needed(some)]
            return Kept(None, f"{' and '.join(each) or 'the places at which orders are due'}{limit}")
    return Kept(None)
