"""Which option drives the overload: the line as it would be if nobody took it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from linesim.errors import WrongQuestionError
from linesim.plan.plan import Plan
from linesim.questions.mix.books import shares, without
from linesim.questions.mix.figures import labels, output, overload, own_stops
from linesim.questions.verdicts import sign_of
from linesim.runs.cases import Case, CaseRuns
from linesim.runs.replication import Label
from linesim.runs.rows import Row, change_row

if TYPE_CHECKING:
    from linesim.scenario import Scenario


class OptionRemoval(NamedTuple):
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


class Driver(NamedTuple):
    """What an option costs.

    Attributes:
        option, others, share: As in `OptionRemoval`.
        output: Jobs that the line would make more without it.
        stops: Minutes of stops that begin on the line itself and would not, a shift.
        overload: Seconds of work left at the limits that the option brings, per job of all jobs, all
            stations together.
        overload_each: The same per job that has the option [s]; None if none has.
        own_overload, own_output: What of both remains once the heaviest of ``others`` is gone already, so
            that a cab does not answer for the air conditioner in it; all of it where there are none.
        by_station: The same at each station, per job of all jobs, largest first; only stations with any.
    """

    option: str
    others: tuple[str, ...]
    share: float
    output: Row
    stops: Row
    overload: Row
    overload_each: float | None
    own_overload: Row
    own_output: Row
    by_station: tuple[Row, ...]


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
    chosen = [name for name in known if built[name] > 0 and (options is None or name in options)]
    found = []
    for name in chosen:
        changes, others = without(scenario, plan, name)
        case = Case.changed(f"without {name}", scenario, changes)
        found.append(
            OptionRemoval(name, tuple(other for other in others if built[other] > 0), case, built[name])
        )
    return tuple(found)


def drivers(
    runs: CaseRuns, focus: str, removed: Sequence[OptionRemoval], confidence: float
) -> tuple[Driver, ...]:
    """Return what each option costs, the largest overload of its own first.

    Args:
        runs: The replications, the cases of ``removed`` among them.
        focus: Name of the case with all options.
        removed: The cases without each of them.
        confidence: With which the options' figures hold together, kind by kind.
    """
    named, count = labels(runs), max(1, len(removed))
    found = []
    for item in removed:
        name = item.case.name
        out = change_row(named["output"], output(runs, name), output(runs, focus), confidence, count)
        stops = change_row(named["stops"], own_stops(runs, focus), own_stops(runs, name), confidence, count)
        left = change_row(named["overload"], overload(runs, focus), overload(runs, name), confidence, count)
        each = left.mean / item.share if left.mean is not None and item.share else None
        carrier = _heaviest(runs, removed, item) or focus
        own = change_row(named["overload"], overload(runs, carrier), overload(runs, name), confidence, count)
        alone = change_row(named["output"], output(runs, name), output(runs, carrier), confidence, count)
        stations = _by_station(runs, focus, name, confidence, count)
        found.append(
            Driver(item.option, item.others, item.share, out, stops, left, each, own, alone, stations)
        )
    return tuple(sorted(found, key=lambda driver: -(driver.own_overload.mean or 0.0)))


def _heaviest(runs: CaseRuns, removed: Sequence[OptionRemoval], item: OptionRemoval) -> str | None:
    """Return, of the cases without one of the options that go with ``item``, the one that saves most."""
    cases = [other.case.name for other in removed if other.option in item.others]
    return min(cases, key=lambda name: float(overload(runs, name).mean()), default=None)


def by_output(costs: Sequence[Driver]) -> tuple[Driver, ...]:
    """Return options by the jobs that they cost by themselves, the most first."""
    return tuple(sorted(costs, key=lambda driver: -(driver.own_output.mean or 0.0)))


MOST_WORST = 2  #: Options that `worst` names at most.


def worst(costs: Sequence[Driver]) -> tuple[Driver, ...]:
    """Return the option that surely brings most overload and that which surely costs most jobs."""
    found = [driver for driver in costs[:1] if sign_of(driver.own_overload) > 0]
    found += [
        driver for driver in by_output(costs)[:1] if sign_of(driver.own_output) > 0 and driver not in found
    ]
    return tuple(found)


def _by_station(runs: CaseRuns, focus: str, name: str, confidence: float, options: int) -> tuple[Row, ...]:
    """Return the overload that an option brings at each station; all cells of the grid hold together."""
    places = [label for label in runs.found[focus].labels if label.measure == "overload"]
    rows = []
    for place in places:
        now, then = (runs.values(case, *place[:3]) for case in (focus, name))
        if (now == 0).all() and (then == 0).all():
            continue
        row = change_row(Label(*place), now, then, confidence, options * len(places))
        rows.append(row)
    return tuple(sorted(rows, key=lambda row: -(row.mean or 0.0)))
