"""Tables of an answer as they are, and rows of them as numbers."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple

from linesim.measures import DEFINITIONS, SEGMENT
from linesim.report.charts.forest import Gap
from linesim.report.figure import Figure
from linesim.report.parts import Part
from linesim.report.table import Cell, Column, Table
from linesim.studies.answer import Answer
from linesim.studies.answer_table import AnswerTable
from linesim.studies.asked import Asked
from linesim.studies.tables import Cell as Value

Piece = Figure | Table | Part | str  #: What an answer is drawn and told with.

MOST_ROWS = 2000  #: More rows of a table stay in its CSV file.
Record = Mapping[str, Value]


def rows_of(answer: Answer, name: str) -> list[Record]:
    """Return the rows of a table of an answer; none if it has no such table."""
    found = answer.tables.get(name)
    return [] if found is None else list(found)


def text_of(row: Record, column: str) -> str:
    """Return a cell as text, empty where nothing is known."""
    value = row.get(column)
    return "" if value is None else str(value)


def number_of(row: Record, column: str) -> float | None:
    """Return a cell as a number, None where it is none."""
    value = row.get(column)
    return float(value) if isinstance(value, int | float) else None


def plain_table(table: AnswerTable, says: str = "") -> Table | None:
    """Return a table of an answer as it is; None if it is empty.

    Columns whose cells are all empty are left out.
    """
    kept = [k for k in range(len(table.columns)) if any(row[k] not in (None, "") for row in table.rows)]
    if not table.rows or not kept:
        return None
    numbers = [all(isinstance(row[k], int | float | None) for row in table.rows) for k in kept]
    caption = says or table.says or f"Table “{table.name.replace('_', ' ')}”"
    if len(table.rows) > MOST_ROWS:
        caption += f" The first {MOST_ROWS} of {len(table.rows)} rows; {table.name}.csv has all."
    return Table(
        caption,
        tuple(
            Column(table.columns[k].replace("_", " "), is_number=is_number)
            for k, is_number in zip(kept, numbers, strict=True)
        ),
        tuple(tuple(_cell(row[k]) for k in kept) for row in table.rows[:MOST_ROWS]),
    )


def _cell(value: Value) -> Cell:
    if value is None:
        return Cell("")
    if isinstance(value, float):
        return Cell(f"{value:.4g}", value)
    return Cell(str(value), value) if isinstance(value, int) else Cell(value)


class Shown(NamedTuple):
    """A figure as a page speaks of it.

    Attributes:
        key: Measure, place and cause.
        label: What a line of a table is called, with the unit.
        scale: Factor from the answer to the page: shares are shown in percent.
        more_is_better: Whether one wants more of it.
    """

    key: tuple[str, str, str]
    label: str
    scale: float
    more_is_better: bool


def shown(row: Record) -> Shown:
    """Return the figure that a row speaks of, also one that only its study knows."""
    measure, where, cause = text_of(row, "measure"), text_of(row, "where") or SEGMENT, text_of(row, "cause")
    key = (measure, where, cause)
    if measure in DEFINITIONS:
        asked = Asked(*key)
        return Shown(key, asked.label, asked.scale, asked.more_is_better)
    unit = text_of(row, "unit")
    place = "" if where == SEGMENT else f" {where}"
    scale, unit = (100.0, "%") if unit == "share" else (1.0, unit)
    return Shown(key, f"{measure.replace('_', ' ')}{place}, {unit}", scale, True)


def gaps(
    rows: Sequence[Record],
    label: Callable[[Record], str],
    mean: str,
    low: str = "low",
    high: str = "high",
    *,
    scale: float = 1.0,
) -> list[Gap]:
    """Return the rows that have a figure as changes.

    Args:
        rows: Rows of a table.
        label: What a row is called.
        mean: Column of the change.
        low: Column of the lower end of its interval.
        high: Column of the upper end.
        scale: Factor from the answer to the page.
    """
    found = []
    for row in rows:
        value = number_of(row, mean)
        if value is None:
            continue
        below, above = (
            None if (end := number_of(row, name)) is None else end * scale for name in (low, high)
        )
        count = int(number_of(row, "replications") or 0)
        found.append(Gap(label(row), value * scale, below, above, text_of(row, "verdict"), count))
    return found


def named(answer: Answer, name: str, says: str = "") -> Table | None:
    """Return one table of an answer as it is; None if the answer has none of the name, or an empty one."""
    found = answer.tables.get(name)
    return None if found is None else plain_table(found, says)
