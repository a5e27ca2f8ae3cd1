"""The order book with one thing changed: an option taken away, an option kept apart."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from linesim.capacity.variants import variant_name, variant_shares
from linesim.draws.arrange import arrange
from linesim.draws.orders import POOL
from linesim.errors import WrongQuestionError
from linesim.plan.orders import PlannedOrder, PlannedOrders, PlannedSpacing
from linesim.plan.plan import Plan
from linesim.scenario.origins import Place
from linesim.scenario.replace import NOTHING, Changes

if TYPE_CHECKING:
    from linesim.scenario import Scenario

_RULE = re.compile(
    r"(?P<of>.+?)[:\s]\s*(?:at most\s+)?(?P<at_most>\d{1,6})\s+in\s+(?:any\s+)?(?P<in_any>\d{1,6})"
)
#: Rules that are tried for the option that hurts, the tightest that its share allows.
USUAL = ((1, 3), (1, 2), (2, 3), (3, 4), (4, 5), (5, 6))


@dataclass(frozen=True, slots=True)
class Rule:
    """A spacing rule: at most so many jobs with an option in any so many in a row."""

    of: str
    at_most: int
    in_any: int

    def __str__(self) -> str:
        return f"{self.of} at most {self.at_most} in {self.in_any}"

    @property
    def share(self) -> float:
        """The largest share of jobs that it leaves room for."""
        return self.at_most / self.in_any


def rule_of(text: str) -> Rule:
    """Return the rule that a text names.

    Raises:
        WrongQuestionError: If it names none.

    Examples:
        >>> rule_of("roof 1 in 3"), rule_of("roof at most 2 in any 5")
        (Rule(of='roof', at_most=1, in_any=3), Rule(of='roof', at_most=2, in_any=5))
    """
    found = _RULE.fullmatch(text.strip())
    if found is None or not 0 < int(found["at_most"]) < int(found["in_any"]):
        raise WrongQuestionError(f'{text!r} is no rule of the sequence; write one such as "roof 1 in 3".')
    return Rule(found["of"].strip(), int(found["at_most"]), int(found["in_any"]))


def shares(plan: Plan) -> dict[str, float]:
    """Return the share of jobs that are of each model and have each option, as built."""
    names = (*plan.orders.model_names, *plan.orders.option_names)
    found = dict.fromkeys(names, 0.0)
    for order, share in variant_shares(plan):
        found[plan.orders.model_names[order.model]] += share
        for o, name in enumerate(plan.orders.option_names):
            if order.options >> o & 1:
                found[name] += share
    return found


def brought_along(orders: PlannedOrders, option: int) -> tuple[int, ...]:
    """Return an option and all options that need it, directly or not: who cannot be had without it."""
    found = [option]
    for item in found:
        found += [other for other, brings in orders.needs if brings == item and other not in found]
    return tuple(sorted(found))


def without(scenario: Scenario, plan: Plan, option: str) -> tuple[Changes, tuple[str, ...]]:
    """Return the changes that take an option off every job, and the other options that go with it.

    Options that need it go too. Packages lose them and keep the rest. Nothing else is moved: every
    other option, every model and every task time is drawn as before.
    """
    gone = brought_along(plan.orders, plan.orders.option_names.index(option))
    names = tuple(plan.orders.option_names[o] for o in gone)
    others = tuple(name for name in names if name != option)
    if plan.orders.sequence == "listed":
        mask = sum(1 << o for o in gone)
        kept = [PlannedOrder(order.model, order.options & ~mask) for order in plan.orders.listed]
        return _listed(plan, kept), others
    changes: dict[Place, Any] = {("option", name, "take"): 0.0 for name in names}
    for name, package in scenario.package.items():
        if set(package.options) & set(names):
            left = [item for item in package.options if item not in names]
            path = ("package", name)
            changes |= {(*path, "options"): left} if left else {(*path, "take"): 0.0}
    return changes, others


def apart(plan: Plan, rule: Rule) -> tuple[Changes, Changes]:
    """Return what changes, and what is new, where the sequence keeps a rule; a list is put in order anew.

    Raises:
        WrongQuestionError: If the rule is of no option or model of the line.
    """
    orders = plan.orders
    known = (*orders.model_names, *orders.option_names)
    if rule.of not in known:
        raise WrongQuestionError(
            f"{rule.of!r} is no option or model of this line; it has {', '.join(known)}."
        )
    if orders.sequence != "listed":
        name = f"{rule.of}-{rule.at_most}-in-{rule.in_any}"
        table = {"of": rule.of, "at_most": rule.at_most, "in_any": rule.in_any}
        is_there = any(spacing.name == name for spacing in orders.spacings)
        new = {("orders", "spacing", name): table}
        return (new, NOTHING) if is_there else (NOTHING, new)
    model = orders.model_names.index(rule.of) if rule.of in orders.model_names else -1
    option = orders.option_names.index(rule.of) if model < 0 else -1
    spacing = PlannedSpacing("new", model, option, rule.at_most, rule.in_any)
    return _listed(plan, in_sequence(orders.listed, (*orders.spacings, spacing))), NOTHING


def in_sequence(orders: Sequence[PlannedOrder], spacings: tuple[PlannedSpacing, ...]) -> list[PlannedOrder]:
    """Return orders as near to the sequence given as rules allow, arranged pool by pool."""
    reach = max(spacing.in_any for spacing in spacings) - 1
    size = max(POOL, reach)
    done: list[PlannedOrder] = []
    for start in range(0, len(orders), size):
        before = done[max(0, len(done) - reach) :]
        done += arrange(orders[start : start + size], levelled=False, spacings=spacings, before=before)
    return done


def usual_rule(option: str, share: float) -> Rule | None:
    """Return the tightest usual rule that a share of jobs leaves room for, None if there is none."""
    for at_most, in_any in USUAL:
        rule = Rule(option, at_most, in_any)
        if share <= rule.share + 1e-9:
            return rule
    return None


def kept_rules(plan: Plan) -> tuple[Rule, ...]:
    """Return the rules on options that the sequence keeps already; a list of orders is followed as it is."""
    orders = plan.orders
    if orders.sequence == "listed":
        return ()
    return tuple(
        Rule(orders.option_names[spacing.option], spacing.at_most, spacing.in_any)
        for spacing in orders.spacings
        if spacing.option >= 0
    )


def _listed(plan: Plan, orders: list[PlannedOrder]) -> Changes:
    return {("orders", "list"): [variant_name(plan, order) for order in orders]}
