"""`staff`: the cheapest staffing that makes a target, or the most that so many people can make."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from linesim.answers.document import Chart, Document, Part, View
from linesim.answers.table import Column, Table
from linesim.capacity.ceiling import out_of_reach
from linesim.capacity.loads import Loads
from linesim.errors import ScenarioError, WrongQuestionError
from linesim.plan.build import build
from linesim.questions.decision import decision_between, money_of, money_table, money_views
from linesim.questions.staff import Staff
from linesim.questions.staff.search import TOO_SELDOM, Bench, Search
from linesim.questions.staff.sentences import StaffSentences, cautions
from linesim.questions.staff.staffings import NOW, Heads, Staffings, staffings_of
from linesim.runs.cases import Case
from linesim.runs.cost import RunCost
from linesim.runs.select import main_figure
from linesim.scenario import Scenario


def _cost_column(staffings: Staffings) -> Column:
    if staffings.is_priced:
        return Column("cost", "money", head="a shift", unit=staffings.scenario.cost.currency or "money")
    return Column("cost", "number", head="paid people")


#: The share of the shifts that make the target.
_MET = Column("met", "estimate", head="shifts, %", unit="share",
              flat="mean=met low=met_low high=met_high n=met_n")  # fmt: skip


def staffings_table(bench: Bench, best: Heads | None, level: Sequence[Heads]) -> Table:
    """Return every staffing that was looked at, the cheapest first, of one cost the best first."""
    sign, ahead, rows = 1.0 if bench.measure.more_is_better else -1.0, float("-inf"), []

    def worth(heads: Heads) -> float:
        return sign * (bench.makes(heads).mean or 0.0)

    for heads in sorted(bench.tried, key=lambda heads: (bench.cost(heads), -worth(heads))):
        rows.append({
            "staffing": bench.staffings.name(heads), "people": sum(heads), "cost": bench.cost(heads),
            "measure": bench.measure, "makes": bench.makes(heads), "met": bench.met(heads),
            "verdict": bench.verdict(heads) if bench.is_for_target else "",
            "is_now": heads == bench.staffings.now, "is_best": heads == best, "is_level": heads in level,
            "on_frontier": worth(heads) > ahead,
        })  # fmt: skip
        ahead = max(ahead, worth(heads))
    columns = (
        Column("staffing"), Column("people", "count"), _cost_column(bench.staffings),
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
        {**{column.name: getattr(post, column.name, None) for column in columns}, "best": n,
         "mean": post.desk and post.desk.mean, "peak": post.desk and post.desk.peak}
        for post, n in zip(staffings.posts, best, strict=True)
    ]  # fmt: skip
    says = "The crews: what their work asks for on paper at the takt, and who is in them in the answer."
    return Table.of("crews", columns, rows, says)


def steps_table(bench: Bench, centre: Heads) -> Table:
    """Return what one step from a staffing does: one more, one fewer, one from crew to crew."""
    gaps = {heads: [n - m for n, m in zip(heads, centre, strict=True) if n != m] for heads in bench.tried}
    near = [heads for heads, gap in gaps.items() if gap in ([1], [-1], [1, -1], [-1, 1])]
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
            "change": found, "met": bench.met(heads),
        }
        for heads, found in sorted(changes.items(), key=lambda one: (sum(one[0]), -(one[1].mean or 0.0)))
    ]  # fmt: skip
    says = "One step from the answer, paired over common draws; the intervals hold together."
    return Table.of("steps", columns, rows, says)


def step_name(staffings: Staffings, start: Heads, end: Heads) -> str:
    """Return a step in words: one more in a crew, one fewer, one from crew to crew."""
    up = [p.crew for p, n, m in zip(staffings.posts, end, start, strict=True) if n > m]
    down = [p.crew for p, n, m in zip(staffings.posts, end, start, strict=True) if n < m]
    if up and down:
        return f"one from {down[0]} to {up[0]}"
    return f"one more in {up[0]}" if up else f"one fewer in {down[0]}"


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
    runner = asked.runner(Case(NOW, scenario), first, foretells=True)
    bench = Bench(
        staffings, runner, main_figure(runner.runs, asked.wanted), asked, target=target, first=first,
        count=count, is_for_target=is_for_target,
    )  # fmt: skip
    search = Search(bench)
    best = search.cheapest() if is_for_target else search.most(asked.people)
    bench.sharpen([staffings.now])
    return _answer(asked, search, best)


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
    count = asked.count(scenario, USUAL)
    return min(FIRST, count), count


def _answer(asked: Staff, search: Search, best: Heads | None) -> Document:
    bench, staffings = search.bench, search.staffings
    level = _level_with(search, best)
    # What one step from the answer does, or from the best there is where nothing makes the target.
    centre = bench.best_mean if best is None else best
    near = {staffings.name(h): h for h in (centre, *level) if h != staffings.now}
    runs, worth = bench.runner.runs, {}
    if bench.measure.measure in ("jobs_per_shift", "net_money"):
        people = {name: sum(heads) - sum(staffings.now) for name, heads in near.items()}
        worth = money_of(runs, people, asked.confidence, len(level) + 1)
    tables = (
        staffings_table(bench, best, level), crews_table(staffings, centre), steps_table(bench, centre),
        money_table({name: one.amounts for name, one in worth.items()}, "staffing", "the line as it is"),
    )  # fmt: skip
    choices = list(near) if centre != staffings.now else []
    return asked.told(
        asked.card(runs), StaffSentences(search).all(best, level, worth), tables, _parts(bench, *tables),
        cautions(staffings, centre, with_money=bool(worth)),
        decision=decision_between(
            runs, choices, bench.measure, asked.confidence, best=next(iter(choices), ""),
            comparisons=len(level) + 1,
        ),
    )  # fmt: skip


def _level_with(search: Search, best: Heads | None) -> list[Heads]:
    """Return the staffings that the data cannot tell from the best.

    For a target these are all that may make it and cost no more: dearer ones are no rivals for the cheapest.
    """
    bench = search.bench
    if not bench.is_for_target:
        sharp = [h for h in search.same_people(bench.asked.people) if bench.is_sharp(h)]
        return [heads for heads in bench.best_of(sharp) if heads != best]
    limit = float("inf") if best is None else bench.cost(best)
    found = [h for h in bench.tried if bench.verdict(h) != TOO_SELDOM and bench.cost(h) <= limit + 1e-9]
    return sorted((h for h in found if h != best), key=lambda h: (bench.cost(h), -(bench.makes(h).mean or 0)))


def _parts(bench: Bench, staffings: Table, crews: Table, steps: Table, money: Table) -> list[Part]:
    label = bench.measure.label
    names, more = ["staffing", "people", "makes"], ["step", "change"]
    if staffings.column("cost") != staffings.column("people"):
        names.insert(2, "cost")
    if bench.target is not None:
        names, more = [*names, "met"], [*more, "met"]
    heads = {"makes": label, "met": f"% make {bench.target:g}" if bench.target is not None else ""}
    shown, in_steps = (
        tuple(replace(c, head=heads[c.name]) if c.name in heads else c for c in table.pick(*picked))
        for table, picked in (
            (staffings, [*names, *(["verdict"] if bench.is_for_target else [])]),
            (steps, more),
        )
    )
    near = staffings.places(
        lambda row: bool(row["is_best"] or row["is_level"] or row["on_frontier"] or row["is_now"])
    )
    view = View("staffings", "Staffings: the answer and what is near it", shown, near, most=SHOWN)
    every = View("staffings", f"What people cost and make: {label}", shown, only_page=True)
    says = (
        "Every staffing that was looked at. The line joins those than which nothing that costs no more makes "
        "more; the black dot is the line as it is, the filled one the answer."
    )
    unit = staffings.pick("cost")[0].unit or "paid people"
    parts: list[Part] = [
        view,
        Chart("frontier", "frontier", says, every, "makes", "{staffing}", f"{unit} a shift"),
        View("crews", "The crews, on paper and in the answer", crews.columns[:6]),
    ]
    if len(steps):
        view = View("steps", f"One step from it: {label}", in_steps, most=SHOWN)
        parts.append(
            Chart("forest", "steps", steps.says, view, "change", "{step}", f"more {label}", is_ordered=True)
        )
    return [*parts, *money_views(money)]
