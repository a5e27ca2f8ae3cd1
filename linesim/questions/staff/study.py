"""`staff`: the cheapest staffing that makes a target, or the most that so many people can make."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING

from linesim.answers.document import Chart, Document, Part, View
from linesim.answers.measure import Measure
from linesim.answers.table import Column, Row, Table
from linesim.answers.values import Estimate
from linesim.capacity.ceiling import out_of_reach
from linesim.capacity.loads import Loads
from linesim.errors import ScenarioError, WrongQuestionError
from linesim.plan.build import build
from linesim.questions.decision import decision_between
from linesim.questions.money import Money, money_columns, money_of, money_row, money_views
from linesim.questions.staff import Staff
from linesim.questions.staff.bench import TOO_SELDOM, Bench
from linesim.questions.staff.search import Search
from linesim.questions.staff.sentences import StaffSentences, cautions
from linesim.questions.staff.staffings import NOW, Heads, Staffings, staffings_of
from linesim.runs.case_runner import Runner, foretell
from linesim.runs.cases import Case
from linesim.runs.select import main_figure

if TYPE_CHECKING:
    from linesim.runs.cost import RunCost
    from linesim.scenario import Scenario


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


FIRST = 3  #: Replications of every staffing; those that may be the answer get all.
SHARP = 10  #: Staffings that are known better, about, for what it may cost.
USUAL = 10  #: Replications at most, if the scenario has as many and nobody asks for others.
SHOWN = 12  #: Staffings that a terminal shows.


def study(asked: Staff, scenario: Scenario) -> Document:
    """Return the best staffing, those that cannot be told from it, and what other staffings cost and make."""
    staffings = staffings_of(asked, scenario)
    target = scenario.target.jobs_per_shift if asked.target is None else asked.target
    is_for_target = asked.people is None and asked.measure is None
    _check(asked, staffings, target if is_for_target else None)
    first, count = _counts(asked, scenario)
    base, numbers = Case(NOW, scenario), range(1, first + 1)
    foretell(base, numbers, partial(steps, asked, scenario), seed=asked.seed, **asked.how)
    runner = Runner(base, numbers, seed=asked.seed, **asked.how)
    bench = Bench(
        staffings, runner, main_figure(runner.runs, asked.wanted), target=target, share=asked.in_shifts,
        confidence=asked.confidence, first=first, count=count, most=asked.most_staffings,
    )  # fmt: skip
    search = Search(bench)
    best = search.cheapest() if is_for_target else search.most(asked.people)
    bench.sharpen([staffings.now])
    return _answer(asked, search, best, is_for_target=is_for_target)


def _check(asked: Staff, staffings: Staffings, target: float | None) -> None:
    """Refuse what no staffing can do, before anything is simulated.

    Raises:
        WrongQuestionError: With the reason.
    """
    if asked.people is not None:
        staffings.spread(asked.people)
        return
    if asked.measure is not None:
        if asked.target is not None:
            raise WrongQuestionError("--target asks for the cheapest staffing; leave --measure out.")
        return
    if target is None:
        raise WrongQuestionError(
            "there is no target: write --target JOBS, or target.jobs_per_shift in the file; --people N asks "
            "for the most that so many people can make."
        )
    try:
        fullest = staffings.case(staffings.fullest).scenario
    except ScenarioError:
        return  # limits of the question that the work does not allow are told staffing by staffing
    if why := out_of_reach(Loads(build(fullest)), target, asked.in_shifts):
        raise WrongQuestionError(why)


def steps(asked: Staff, scenario: Scenario, first: RunCost) -> RunCost:
    """Return what all steps cost: the line as it is, and at most as many staffings as may be looked at."""
    few, count = _counts(asked, scenario)
    most = asked.most_staffings
    return first.between(count, most * few + min(SHARP, most) * (count - few))


def _counts(asked: Staff, scenario: Scenario) -> tuple[int, int]:
    """Return how many replications every staffing gets, and those that may be the answer."""
    count = min(scenario.run.replications, USUAL) if asked.replications is None else asked.replications
    return min(FIRST, count), count


def _answer(asked: Staff, search: Search, best: Heads | None, *, is_for_target: bool) -> Document:
    bench, staffings = search.bench, search.staffings
    level = _level_with(search, best, asked.people, is_for_target=is_for_target)
    rows = found_of(bench, best, level, is_for_target=is_for_target)
    # What one step from the answer does, or from the best there is where nothing makes the target.
    centre = best if best is not None else max(bench.tried, key=lambda h: bench.makes(h).mean or 0.0)
    runs, worth = bench.runner.runs, {}
    if bench.measure.measure in ("jobs_per_shift", "net_money"):
        for heads in [h for h in dict.fromkeys([centre, *level]) if h != staffings.now]:
            name = staffings.name(heads)
            people = sum(heads) - sum(staffings.now)
            found = money_of(runs, NOW, name, people, asked.confidence, max(1, len(level) + 1))
            if found is not None:
                worth[heads] = found
    tables = (
        staffings_table(rows, staffings), crews_table(staffings, centre),
        steps_table(bench, centre), money_table(staffings, worth),
    )  # fmt: skip
    say = StaffSentences(bench, search, asked.people, is_for_target=is_for_target)
    choices = [staffings.name(h) for h in dict.fromkeys([centre, *level])] if centre != staffings.now else []
    return Document(
        study="staff",
        sentences=tuple(filter(None, say.all(best, level, worth))),
        tables_=tables,
        parts=tuple(_parts(bench, *tables, is_for_target=is_for_target)),
        cautions=cautions(staffings, centre, with_money=bool(worth)),
        card=runs.card(asked.confidence, file=asked.file),
        asked=asked.echo(),
        decision=decision_between(
            runs, [name for name in choices if name != NOW], bench.measure, asked.confidence,
            best=next(iter(choices), ""), comparisons=len(level) + 1,
        ),
    )  # fmt: skip


def _level_with(
    search: Search, best: Heads | None, people: int | None, *, is_for_target: bool
) -> list[Heads]:
    """Return the staffings that the data cannot tell from the best.

    For a target these are all that may make it and cost no more: dearer ones are no rivals for the cheapest.
    """
    bench = search.bench
    if not is_for_target:
        assert best is not None
        sharp = [h for h in search.same_people(people) if bench.is_sharp(h)]
        return [heads for heads in bench.best_of(sharp) if heads != best]
    limit = float("inf") if best is None else bench.cost(best)
    found = [h for h in bench.tried if bench.verdict(h) != TOO_SELDOM and bench.cost(h) <= limit + 1e-9]
    return sorted((h for h in found if h != best), key=lambda h: (bench.cost(h), -(bench.makes(h).mean or 0)))


def _parts(
    bench: Bench, of_staffings: Table, crews: Table, steps: Table, money: Table, *, is_for_target: bool
) -> list[Part]:
    columns = {column.name: column for column in of_staffings.columns}
    label = bench.measure.label
    makes = replace(columns["makes"], head=label)
    met = replace(columns["met"], head=f"% make {bench.target:g}" if bench.target is not None else "")
    shown = [columns["staffing"], columns["people"], makes]
    if of_staffings.column("cost") != of_staffings.column("people"):
        shown.insert(2, columns["cost"])
    shown += [met] if bench.target is not None else []
    shown += [columns["verdict"]] if is_for_target else []
    view = View(
        "staffings", "Staffings: the answer and what is near it", tuple(shown), of_staffings.places(_is_near),
        most=SHOWN,
    )  # fmt: skip
    every = View("staffings", f"What people cost and make: {label}", tuple(shown), only_page=True)
    says = (
        "Every staffing that was looked at. The line joins those than which nothing that costs no more makes "
        "more; the black dot is the line as it is, the filled one the answer."
    )
    unit = columns["cost"].unit or "paid people"
    parts: list[Part] = [
        view,
        Chart("frontier", "frontier", says, every, "makes", "{staffing}", f"{unit} a shift"),
        View("crews", "The crews, on paper and in the answer", crews.columns[:6]),
    ]
    if len(steps):
        step = {column.name: column for column in steps.columns}
        names = ("step", "change", *(("met",) if bench.target is not None else ()))
        step["met"] = met
        view = View("steps", f"One step from it: {label}", tuple(step[name] for name in names), most=SHOWN)
        says = "One step from the answer, paired over common draws; the intervals hold together."
        parts.append(
            Chart("forest", "steps", says, view, "change", "{step}", f"more {label}", is_ordered=True)
        )
    parts += money_views(money)
    return parts


def _is_near(row: Row) -> bool:
    return bool(row["is_best"] or row["is_level"] or row["on_frontier"] or row["is_now"])
