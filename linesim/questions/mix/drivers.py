"""What is built: shares, options taken off, rules of the sequence; and which option drives the overload."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from linesim.answers.values import Change
from linesim.capacity.loads import variant_name, variant_shares
from linesim.draws.arrange import arrange
from linesim.draws.orders import POOL
from linesim.errors import WrongQuestionError
from linesim.plan.orders import PlannedOrder, PlannedSpacing
from linesim.plan.plan import Plan
from linesim.questions.mix.levels import OVERLOAD, STOPS, MixFigures
from linesim.runs.case_runner import CaseChange, changes_of, shared_measures
from linesim.runs.cases import Case
from linesim.scenario import Scenario
from linesim.scenario.origins import Place
from linesim.scenario.replace import NOTHING, Changes

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


def without(scenario: Scenario, plan: Plan, option: str) -> tuple[Changes, tuple[str, ...]]:
    """Return the changes that take an option off every job, and the other options that go with it.

    Options that need it go too. Packages lose them and keep the rest. Nothing else is moved: every
    other option, every model and every task time is drawn as before.
    """
    gone = [plan.orders.option_names.index(option)]
    for item in gone:
        gone += [other for other, brings in plan.orders.needs if brings == item and other not in gone]
    names = tuple(plan.orders.option_names[o] for o in sorted(gone))
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


MOST_WORST = 2  #: Options that `worst` names at most.


@dataclass(frozen=True, slots=True)
class OptionRemoval:
    """A case without an option.

    Attributes:
        option: The option.
        others: Options that go with it, because they need it.
        case: The line without them.
        share: Share of jobs that have the option otherwise.
    """

    option: str
    others: tuple[str, ...]
    case: Case
    share: float


@dataclass(frozen=True, slots=True)
class Driver:
    """What an option costs.

    Attributes:
        option, others, share: As in `OptionRemoval`.
        output: Jobs that the line would make more without it.
        stops: Minutes of stops that begin on the line itself and would not, a shift.
        overload: Seconds of work left at the limits that the option brings, per job of all jobs, all
            stations together.
        own_overload, own_output: What of both remains once the heaviest of ``others`` is gone already, so
            that a cab does not answer for the air conditioner in it; all of it where there are none.
        by_station: The overload that it brings at each station, per job of all jobs, in line order; only
            stations with any. All cells of the grid hold together.
    """

    option: str
    others: tuple[str, ...]
    share: float
    output: Change
    stops: Change
    overload: Change
    own_overload: Change
    own_output: Change
    by_station: tuple[CaseChange, ...]

    @property
    def goes_with(self) -> str:
        """The options that go with it, as one text."""
        return ";".join(self.others)

    @property
    def overload_each(self) -> float | None:
        """Overload per job that has the option [s]; None if none has."""
        return self.overload.mean / self.share if self.overload.mean is not None and self.share else None


def removals(scenario: Scenario, plan: Plan, options: Sequence[str] | None) -> tuple[OptionRemoval, ...]:
    """Return the cases without each option that is built.

    An option's overload is the difference between the line with it and the same line, with the same
    jobs, times and failures, without it. The plain difference between jobs that have it and jobs that
    have not would also count what goes along with it (whoever takes the air conditioner has a cab), and
    would miss what a heavy job does to the lighter one behind it.

    Args:
        scenario: The line.
        plan: The same as a plan.
        options: Only these; None means all.

    Raises:
        WrongQuestionError: If the line has no such option.
    """
    built = shares(plan)
    known = plan.orders.option_names
    if wrong := [name for name in options or () if name not in known]:
        has = ", ".join(known) or "none"
        raise WrongQuestionError(f"{wrong[0]!r} is no option of this line; it has {has}.")
    found = []
    for name in known:
        if built[name] > 0 and (options is None or name in options):
            changes, gone = without(scenario, plan, name)
            others = tuple(other for other in gone if built[other] > 0)
            case = Case.changed(f"without {name}", scenario, changes)
            found.append(OptionRemoval(name, others, case, built[name]))
    return tuple(found)


def drivers(figures: MixFigures, focus: str, removed: Sequence[OptionRemoval]) -> tuple[Driver, ...]:
    """Return what each option costs, the largest overload of its own first.

    Args:
        figures: The figures of all cases, those of ``removed`` among them.
        focus: Name of the case with all options.
        removed: The cases without each of them.
    """
    output, count = figures.output, max(1, len(removed))
    found = []
    for item in removed:
        name = item.case.name
        # Of the cases without one of the options that go with it, that which saves most.
        with_it = [other.case.name for other in removed if other.option in item.others]
        carrier = min(with_it, key=lambda one: float(figures.values(one, OVERLOAD).mean()), default=focus)
        found.append(
            Driver(
                item.option, item.others, item.share,
                output=figures.change(focus, name, output, count),
                stops=figures.change(name, focus, STOPS, count),
                overload=figures.change(name, focus, OVERLOAD, count),
                own_overload=figures.change(name, carrier, OVERLOAD, count),
                own_output=figures.change(carrier, name, output, count),
                by_station=_by_station(figures, name, focus, count),
            )
        )  # fmt: skip
    return tuple(sorted(found, key=lambda driver: -(driver.own_overload.mean or 0.0)))


def _by_station(figures: MixFigures, name: str, focus: str, options: int) -> tuple[CaseChange, ...]:
    runs = figures.runs
    places = [one for one in shared_measures(runs, (focus, name)) if one.measure == OVERLOAD.measure]
    found = changes_of(
        runs, name, focus, places, confidence=figures.confidence, comparisons=max(1, options * len(places))
    )
    return tuple(one for one in found if one.difference.before or one.difference.after)


def by_output(costs: Sequence[Driver]) -> tuple[Driver, ...]:
    """Return options by the jobs that they cost by themselves, the most first."""
    return tuple(sorted(costs, key=lambda driver: -(driver.own_output.mean or 0.0)))


def worst(costs: Sequence[Driver]) -> tuple[Driver, ...]:
    """Return the option that surely brings most overload and that which surely costs most jobs."""
    found = [driver for driver in costs[:1] if driver.own_overload.sign > 0]
    found += [driver for driver in by_output(costs)[:1] if driver.own_output.sign > 0 and driver not in found]
    return tuple(found)


@dataclass(frozen=True, slots=True)
class RuleGain:
    """What a rule of the sequence does.

    Attributes:
        rule: The rule.
        output: Jobs that the line makes more with it.
        overload: Seconds of work left at the limits per job that it has more; negative if it takes some away.
    """

    rule: Rule
    output: Change
    overload: Change


def rule_gains(figures: MixFigures, focus: str, tried: Sequence[tuple[Rule, Case]]) -> tuple[RuleGain, ...]:
    """Return what each rule does against the line without it."""
    count = max(1, len(tried))
    return tuple(
        RuleGain(
            rule, figures.change(focus, case.name, figures.output, count),
            figures.change(focus, case.name, OVERLOAD, count),
        )
        for rule, case in tried
    )  # fmt: skip
