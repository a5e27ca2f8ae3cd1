"""Net money of cases against the line as it is: what it is made of, from which margin it pays, its tables."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np

from linesim.answers.document import Chart, Part, View
from linesim.answers.measure import Measure
from linesim.answers.table import BESIDE, Column, Table
from linesim.answers.values import Change
from linesim.answers.wording import Value, listed, text
from linesim.measures import SEGMENT
from linesim.plan.tables import FloatArray
from linesim.runs.case_runner import change_of, pairs_of
from linesim.runs.cases import CaseRuns
from linesim.stats import mean_interval

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


def money_views(table: Table, margins: Sequence[Column] = ()) -> list[Part]:
    """Return how a table of money is read: net money drawn with its parts beside it, then all intervals.

    Args:
        table: With the columns ``change`` and `money_columns`.
        margins: Columns of its own, which stand last.
    """
    if not len(table):
        return []
    columns = {column.name: column for column in table.columns}
    priced = [name for name in _COLUMN_OF.values() if any(_varies(cell) for cell in table.column(name))]
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


def _varies(cell: Value) -> bool:
    """Return whether an amount is there and not 0 each time."""
    return isinstance(cell, Change) and cell.verdict != "the same"


@dataclass(frozen=True, slots=True)
class Money:
    """What a change brings a shift more than the line as it is.

    Attributes:
        net: Net money; None if nobody says what a job brings.
        parts: What of it each part is that has a price.
        break_even: Margin of a job from which it pays on average: for people saved, up to which. 0 if it
            pays at any margin; None if no margin makes it pay, if the jobs gained may be none, or if nobody
            says what an operator costs.
        cautious: The same at the cautious end of the interval; None if there is none.
    """

    net: Change | None
    parts: Mapping[str, Change]
    break_even: float | None
    cautious: float | None

    @property
    def wage(self) -> float | None:
        """What the people of the change cost a shift; negative if they are saved, None without a price."""
        people = self.parts.get("people")
        return None if people is None or people.mean is None else -people.mean


def money_of(
    runs: CaseRuns, base: str, name: str, people: int, confidence: float, comparisons: int
) -> Money | None:
    """Return what a change is worth; None where nothing has a price, or no run holds a whole shift.

    Args:
        runs: The replications.
        base: Name of the line as it is.
        name: Name of the change.
        people: People it takes more; negative if it saves them.
        confidence: Of all intervals together.
        comparisons: How many have to hold together.
    """
    found = money_between(runs, base, name, confidence, comparisons)
    if not found:
        return None
    margins: tuple[float | None, float | None] = (None, None)
    if "people" in found:
        jobs = np.subtract(*pairs_of(runs, base, name, Measure("jobs_per_shift")))
        fixed = np.zeros(len(jobs))
        for part in found.keys() - {"", "jobs"}:
            fixed += np.subtract(*pairs_of(runs, base, name, Measure("net_money", SEGMENT, part)))
        margins = margins_of(jobs, fixed, people, found["people"].confidence)
    return Money(found.pop("", None), found, *margins)


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
