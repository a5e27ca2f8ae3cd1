"""What a factor does, averaged over the others, with intervals over replications; and the cases behind it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np

from linesim.answers.document import Chart, View
from linesim.answers.measure import Measure
from linesim.answers.table import Column, Table
from linesim.answers.values import Change
from linesim.answers.wording import change_in_words
from linesim.errors import WrongQuestionError
from linesim.plan.tables import FloatArray
from linesim.questions.varying import Factor, Point
from linesim.runs.case_runner import estimate_of, headline, unit_of
from linesim.runs.cases import CaseRuns
from linesim.scenario.origins import Place
from linesim.scenario.toml import key, shown_value
from linesim.stats.comparisons import joint_confidence
from linesim.stats.intervals import Interval, mean_interval

_MOST_LEFT = 6  #: Factors of which the data can't tell that are named.
_FLAT = "mean=effect low high n=replications confidence comparisons method verdict"


class Effect(NamedTuple):
    """What it does to the deciding measure that a factor goes from one value to another.

    Attributes:
        factor: The factor; ``a × b`` for what two do together.
        before, after: The values, as text.
        effect: Change of the measure.
    """

    factor: str
    before: str
    after: str
    effect: Change


@dataclass(frozen=True, slots=True)
class Responses:
    """A measure of each case of a design.

    Attributes:
        measure, unit: The measure and its unit.
        table: Its figures, shape ``(cases, replications)``.
        confidence: With which all effects hold together.
    """

    measure: Measure
    unit: str
    table: FloatArray
    confidence: float

    @classmethod
    def of(cls, runs: CaseRuns, points: Sequence[Point], measure: Measure, confidence: float) -> Responses:
        """Return a measure of each point; replications in which some case does not give it are left out.

        Raises:
            WrongQuestionError: If none is left.
        """
        table = np.array([runs.values(point.name, *measure) for point in points])
        kept: FloatArray = table[:, ~np.isnan(table).any(axis=0)]
        if not kept.shape[1]:
            raise WrongQuestionError(f"no replication gives {measure} in every case.")
        return cls(measure, unit_of(runs, measure), kept, confidence)

    def effect(self, factor: str, ends: Sequence[object], found: Interval, count: int, how: str) -> Effect:
        """Return an effect from the values it goes between, its interval, and how that was found.

        Args:
            factor: The factor, or several together.
            ends: The two values.
            found: The interval.
            count: How many effects hold together.
            how: How the interval was found.
        """
        change = Change.of(found, self.unit, currency=self.measure.currency(self.unit))
        before, after = (end if isinstance(end, str) else shown_value(end) for end in ends)
        return Effect(factor, before, after, replace(change, method=how, comparisons=count))


def steps(factors: Sequence[Factor], points: Sequence[Point], seen: Responses) -> tuple[Effect, ...]:
    """Return what each step from one value of a factor to the next brings, over a whole grid.

    Args:
        factors: The factors of the grid.
        points: Its points, every combination once.
        seen: The deciding measure of each.
    """
    count = sum(len(factor.values) - 1 for factor in factors)
    over = "" if len(factors) == 1 else ", mean over the other factors"
    found = []
    for factor in factors:
        levels = [shown_value(value) for value in factor.values]
        means = [
            seen.table[[k for k, point in enumerate(points) if point.level(factor.path) == level]].mean(
                axis=0
            )
            for level in levels
        ]
        for k in range(1, len(means)):
            gain = mean_interval(means[k] - means[k - 1], joint_confidence(seen.confidence, count))
            how = f"paired {gain.method.removeprefix('Student ')}{over}"
            found.append(seen.effect(factor.name, levels[k - 1 : k + 1], gain, count, how))
    return tuple(found)


def slopes(factors: Sequence[Factor], points: Sequence[Point], seen: Responses) -> tuple[Effect, ...]:
    """Return what each factor does over its whole range, by a straight line through spread-out points.

    One least-squares fit a replication, with all factors in it; so the interval holds what luck does
    to the line, and not how far the truth bends away from it.

    Args:
        factors: Each with the two ends of its range.
        points: Points within the ranges, more than factors.
        seen: The deciding measure of each.

    Raises:
        WrongQuestionError: If there are too few points to tell the factors apart.
    """
    place = np.array([[_share(f, dict(point.levels)[f.path]) for f in factors] for point in points])
    left = np.column_stack([np.ones(len(points)), place])
    if np.linalg.matrix_rank(left) < left.shape[1]:
        raise WrongQuestionError(
            f"{len(points)} different points cannot tell {len(factors)} factors apart; take more points."
        )
    fitted = np.linalg.lstsq(left, seen.table, rcond=None)[0]
    how, alone = "least squares in each replication", joint_confidence(seen.confidence, len(factors))
    return tuple(
        seen.effect(factor.name, factor.values, mean_interval(slope, alone), len(factors), how)
        for factor, slope in zip(factors, fitted[1:], strict=True)
    )


def _share(factor: Factor, value: object) -> float:
    """Return where a value lies between the ends of a factor's range, from 0 to 1."""
    low, high, here = (amount_of(item) for item in (*factor.values, value))
    return (here - low) / (high - low)


def amount_of(value: object) -> float:
    """Return a value of a factor as a number; a time in seconds, or in shifts.

    Raises:
        ValueError: If it is yes or no, or a text that is no time.
    """
    from linesim.ticks import parse_duration

    if isinstance(value, bool):
        raise ValueError("yes and no are no amounts")
    if isinstance(value, int | float):
        return float(value)
    assert isinstance(value, str), "a range has numbers or times"
    found = parse_duration(value)
    return found.amount if found.unit == "shift" else found.seconds


def effects_table(effects: Iterable[Effect], name: str, says: str, unit: str) -> Table:
    """Return effects as a table."""
    columns = (*map(Column, ("factor", "before", "after")), Column("effect", "change", unit=unit, flat=_FLAT))
    return Table.of(name, columns, effects, says, keys=("factor", "before", "after"))


def effects_chart(
    table: Table, title: str, measure: Measure, *, of_pairs: bool = False, most: int = 0, note: str = ""
) -> Chart:
    """Return how effects are read and drawn; the values that pairs go between say nothing."""
    ends = () if of_pairs else (Column("before", head="low"), Column("after", head="high"))
    view = View(
        table.name, title, (Column("factor", head=""), *ends, table.columns[-1]), most=most, note=note
    )
    says = "The largest first, averaged over the other factors; the intervals hold together."
    row = "{factor}" if of_pairs else "{factor}: {before} → {after}"
    return Chart("forest", table.name, says, view, "effect", row, f"more {measure.label}")


def ranked(measure: Measure, effects: Sequence[Effect], over: str) -> list[str]:
    """Return what matters, the largest first, and of which factors the data can't tell."""
    sure = sorted((one for one in effects if one.effect.sign), key=lambda one: -abs(one.effect.mean or 0.0))
    still = [one.factor for one in effects if one.effect.verdict == "the same"]
    left = [one.factor for one in effects if one not in sure and one.factor not in still]
    said = [
        f"{place}. {one.factor} {over}, {one.before} → {one.after}: {change_in_words(one.effect, measure)}."
        for place, one in enumerate(sure, start=1)
    ]
    if still:
        said.append(f"These change nothing in any replication: {_first_few(still)}.")
    if left:
        said.append(f"Of these the data can't tell whether they matter: {_first_few(left)}.")
    return said


def _first_few(names: Sequence[str]) -> str:
    more = f" and {len(names) - _MOST_LEFT} more" if len(names) > _MOST_LEFT else ""
    return f"{', '.join(names[:_MOST_LEFT])}{more}"


def paths_of(points: Sequence[Point]) -> tuple[Place, ...]:
    """Return the inputs that any point sets, in the order in which they come."""
    return tuple(dict.fromkeys(path for point in points for path, _ in point.levels))


def level_columns(points: Sequence[Point]) -> tuple[Column, ...]:
    """Return a column for each input that any point sets, its heading the end of the key."""
    return tuple(Column(key(path), head=".".join(path[-2:])) for path in paths_of(points))


def levels_of(point: Point, points: Sequence[Point]) -> dict[str, str | None]:
    """Return what a point sets each input of the study to; None where it stays as it is."""
    return {key(path): point.level(path) for path in paths_of(points)}


def cases_table(
    runs: CaseRuns, points: Sequence[Point], measure: Measure, *, confidence: float, everything: bool = False
) -> Table:
    """Return the measures of each point: those that a planner looks at first, or all.

    Args:
        runs: The replications; the cases are called like the points.
        points: The points.
        measure: The measure that decides.
        confidence: Of each interval.
        everything: Whether all measures are wanted.
    """
    rows = []
    for point in points:
        known = [Measure(*label[:3]) for label in runs.found[point.name].labels]
        wanted = known if everything else [m for m in (measure, *headline(runs, measure)) if m in known]
        of = {"case": point.name, **levels_of(point, points)}
        rows += [{**of, "measure": m, "mean": estimate_of(runs, point.name, m, confidence)} for m in wanted]
    columns = (
        Column("case"), *level_columns(points), Column("measure", "measure"), Column("unit"),
        Column("mean", "estimate"),
    )  # fmt: skip
    return Table.of("cases", columns, rows, "What each case gives by itself.", keys=("case", "measure"))
