"""The tables of an answer about staffing."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from linesim.answers.measure import Measure
from linesim.answers.table import Column, Table
from linesim.answers.values import Estimate
from linesim.questions.crew.money import Money
from linesim.questions.money import money_columns, money_row
from linesim.questions.staff.bench import Bench
from linesim.questions.staff.staffings import Heads, Staffings


@dataclass(frozen=True, slots=True)
class StaffingFound:
    """A staffing that was looked at, as a row.

    Attributes:
        staffing: Its name.
        people: How many there are.
        cost: What they cost a shift.
        measure: What it makes, which of `makes` it is.
        makes: How much of it.
        met: Share of the shifts that make the target; None without one.
        verdict: What the data say of the target; empty without one.
        is_now: Whether it is the line as it is.
        is_best: Whether it is the answer.
        is_level: Whether the data cannot tell it from the answer.
        on_frontier: Whether nothing that costs no more makes more.
    """

    staffing: str
    people: int
    cost: float
    measure: Measure
    makes: Estimate
    met: Estimate | None
    verdict: str
    is_now: bool
    is_best: bool
    is_level: bool
    on_frontier: bool

    @property
    def unit(self) -> str:
        """Unit of the measure."""
        return self.makes.unit


def found_of(
    bench: Bench, best: Heads | None, level: Sequence[Heads], *, is_for_target: bool
) -> list[StaffingFound]:
    """Return every staffing that was looked at, the cheapest first, of one cost the best first."""
    sign = 1.0 if bench.measure.more_is_better else -1.0

    def worth(heads: Heads) -> float:
        return sign * (bench.makes(heads).mean or 0.0)

    ahead, rows = float("-inf"), []
    for heads in sorted(bench.tried, key=lambda heads: (bench.cost(heads), -worth(heads))):
        is_more = worth(heads) > ahead
        ahead = max(ahead, worth(heads))
        verdict = bench.verdict(heads) if is_for_target else ""
        rows.append(
            StaffingFound(
                bench.staffings.name(heads), sum(heads), bench.cost(heads), bench.measure, bench.makes(heads),
                bench.met(heads), verdict, heads == bench.staffings.now, heads == best, heads in level,
                is_more,
            )
        )  # fmt: skip
    return rows


def _cost_column(staffings: Staffings) -> Column:
    if staffings.is_priced:
        return Column("cost", "money", head="a shift", unit=staffings.scenario.cost.currency or "money")
    return Column("cost", "number", head="paid people")


#: The share of the shifts that make the target.
_MET = Column("met", "estimate", head="shifts, %", unit="share",
              flat="mean=met low=met_low high=met_high n=met_n")  # fmt: skip


def staffings_table(rows: Sequence[StaffingFound], staffings: Staffings) -> Table:
    """Return every staffing that was looked at."""
    columns = (
        Column("staffing"), Column("people", "count"), _cost_column(staffings),
        Column("measure", "measure"), Column("unit"),
        Column("makes", "estimate", flat="mean=makes low high n=replications"),
        _MET,
        Column("verdict", head=""),
        *map(Column, ("is_now", "is_best", "is_level", "on_frontier")),
    )  # fmt: skip
    says = "Every staffing that was looked at, the cheapest first; each interval for itself."
    return Table.of("staffings", columns, rows, says)


def crews_table(staffings: Staffings, best: Heads) -> Table:
    """Return the crews, what they need on paper and who is in them."""
    columns = (
        Column("crew"), Column("now", "count"), Column("on_paper", "count", head="on paper"),
        Column("best", "count"), Column("mean", "number", head="need"),
        Column("peak", "number", head="at heavy jobs"),
        Column("least", "count"), Column("most", "count"), Column("why_least", head="why not fewer"),
    )  # fmt: skip
    rows = [
        {
            "crew": p.crew, "now": p.now, "on_paper": p.on_paper, "best": n, "least": p.least, "most": p.most,
            "mean": p.desk.mean if p.desk else None, "peak": p.desk.peak if p.desk else None,
            "why_least": p.why_least,
        }
        for p, n in zip(staffings.posts, best, strict=True)
    ]  # fmt: skip
    says = "The crews: what their work asks for on paper at the takt, and who is in them in the answer."
    return Table.of("crews", columns, rows, says)


def steps_table(bench: Bench, centre: Heads) -> Table:
    """Return what one step from a staffing does: one more, one fewer, one from crew to crew."""
    near = [h for h in bench.tried if h != centre and _is_step(h, centre)]
    columns = (
        Column("step"), Column("people", "count"), _cost_column(bench.staffings),
        Column("measure", "measure"), Column("unit"),
        Column("change", "change", flat="before after mean=change low high n=replications verdict",
               faces=("mean=changes by", "interval", "verdict")),
        _MET,
    )  # fmt: skip
    changes = {heads: bench.change(heads, centre, len(near)) for heads in near}
    rows = [
        {
            "step": step_name(bench.staffings, centre, heads), "people": sum(heads) - sum(centre),
            "cost": round(bench.cost(heads) - bench.cost(centre), 6), "measure": bench.measure,
            "unit": found.unit, "change": found, "met": bench.met(heads),
        }
        for heads, found in sorted(changes.items(), key=lambda one: (sum(one[0]), -(one[1].mean or 0.0)))
    ]  # fmt: skip
    says = "One step from the answer, paired over common draws; the intervals hold together."
    return Table.of("steps", columns, rows, says)


def _is_step(heads: Heads, centre: Heads) -> bool:
    gaps = [n - m for n, m in zip(heads, centre, strict=True) if n != m]
    return gaps in ([1], [-1], [1, -1], [-1, 1])


def step_name(staffings: Staffings, start: Heads, end: Heads) -> str:
    """Return a step in words: one more in a crew, one fewer, one from crew to crew."""
    up = [p.crew for p, n, m in zip(staffings.posts, end, start, strict=True) if n > m]
    down = [p.crew for p, n, m in zip(staffings.posts, end, start, strict=True) if n < m]
    if up and down:
        return f"one from {down[0]} to {up[0]}"
    return f"one more in {up[0]}" if up else f"one fewer in {down[0]}"


def money_table(staffings: Staffings, worth: Mapping[Heads, Money]) -> Table:
    """Return what staffings bring more than the line as it is; empty where the scenario has no prices."""
    rows = [
        {
            "change": staffings.name(heads),
            **money_row({**({} if found.net is None else {"": found.net}), **found.parts}),
        }
        for heads, found in worth.items()
    ]
    says = "Money a shift more than the line as it is, and its parts."
    return Table.of("money", (Column("change", head="staffing"), *money_columns()), rows, says)
