"""`compare`: every measure of some cases against the base, paired over common draws."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

import numpy as np

from linesim.answers.document import Chart, Document, Heading, Part, View, Words, change_in
from linesim.answers.measure import Measure
from linesim.answers.table import Column, Row, Table
from linesim.answers.values import Change
from linesim.answers.wording import (
    Value,
    change_from,
    change_in_words,
    count_of,
    draws_in_words,
    listed,
    together,
)
from linesim.errors import WrongQuestionError
from linesim.measures.definitions import ON_CLOCK
from linesim.questions.cautions import cautions_on
from linesim.questions.changes import InputChange as InputChange
from linesim.questions.changes import changes_between
from linesim.questions.compare import Compare
from linesim.questions.decision import decision_between
from linesim.runs.case_runner import (
    CaseChange,
    changes_of,
    estimate_from,
    headline,
    pairs_of,
    shared_measures,
)
from linesim.runs.cases import Case, CaseRuns
from linesim.runs.select import main_figure
from linesim.scenario import Scenario
from linesim.scenario.replace import Changes, named_after
from linesim.stats.comparisons import fair_difference, joint_confidence
from linesim.stats.precision import replications_for


def cases_against(
    base: Scenario,
    others: Mapping[str, Scenario | Changes] | Sequence[Scenario | Changes | Case],
) -> tuple[Case, ...]:
    """Return the cases to compare with the base, each with a name of its own.

    Args:
        base: The base.
        others: Scenarios, changes of the base, or ready cases; by name, or named after what they change.

    Raises:
        WrongQuestionError: If there is none, or two have one name.
        ScenarioError: If a change is wrong.
    """
    pairs = list(others.items()) if isinstance(others, Mapping) else [("", other) for other in others]
    cases = tuple(_case(base, name, other, number) for number, (name, other) in enumerate(pairs, start=2))
    if not cases:
        raise WrongQuestionError(
            "there is nothing to compare with; name another scenario, or what to change "
            "(--try on the command line)."
        )
    names = [case.name for case in cases]
    if twice := [name for name in dict.fromkeys(names) if names.count(name) > 1]:
        raise WrongQuestionError(f"two cases are called {twice[0]!r}; give each a name of its own.")
    return cases


def _case(base: Scenario, name: str, other: Scenario | Changes | Case, number: int) -> Case:
    if isinstance(other, Case):
        return Case(name or other.name, other.scenario, other.changes)
    if isinstance(other, Mapping):
        return Case.changed(name or named_after(other), base, other)
    return Case(name or other.title or f"case {number}", other)


#: How a difference from the base stands in files, in every question that has one.
AGAINST_BASE = (
    "before=base_mean after=case_mean mean=difference low high half_width n=replications correlation saving "
    "method confidence comparisons verdict"
)
#: Parts of other measures, for drawings: a difference of them would only widen the intervals of all others.
#: So would figures on the clock of what stands here in working time.
_PARTS = frozenset({"operator_load", "bay_by_hour"})
#: Shares that say once more what others on the page say.
_SAID_ELSEWHERE = frozenset({"operator_state", "robot_state", "buffer_at", "buffer_full", "buffer_empty"})
MOST_CASES = 4  #: With more cases only the tables say what else moved.
MOST_MOVED = 10  #: Other measures that a terminal shows.
_MATTERS = 0.01  #: Share of the base that is taken as worth telling where the data can't tell.
_MOST_BESIDES = 3  #: What else moved, that is said for each case.
_MOST_BESIDE_BEST = 4  #: Cases that are named beside the best, if their names are short:
_MOST_LETTERS = 120  #: Longer names are only counted, or nobody reads the sentence.


def study(asked: Compare, scenario: Scenario) -> Document:
    """Return what each case does that the base does not."""
    wanted = asked.wanted
    name = asked.base_name or asked.file or "base"
    runs = asked.run([Case(name, scenario), *cases_against(scenario, _others(asked, scenario))])
    measure = main_figure(runs, wanted)
    changes = _changes(runs, measure, asked.confidence)
    inputs = {
        case: changes_between(runs.case(name).scenario, runs.case(case).scenario) for case in runs.names[1:]
    }
    figure = (Column("case"), Column("measure", "measure", head="figure"), Column("unit"))
    difference = Column("difference", "change", flat=AGAINST_BASE,
                        faces=("before", "after", "mean", "interval", "verdict"))  # fmt: skip
    differences, levels = (
        Table.of(title, (*figure, column), rows, says, keys=("case", "measure"))
        for title, column, rows, says in (
            ("differences", difference, changes, "Each case minus the base, paired over common draws."),
            ("levels", Column("mean", "estimate", head="estimate"),
             _levels(runs, measure, asked.confidence), "Each case by itself."),
        )
    )  # fmt: skip
    return asked.told(
        asked.card(runs),
        _sentences(runs, measure, changes, inputs, asked.confidence),
        (differences, levels, inputs_table(inputs)),
        _parts(runs, measure, differences, levels, inputs),
        cautions_on(change.path for found in inputs.values() for change in found),
        decision=decision_between(runs, runs.names[1:], measure, asked.confidence),
    )


def _others(asked: Compare, scenario: Scenario) -> Mapping[str, Any] | list[Any]:
    """Return what is compared: files are read with the lines that were laid over the base."""
    from linesim.questions.alternatives import alternative_of
    from linesim.scenario import read

    if isinstance(asked.others, Mapping):
        return asked.others
    found: list[Any] = []
    for other in asked.others:
        if isinstance(other, str):
            # Without its folders where that is enough to tell it from the base.
            called = other if Path(other).name == asked.file else Path(other).name
            other = Case(called, read(other, asked.sets, add=asked.add).scenario)
        found.append(other)
    return [*found, *(alternative_of(text).case(scenario) for text in asked.tries)]


def _changes(runs: CaseRuns, measure: Measure, confidence: float) -> tuple[CaseChange, ...]:
    """Return all differences, each family of them holding together with the confidence."""
    base, *others = runs.names
    first = headline(runs, measure)
    rest = tuple(
        one
        for one in shared_measures(runs, runs.names)
        if one != measure and one not in first and one.measure not in _PARTS
        if not one.measure.endswith(ON_CLOCK)
    )
    return tuple(
        change
        for family in ((measure,), first, rest)
        for name in others
        for change in changes_of(
            runs, base, name, family, confidence=confidence, comparisons=max(1, len(family)) * len(others)
        )
    )


def _levels(runs: CaseRuns, measure: Measure, confidence: float) -> Iterator[dict[str, Value]]:
    """Yield what each case gives by itself, with the range of a single shift."""
    singles = Measure("jobs_per_shift_p10"), Measure("jobs_per_shift_p90")
    for name in runs.names:
        known = {Measure(*row[:3]): row for row in runs.result(name, confidence).measures}
        for one in (measure, *headline(runs, measure), *singles):
            if one in known:
                yield {"case": name, "measure": one, "mean": estimate_from(known[one], confidence)}


def inputs_table(named: Mapping[str, Sequence[InputChange]]) -> Table:
    """Return what differs in the input of several cases."""
    rows = [
        {"case": case, "input": one.name, "before": one.before, "after": one.after}
        for case, found in named.items()
        for one in found
    ]
    columns = tuple(map(Column, ("case", "input", "before", "after")))
    return Table.of("changes", columns, rows, "What differs from the base, by name.", keys=("case", "input"))


def _parts(
    runs: CaseRuns,
    measure: Measure,
    differences: Table,
    levels: Table,
    inputs: Mapping[str, Sequence[InputChange]],
) -> list[Part]:
    base, *others = runs.names
    case, figure, _, difference = differences.columns
    says = f"One row a case, minus {base}, paired over common draws; the intervals hold together."
    deciding = differences.places(lambda row: row["measure"] == measure)
    title = f"What each change does: {measure.label}"
    view = View("differences", title, (case, difference), deciding)
    parts: list[Part] = [
        Chart("forest", "differences", says, view, "difference", "{case}", f"more {measure.label}")
    ]
    first = headline(runs, measure)
    for name in others if len(others) <= MOST_CASES else ():
        mine = differences.places(_is_of(name, first))
        parts.append(View("differences", f"{name} against {base}", (figure, difference), mine))
        moved = differences.places(_has_moved(name, (measure, *first)), by=_doubt)
        count = sum(row["case"] == name and row["measure"] not in (measure, *first) for row in differences)
        title = f"What else surely moved, of {count} more figures held to a joint confidence"
        parts.append(View("differences", title, (figure, difference), moved, most=MOST_MOVED))
    columns = tuple(column for column in levels.columns if column.name != "unit")
    parts.append(View("levels", "Each case by itself", columns, only_page=True))
    told = []
    for name, changes in inputs.items():
        before = "" if len(inputs) == 1 else f"{name}: "
        told += [f"{before}{change}" for change in changes] or [f"{name}: nothing."]
    return [*parts, Heading("What differs in the input"), Words(tuple(told))]


def _is_of(case: str, measures: Sequence[Measure]) -> Callable[[Row], bool]:
    """Return whether a row is that of a case and one of some measures."""
    return lambda row: row["case"] == case and row["measure"] in measures


def _has_moved(case: str, told: Sequence[Measure]) -> Callable[[Row], bool]:
    """Return whether another measure of a case surely moved, and is not said elsewhere."""

    def holds(row: Row) -> bool:
        measure, change = row["measure"], change_in(row, "difference")
        assert isinstance(measure, Measure)
        is_new = measure not in told and measure.measure not in _SAID_ELSEWHERE
        return row["case"] == case and bool(change.sign) and is_new

    return holds


def _doubt(row: Row) -> float:
    """Return by what the surest come first."""
    change = change_in(row, "difference")
    return -abs(change.mean or 0.0) / (change.half_width or 1e-300)


def _sentences(
    runs: CaseRuns,
    measure: Measure,
    changes: Sequence[CaseChange],
    inputs: Mapping[str, Sequence[InputChange]],
    confidence: float,
) -> tuple[str, ...]:
    """Return the answer, the verdict on each case first."""
    said: list[str] = []
    base, *others = runs.names
    first = headline(runs, measure)
    for name in others:
        mine = {one.measure: one.difference for one in changes if one.case == name}
        if not inputs[name]:
            said.append(f"{name}: nothing differs from the base.")
            continue
        found = mine[measure]
        said.append(f"{name} against {base}: {change_from(found, measure)}.")
        said += [text for text in (draws_in_words(found), _more_needed(runs, name, measure, found)) if text]
        if len(others) <= MOST_CASES:
            said += _besides({one: mine[one] for one in first if one in mine})
    if len(others) > 1 and len(runs.numbers) > 1:
        said.append(together(f"These {len(others)} comparisons", confidence, len(others)))
        said.append(best_of(runs, measure, confidence))
    return tuple(said)


def _more_needed(runs: CaseRuns, name: str, measure: Measure, found: Change) -> str:
    """Return, where the data can't tell, what they exclude and what would tell."""
    matters = abs(found.before or 0.0) * _MATTERS
    if found.verdict != "can't tell" or found.is_constant or not matters:
        return ""
    ours, theirs = pairs_of(runs, runs.names[0], name, measure)
    needed = replications_for(ours - theirs, matters, found.confidence)
    share = f"{100 * _MATTERS:.0f} %"
    if needed <= found.n:
        return f"A difference of {share} would have shown with these {found.n} replications."
    return f"A difference of {share} would show with about {needed} replications instead of {found.n}."


def _besides(found: Mapping[Measure, Change]) -> list[str]:
    """Return the first few of the other headline measures that surely moved."""
    # Output in another unit says nothing new.
    moved = [
        (measure, change)
        for measure, change in found.items()
        if change.sign and measure.measure not in ("throughput", "jobs_per_shift")
    ]
    moved.sort(key=lambda item: -abs(item[1].mean or 0.0) / (item[1].half_width or 1e-300))
    said = [change_in_words(change, measure) for measure, change in moved[:_MOST_BESIDES]]
    return [f"Besides: {listed(said)}."] if said else []


def best_of(
    runs: CaseRuns, measure: Measure, confidence: float, *, names: Sequence[str] | None = None
) -> str:
    """Return which case is best, and from which others it cannot be told.

    All pairs hold together with the confidence, so that choosing the best by its mean does no harm.

    Args:
        runs: The replications.
        measure: The measure that decides.
        confidence: Of all pairs together.
        names: Among which cases; None means all.
    """
    names = runs.names if names is None else tuple(names)
    table = {name: runs.values(name, *measure) for name in names}
    mean = {name: measure.sign * float(np.nanmean(values)) for name, values in table.items()}
    first = max(names, key=lambda name: (mean[name], -names.index(name)))
    alone = joint_confidence(confidence, len(list(itertools.combinations(names, 2))))
    level = []
    for name in names:
        if name == first:
            continue
        both = ~(np.isnan(table[first]) | np.isnan(table[name]))
        low = fair_difference(
            measure.sign * table[first][both], measure.sign * table[name][both], alone
        ).interval.low
        if low is None or low <= 0:
            level.append(name)
    head = f"By {measure.label}, {first!r} is the best of {len(names)} cases"
    if not level:
        return f"{head}, and all others are surely behind."
    named = [repr(name) for name in level[:_MOST_BESIDE_BEST]]
    told = listed(named) + (f" and {len(level) - len(named)} more" if len(level) > len(named) else "")
    if len(told) > _MOST_LETTERS:
        told = count_of(len(level), "other")
    return f"{head}; the data can't tell it from {told}."
