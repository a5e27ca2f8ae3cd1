"""The tables of many cases: one row a case and figure, with a column for each factor."""

from __future__ import annotations

from collections.abc import Sequence

from linesim.scenario.origins import Place
from linesim.scenario.toml import key
from linesim.studies.answer_table import AnswerTable
from linesim.studies.asked import Asked
from linesim.studies.cases import CaseRuns
from linesim.studies.comparison.compare import headline
from linesim.studies.comparison.rows import DifferenceRow, difference_rows
from linesim.studies.rows import Row
from linesim.studies.sweeps.effects import Effect
from linesim.studies.tables import Cell
from linesim.studies.varying import Point


def paths_of(points: Sequence[Point]) -> tuple[Place, ...]:
    """Return the inputs that any point sets, in the order in which they come."""
    return tuple(dict.fromkeys(path for point in points for path, _ in point.levels))


def measures_table(
    runs: CaseRuns, points: Sequence[Point], figure: Asked, *, confidence: float, everything: bool
) -> AnswerTable:
    """Return the measures of each point: those that a planner looks at first, or all.

    Args:
        runs: The replications; the cases are called like the points.
        points: The points.
        figure: The figure that decides.
        confidence: Of each interval.
        everything: Whether all measures are wanted.
    """
    paths = paths_of(points)
    wanted = (figure, *headline(runs, figure))
    rows: list[tuple[Cell, ...]] = []
    for point in points:
        levels = tuple(point.level(path) for path in paths)
        if everything:
            found = runs.result(point.name, confidence).measures
        else:
            known = {label[:3] for label in runs.found[point.name].labels}
            found = tuple(
                runs.row(point.name, *item, confidence=confidence) for item in wanted if item in known
            )
        rows += [(point.name, *levels, *row) for row in found]
    return AnswerTable.of(
        "cases",
        ("case", *(key(path) for path in paths), *Row._fields),
        rows,
        "What each case gives by itself.",
    )


def against_base(
    runs: CaseRuns, points: Sequence[Point], figure: Asked, confidence: float
) -> tuple[DifferenceRow, ...]:
    """Return the deciding figure of each point against the first case, all holding together."""
    base = runs.names[0]
    return tuple(
        row
        for point in points
        for row in difference_rows(
            runs, base, point.name, [figure], confidence=confidence, comparisons=len(points)
        )
    )


def against_table(rows: Sequence[DifferenceRow], points: Sequence[Point]) -> AnswerTable:
    """Return the differences from the base as a table."""
    paths = paths_of(points)
    levels = {point.name: tuple(point.level(path) for path in paths) for point in points}
    return AnswerTable.of(
        "against_base",
        ("case", *(key(path) for path in paths), *DifferenceRow._fields[1:]),
        [(row.case, *levels[row.case], *row[1:]) for row in rows],
        "Each case minus the line as it is.",
    )


def effects_table(effects: Sequence[Effect], name: str = "effects", says: str = "") -> AnswerTable:
    """Return effects as a table."""
    return AnswerTable.of(
        name, Effect._fields, effects, says or "What the factors do to the deciding figure."
    )
