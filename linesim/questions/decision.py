"""What a study decides between: the line as it is and each case, in jobs, against the plan and in money."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import TYPE_CHECKING

import numpy as np

from linesim.answers.decision import CaseChoice, CaseDecision, Moments
from linesim.answers.document import Chart, Part, View
from linesim.answers.measure import OUTPUT, RATE, Measure
from linesim.answers.table import BESIDE, Column, Table
from linesim.answers.values import Change, Estimate
from linesim.answers.wording import Value, listed, text
from linesim.measures import SEGMENT
from linesim.plan.tables import FloatArray
from linesim.runs.case_runner import change_of, estimate_of, pairs_of
from linesim.runs.cases import CaseRuns
from linesim.runs.result import Result
from linesim.stats.comparisons import joint_confidence
from linesim.stats.intervals import mean_interval, student_quantile
from linesim.stats.precision import replications_for

if TYPE_CHECKING:
    from linesim.runs.cases import FloatArray
    from linesim.scenario import Scenario


PARTS = ("jobs", "stops", "people", "equipment")  #: What net money is made of.
_COLUMN_OF = MappingProxyType({part: f"from_{part}" for part in PARTS})


def money_between(
    runs: CaseRuns, base: str, name: str, confidence: float, comparisons: int
) -> dict[str, Change]:
    """Return what a case brings more a shift: of each of `PARTS` that has a price, and net under ``""``.

    Args:
        runs: The replications.
        base: Name of the case to compare with.
        name: Name of the case whose gain is asked for.
        confidence: Of all intervals together.
        comparisons: How many have to hold together.

    Returns:
        The parts; without net where nobody says what a job brings, empty where nothing has a price or no run
        holds a whole shift.
    """
    given = {label.cause for label in runs.found[base].labels if label.measure == "net_money"}
    return {
        part: change_of(runs, base, name, Measure("net_money", SEGMENT, part), confidence, comparisons)
        for part in ("", *PARTS)
        if part in given
    }


def split_in_words(parts: Mapping[str, Change], least: int = 2) -> str:
    """Return what net money is made of; empty where fewer parts than ``least`` change at all."""
    told = [
        f"{text(change)} from {part}"
        for part, change in parts.items()
        if part and change.verdict != "the same"
    ]
    return listed(told) if len(told) >= least else ""


def money_columns() -> tuple[Column, ...]:
    """Return the columns of net money and its parts."""
    return (
        Column("currency"),
        Column("net", "change", head="net money", flat="mean=net_per_shift low high n=replications verdict"),
        *(Column(name, "change", head=part, flat=BESIDE) for part, name in _COLUMN_OF.items()),
    )


def money_row(found: Mapping[str, Change]) -> dict[str, Value]:
    """Return the cells of `money_columns`."""
    currency = next((change.currency for change in found.values()), "")
    parts = {name: found.get(part) for part, name in _COLUMN_OF.items()}
    return {"currency": currency, "net": found.get(""), **parts}


def money_table(worth: Mapping[str, Mapping[str, Change]], head: str, than: str) -> Table:
    """Return what changes are worth; empty where nothing has a price.

    Args:
        worth: Net money of each change and its parts, by its name.
        head: What a change is called.
        than: What they are compared with.
    """
    rows = [{"change": name, **money_row(found)} for name, found in worth.items()]
    says = f"Money a shift more than {than}, and its parts."
    return Table.of("money", (Column("change", head=head), *money_columns()), rows, says)


def money_views(table: Table, margins: Sequence[Column] = ()) -> list[Part]:
    """Return how a table of money is read: net money drawn with its parts beside it, then all intervals.

    Args:
        table: With the columns ``change`` and `money_columns`.
        margins: Columns of its own, which stand last.
    """
    if not len(table):
        return []
    columns = {column.name: column for column in table.columns}
    priced = [
        name for name in _COLUMN_OF.values()
        if any(isinstance(cell, Change) and cell.verdict != "the same" for cell in table.column(name))
    ]  # fmt: skip
    net = replace(columns["net"], faces=("mean=net money", "interval"))
    means = tuple(replace(columns[name], faces=("mean",)) for name in priced)
    with_net = table.places(lambda row: row["net"] is not None)
    change = columns["change"]
    parts: list[Part] = []
    if with_net:
        view = View(table.name, "What that is worth a shift", (change, net, *means), with_net)
        unit = f"{table.column('currency')[0]} a shift"
        says = "Jobs at their margin, less own stops, people and equipment; the intervals hold together."
        parts.append(Chart("forest", "money", says, view, "net", "{change}", unit, is_ordered=True))
    both = tuple(replace(columns[name], faces=("both",)) for name in priced)
    title = "Where the money of a shift comes from"
    title += ", and the margin of a job from which it pays" if margins else ""
    parts.append(View(table.name, title, (change, *both, *margins), only_page=bool(with_net)))
    return parts


@dataclass(frozen=True, slots=True)
class Money:
    """What a change brings a shift more than the line as it is.

    Attributes:
        amounts: Net money under ``""`` and its parts, see `money_between`.
        break_even: Margin of a job from which it pays on average: for people saved, up to which. 0 if it
            pays at any margin; None if no margin makes it pay, if the jobs gained may be none, or if nobody
            says what an operator costs.
        cautious: The same at the cautious end of the interval; None if there is none.
    """

    amounts: Mapping[str, Change]
    break_even: float | None
    cautious: float | None

    @property
    def net(self) -> Change | None:
        """Net money; None if nobody says what a job brings."""
        return self.amounts.get("")

    @property
    def wage(self) -> float | None:
        """What the people of the change cost a shift; negative if they are saved, None without a price."""
        people = self.amounts.get("people")
        return None if people is None or people.mean is None else -people.mean


def money_of(
    runs: CaseRuns, people: Mapping[str, int], confidence: float, comparisons: int
) -> dict[str, Money]:
    """Return what changes are worth, those that have a price and whole shifts to count it in.

    Args:
        runs: The replications, the line as it is first.
        people: The changes by name, and people that each takes more; negative if it saves them.
        confidence: Of all intervals together.
        comparisons: How many have to hold together.
    """
    base, worth = runs.names[0], {}
    for name, more in people.items():
        found = money_between(runs, base, name, confidence, comparisons)
        margins: tuple[float | None, float | None] = (None, None)
        if "people" in found:
            jobs = np.subtract(*pairs_of(runs, base, name, Measure("jobs_per_shift")))
            fixed = np.zeros(len(jobs))
            for part in found.keys() - {"", "jobs"}:
                fixed += np.subtract(*pairs_of(runs, base, name, Measure("net_money", SEGMENT, part)))
            margins = margins_of(jobs, fixed, more, found["people"].confidence)
        if found:
            worth[name] = Money(found, *margins)
    return worth


def margins_of(
    jobs: FloatArray, fixed: FloatArray, people: int, confidence: float
) -> tuple[float | None, float | None]:
    """Return from which margin of a job a change pays, on average and at the cautious end.

    Args:
        jobs: Jobs gained a shift in each replication, paired.
        fixed: Money gained a shift beside the jobs in each replication, wages taken off.
        people: People it takes more; negative if it saves them: then it pays up to the margin.
        confidence: Of the interval alone.

    Notes:
        Net money is linear in the margin, replication by replication. The cautious margin is where the
        lower bound of the net meets 0, which for the ratio of two means is Fieller's bound: E. C. Fieller,
        Journal of the Royal Statistical Society B 16 (1954) 175-185.
    """
    mean_jobs, mean_fixed = float(jobs.mean()), float(fixed.mean())
    even = max(0.0, -mean_fixed / mean_jobs) if mean_jobs * people > 0 else None
    gained = mean_interval(jobs, confidence)
    if gained.low is None or gained.high is None:
        return even, None

    def pays(margin: float) -> bool:
        low = mean_interval(jobs * margin + fixed, confidence).low
        return low is not None and low >= 0

    if people > 0:
        if gained.low <= 0:
            return even, None
        return even, 0.0 if pays(0.0) else _edge(pays, inside_is_low=False)
    if gained.high >= 0 or not pays(0.0):
        return even, None
    return even, _edge(pays, inside_is_low=True)


def _edge(pays: Callable[[float], bool], *, inside_is_low: bool) -> float:
    """Return the margin at which a change begins, or ceases, to pay."""
    low, high = 0.0, 1.0
    while pays(high) == inside_is_low:
        low, high = high, 2 * high
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if pays(middle) == inside_is_low else (low, middle)
    return low if inside_is_low else high


MATTERS = 0.01  #: Share of what the line makes that is worth knowing, where nobody says.
MOST = 400  #: Choices that a decision holds; of more the first, and the best.
_PLAN = Measure("plan_met")


def decision_between(
    runs: CaseRuns,
    names: Sequence[str],
    measure: Measure,
    confidence: float,
    *,
    best: str = "",
    comparisons: int | None = None,
    levels: Mapping[str, Sequence[tuple[str, str]]] | None = None,
    words: Mapping[str, str] | None = None,
) -> CaseDecision:
    """Return the decision between the first case and others, all intervals of a kind holding together.

    Args:
        runs: The replications, the line as it is first.
        names: Cases that can be chosen.
        measure: The measure that decides.
        confidence: Of all intervals of a kind together.
        best: The case that the study calls best; empty takes the one with the best mean.
        comparisons: How many intervals hold together; None takes the number of cases.
        levels: What was chosen in each case, as pairs of an input and its value.
        words: What a case is called, where its name says too little.
    """
    base, scenario = runs.names[0], runs.cases[0].scenario
    means = {name: measure.sign * (runs.row(name, *measure).mean or 0.0) for name in names}
    first = best or max(means, key=lambda name: means[name], default="")
    kept = list(dict.fromkeys([*names[: MOST - 1], *([first] if first else [])]))
    said, count = words or {}, max(1, len(names) if comparisons is None else comparisons)

    def choice(name: str) -> CaseChoice:
        return CaseChoice(
            said.get(name, name),
            estimate_of(runs, name, measure, confidence),
            tuple((levels or {}).get(name, ())),
            change_of(runs, base, name, measure, confidence, count),
            _met(runs, name, confidence),
            tuple(money_between(runs, base, name, confidence, count).items()),
            moments_of(runs, base, name, joint_confidence(confidence, count)),
        )

    now = CaseChoice(
        said.get(base, "as it is"), estimate_of(runs, base, measure, confidence),
        met=_met(runs, base, confidence), money=tuple(_money_now(runs, base, confidence)),
    )  # fmt: skip
    matters = MATTERS * abs(now.makes.mean or 0.0)
    needed = None
    if first:
        after, before = pairs_of(runs, base, first, measure)
        needed = _needed(after - before, matters, joint_confidence(confidence, count))
    return CaseDecision(
        measure, now, tuple(map(choice, kept)), said.get(first, first), scenario.target.jobs_per_shift,
        matters, needed, *_prices(scenario),
    )  # fmt: skip


def decision_of(result: Result, scenario: Scenario) -> CaseDecision:
    """Return what a run of one line says of the plan and of money, with nothing to choose."""
    whole = result.row(OUTPUT.measure).mean is not None
    measure = OUTPUT if whole else RATE
    makes = result.estimate(measure.measure)
    met = result.estimate("plan_met") if scenario.target.jobs_per_shift is not None and whole else None
    money = ((row.cause, result.estimate_of(row)) for row in result.rows("net_money"))
    worth = tuple(pair for pair in money if pair[1].mean is not None)
    now = CaseChoice("as it is", makes, met=met, money=worth)
    matters = MATTERS * abs(makes.mean or 0.0)
    values = np.array([value for value in result.values(measure.measure) if value is not None])
    needed = _needed(values, matters, result.run.confidence)
    currency, margin, wage = _prices(scenario)
    return CaseDecision(
        measure, now, target=scenario.target.jobs_per_shift, matters=matters, needed=needed,
        currency=currency, margin=margin, wage=wage,
    )  # fmt: skip


def moments_of(runs: CaseRuns, base: str, name: str, confidence: float) -> Moments | None:
    """Return what a case brings more in amounts, so that other prices can be put in; None without pairs.

    Args:
        runs: The replications.
        base: Name of the line as it is.
        name: Name of the case.
        confidence: Of the interval alone that other prices give.
    """
    given = {label.cause for label in runs.found[base].labels if label.measure == "net_money"}
    cost = runs.cases[0].scenario.cost
    pairs = {
        part: np.subtract(*pairs_of(runs, base, name, Measure("net_money", SEGMENT, part)))
        for part in PARTS
        if part in given
    }
    jobs = np.subtract(*pairs_of(runs, base, name, OUTPUT))
    if len(jobs) < 2:
        return None
    nothing = np.zeros(len(jobs))
    people = _people(runs.case(name).scenario) - _people(runs.cases[0].scenario) + nothing
    if "people" in pairs and cost.operator_per_shift:
        people = -pairs["people"] / float(cost.operator_per_shift)
    table = np.array([jobs, pairs.get("stops", nothing), people, pairs.get("equipment", nothing)])
    if np.isnan(table).any():
        return None
    reach = student_quantile((1 + confidence) / 2, len(jobs) - 1) / len(jobs) ** 0.5
    covariance = np.cov(table)
    return Moments(
        tuple(table.mean(axis=1).tolist()), tuple(tuple(row) for row in covariance.tolist()), reach
    )


def _people(scenario: Scenario) -> int:
    return sum(crew.people for crew in scenario.crew.values())


def _met(runs: CaseRuns, name: str, confidence: float) -> Estimate | None:
    if runs.case(name).scenario.target.jobs_per_shift is None:
        return None
    found = estimate_of(runs, name, _PLAN, confidence)
    return None if found.mean is None else found


def _money_now(runs: CaseRuns, base: str, confidence: float) -> Iterator[tuple[str, Estimate]]:
    for label in runs.found[base].labels:
        if label.measure == "net_money" and label.where == SEGMENT:
            found = estimate_of(runs, base, Measure(*label[:3]), confidence)
            if found.mean is not None:
                yield label.cause, found


def _needed(values: FloatArray, matters: float, confidence: float) -> int | None:
    """Return how many replications tell a difference that matters; None where one says nothing of it."""
    if len(values) < 2 or not matters > 0:
        return None
    return replications_for(values, matters, confidence)


def _prices(scenario: Scenario) -> tuple[str, float | None, float | None]:
    cost = scenario.cost
    margin, wage = (
        None if price is None else float(price) for price in (cost.margin_per_job, cost.operator_per_shift)
    )
    return cost.currency or "", margin, wage
