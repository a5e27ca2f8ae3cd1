"""Which option drives the overload: the line as it would be if nobody took it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from linesim.answers.values import Change
from linesim.errors import WrongQuestionError
from linesim.plan.plan import Plan
from linesim.questions.mix.books import Rule, shares, without
from linesim.questions.mix.figures import OVERLOAD, STOPS, MixFigures
from linesim.runs.case_runner import CaseChange, changes_of, shared_measures
from linesim.runs.cases import Case

if TYPE_CHECKING:
    from linesim.scenario import Scenario

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
        carrier = _heaviest(figures, removed, item) or focus
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


def _heaviest(figures: MixFigures, removed: Sequence[OptionRemoval], item: OptionRemoval) -> str | None:
    """Return, of the cases without one of the options that go with ``item``, the one that saves most."""
    cases = [other.case.name for other in removed if other.option in item.others]
    return min(cases, key=lambda name: float(figures.values(name, OVERLOAD).mean()), default=None)


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
        kept: The rule.
        output: Jobs that the line makes more with it.
        overload: Seconds of work left at the limits per job that it has more; negative if it takes some away.
    """

    kept: Rule
    output: Change
    overload: Change

    @property
    def rule(self) -> str:
        """The rule in words."""
        return str(self.kept)

    @property
    def of(self) -> str:
        """Option or model that it keeps apart."""
        return self.kept.of

    @property
    def at_most(self) -> int:
        """So many jobs with it."""
        return self.kept.at_most

    @property
    def in_any(self) -> int:
        """In any so many in a row."""
        return self.kept.in_any


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
