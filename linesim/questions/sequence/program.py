"""Orders that keep spacing rules, found by constraint programming, and why there are none."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from linesim.draws.spacing import counts, most_that_fit
from linesim.plan.orders import Order, Spacing
from linesim.questions.rebalance.search import solver

EFFORT = 20.0  #: Of one search, in the solver's own measure, about seconds; the same on every machine.


@dataclass(frozen=True, slots=True)
class Kinds:
    """The orders of a list by kind: those that are alike are the same kind.

    Attributes:
        orders: The kinds.
        due: Places at which the orders of each kind are due, ascending, counted from 0.
        n: How many orders there are.
    """

    orders: tuple[Order, ...]
    due: tuple[tuple[int, ...], ...]
    n: int

    @classmethod
    def of(cls, orders: Sequence[Order], due: Sequence[int]) -> Kinds:
        """Return the kinds of a list, in the order in which they first come."""
        found: dict[Order, list[int]] = {}
        for order, place in zip(orders, due, strict=True):
            found.setdefault(order, []).append(place)
        return cls(tuple(found), tuple(tuple(sorted(places)) for places in found.values()), len(orders))

    def windows(self, within: int | None) -> tuple[tuple[tuple[int, int], ...], ...]:
        """Return for each order of each kind the first and the last place that it may have.

        Orders of a kind are built in the order in which they are due: if any sequence keeps all within
        their places, this one does.
        """
        far = self.n if within is None else within
        return tuple(
            tuple((max(0, place - far), min(self.n - 1, place + far)) for place in places)
            for places in self.due
        )


class SequenceProgram:
    """A constraint program over one list of orders.

    Args:
        kinds: The orders.
        rules: Spacing rules; only full windows of the list count.
        within: Most places that an order moves from where it is due; None for any.
        may_break: Whether rules may be broken; then the fewest windows are.
    """

    def __init__(
        self, kinds: Kinds, rules: Sequence[Spacing], within: int | None, *, may_break: bool = False
    ) -> None:
        self.cp: Any = solver()
        self.kinds, self.rules = kinds, tuple(rules)
        self.model: Any = self.cp.CpModel()
        n = kinds.n
        self.here = [
            [self.model.new_bool_var(f"{k}@{i}") for k in range(len(kinds.orders))] for i in range(n)
        ]
        for row in self.here:
            self.model.add_exactly_one(row)
        for k, windows in enumerate(kinds.windows(within)):
            column = [row[k] for row in self.here]
            self.model.add(sum(column) == len(windows))
            for j, (first, last) in enumerate(windows):
                if last < n - 1:
                    self.model.add(sum(column[: last + 1]) >= j + 1)
                if first > 0:
                    self.model.add(sum(column[:first]) <= j)
        self.broken: list[Any] = []
        for r, rule in enumerate(self.rules):
            self._keep(r, rule, may_break=may_break)

    def _marked(self, rule: Spacing) -> list[Any]:
        """Return for each place whether its order counts for a rule, as an expression."""
        counted = [k for k, order in enumerate(self.kinds.orders) if counts(rule, order)]
        return [sum(row[k] for k in counted) for row in self.here]

    def _keep(self, r: int, rule: Spacing, *, may_break: bool) -> None:
        n, marked = self.kinds.n, self._marked(rule)
        for start in range(n - rule.in_any + 1):
            window = sum(marked[start : start + rule.in_any])
            if may_break:
                over = self.model.new_bool_var(f"broken {r} {start}")
                self.model.add(window <= rule.at_most + (rule.in_any - rule.at_most) * over)
                self.broken.append(over)
            else:
                self.model.add(window <= rule.at_most)
        if may_break:
            return
        # What the places ahead can hold at most bounds what those behind must hold: implied, found at once.
        total = sum(len(due) for k, due in enumerate(self.kinds.due) if counts(rule, self.kinds.orders[k]))
        for length in range(rule.in_any, n, rule.in_any):
            self.model.add(sum(marked[length:]) >= total - most_that_fit(rule, length))
            self.model.add(sum(marked[: n - length]) >= total - most_that_fit(rule, length))

    def level(self) -> None:
        """Ask for models and options spread as evenly as can be, places and parts counted alike."""
        n, orders = self.kinds.n, self.kinds.orders
        parts: dict[tuple[str, int], list[int]] = {}
        for k, order in enumerate(orders):
            parts.setdefault(("model", order.model), []).append(k)
            for option in range(order.options.bit_length()):
                if order.options >> option & 1:
                    parts.setdefault(("option", option), []).append(k)
        far = []
        for part, having in parts.items():
            total = sum(len(self.kinds.due[k]) for k in having)
            if total == n:
                continue
            so_far: Any = 0
            for i, row in enumerate(self.here):
                so_far += sum(row[k] for k in having)
                off = self.model.new_int_var(0, n * n, f"off {part} {i}")
                self.model.add(off >= n * so_far - (i + 1) * total)
                self.model.add(off >= (i + 1) * total - n * so_far)
                far.append(off)
        self.model.minimize(sum(far) + 1000 * n * n * sum(self.broken))

    def hint(self, sequence: Sequence[int]) -> None:
        """Begin the search with a sequence of kinds."""
        for i, row in enumerate(self.here):
            for k, var in enumerate(row):
                self.model.add_hint(var, int(sequence[i] == k))

    def solve(self, effort: float = EFFORT) -> tuple[tuple[int, ...] | None, bool]:
        """Return a sequence of kinds, None if none was found, and whether that is the last word."""
        solver = self.cp.CpSolver()
        solver.parameters.num_workers = 1  # the same answer each time
        solver.parameters.random_seed = 1
        solver.parameters.max_deterministic_time = effort
        status = solver.solve(self.model)
        if status in (self.cp.OPTIMAL, self.cp.FEASIBLE):
            found = tuple(
                next(k for k, var in enumerate(row) if solver.boolean_value(var)) for row in self.here
            )
            return found, status == self.cp.OPTIMAL
        return None, status == self.cp.INFEASIBLE


def why_infeasible(
    kinds: Kinds, rules: Sequence[Spacing], within: int | None, *, effort: float = EFFORT
) -> tuple[str, ...]:
    """Return rules that no order can keep together, none of which can be left out; empty if all can be.

    Args:
        kinds: The orders.
        rules: Spacing rules.
        within: Most places that an order moves.
        effort: Of one search; what is not decided with it counts as possible.
    """
    for rule in rules:
        marked = sum(len(due) for k, due in enumerate(kinds.due) if counts(rule, kinds.orders[k]))
        if marked > (fits := most_that_fit(rule, kinds.n)):
            return (f"{rule.name}: {marked} of {kinds.n} orders count for it, and it has room for {fits}",)

    def is_impossible(some: Sequence[Spacing]) -> bool:
        found, is_sure = SequenceProgram(kinds, some, within).solve(effort)
        return found is None and is_sure

    needed = list(rules)
    if not is_impossible(needed):
        return ()
    for rule in rules:
        rest = [other for other in needed if other is not rule]
        if is_impossible(rest):
            needed = rest
    limit = "" if within is None else f" with nobody moved more than {within} places"
    if not needed:
        return (f"the places themselves{limit}",)
    return tuple(f"{rule.name}: at most {rule.at_most} in {rule.in_any}{limit}" for rule in needed)
