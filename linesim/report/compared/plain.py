"""Tables of an answer as they are, and rows of them as numbers."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from types import MappingProxyType
from typing import NamedTuple

from linesim.answers.wording import decimals, number
from linesim.measures import DEFINITIONS, SEGMENT
from linesim.questions.answer import Answer
from linesim.questions.answer_table import AnswerTable
from linesim.questions.csv_tables import Cell as Value
from linesim.questions.figures import with_span
from linesim.report.charts.forest import ForestRow
from linesim.report.figure import Figure
from linesim.report.parts import Part
from linesim.report.table import PageCell, PageColumn, PageTable, estimated, numeric, table
from linesim.runs.main_measure import Measure
from linesim.runs.rows import Row

Piece = Figure | PageTable | Part | str  #: What an answer is drawn and told with.

MOST_SIDE_BY_SIDE = 4  #: With more cases each has a line of its own.
MOST_ROWS = 2000  #: More rows of a table stay in its CSV file.
#: Columns for who checks the figures; they stand in the whole tables behind the fold.
TECHNICAL = frozenset(
    {"method", "sd", "half_width", "correlation", "saving", "confidence", "comparisons", "replications"}
)
_LABELS = MappingProxyType(
    {
        "jobs_per_shift_p10": "one shift in ten makes fewer, jobs",
        "jobs_per_shift_p90": "one shift in ten makes more, jobs",
    }
)
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


def plain_table(
    found: AnswerTable, says: str = "", *, without: frozenset[str] = frozenset(), percent: bool = False
) -> PageTable | None:
    """Return a table of an answer as it is; None if it is empty.

    Columns whose cells are all empty are left out, and those named in ``without``; shares are shown in
    percent where ``percent`` says so.
    """
    kept = [
        k
        for k, name in enumerate(found.columns)
        if name not in without and any(row[k] not in (None, "") for row in found.rows)
    ]
    if not found.rows or not kept:
        return None
    numbers = [all(isinstance(row[k], int | float | None) for row in found.rows) for k in kept]
    caption = says or found.says or f"PageTable “{found.name.replace('_', ' ')}”"
    if len(found.rows) > MOST_ROWS:
        caption += f" The first {MOST_ROWS} of {len(found.rows)} rows; {found.name}.csv has all."
    shares = {k for k in kept if percent and found.columns[k].endswith("share")}
    return PageTable(
        caption,
        tuple(
            PageColumn(_heading(found.columns[k], k in shares), is_number=is_number)
            for k, is_number in zip(kept, numbers, strict=True)
        ),
        tuple(
            tuple(_cell(row[k], 100.0 if k in shares else 1.0) for k in kept)
            for row in found.rows[:MOST_ROWS]
        ),
    )


def _heading(column: str, in_percent: bool) -> str:
    words = column.replace("_", " ")
    return f"{words.removesuffix(' share')}, %" if in_percent else words


def _cell(value: Value, scale: float = 1.0) -> PageCell:
    if value is None:
        return PageCell("")
    if scale != 1.0 and isinstance(value, int | float):
        value = float(value) * scale
    if isinstance(value, float):
        return PageCell(number(value, decimals(value, None)), value)
    return PageCell(str(value), value) if isinstance(value, int) else PageCell(value)


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
    if measure in _LABELS:
        return Shown(key, _LABELS[measure], 1.0, True)
    if measure in DEFINITIONS:
        asked = Measure(*key)
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
) -> list[ForestRow]:
    """Return the rows that have a figure as changes.

    Args:
        rows: Rows of a table.
        label: What a row is called.
        mean: PageColumn of the change.
        low: PageColumn of the lower end of its interval.
        high: PageColumn of the upper end.
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
        found.append(ForestRow(label(row), value * scale, below, above, text_of(row, "verdict"), count))
    return found


def named(
    answer: Answer, name: str, says: str = "", *, without: frozenset[str] = TECHNICAL
) -> PageTable | None:
    """Return one table of an answer without its technical columns; None if it has none, or an empty one."""
    found = answer.tables.get(name)
    return None if found is None else plain_table(found, says, without=without, percent=True)


def estimates(answer: Answer, name: str, says: str) -> PageTable | None:
    """Return a table of measures by case with estimate and interval; None without rows."""
    rows = rows_of(answer, name)
    cases = list(dict.fromkeys(text_of(row, "case") for row in rows))
    if not rows:
        return None
    if len(cases) > MOST_SIDE_BY_SIDE:
        cells: list[tuple[PageCell | str, ...]] = [
            (text_of(row, "case"), shown(row).label, *estimated(measure_row(row).estimate)) for row in rows
        ]
        return table(says, ["case", "figure", *numeric("estimate", "interval")], cells)
    found = {(shown(row).label, text_of(row, "case")): row for row in rows}
    labels = list(dict.fromkeys(label for label, _ in found))
    beside: list[tuple[PageCell | str, ...]] = [
        (label, *(_with_span(found.get((label, case))) for case in cases)) for label in labels
    ]
    return table(says, ["figure", *numeric(*cases)], beside)


def _with_span(row: Record | None) -> PageCell:
    if row is None:
        return PageCell("–")
    found, scale = measure_row(row), shown(row).scale
    return PageCell(with_span(found, scale=scale), None if found.mean is None else found.mean * scale)


def measure_row(row: Record, mean: str = "mean") -> Row:
    """Return a row of an answer as a row of a table of measures; ``mean`` is its column."""
    return Row(
        text_of(row, "measure"), text_of(row, "where"), text_of(row, "cause"), text_of(row, "unit"),
        number_of(row, mean), number_of(row, "low"), number_of(row, "high"), number_of(row, "half_width"),
        None, int(number_of(row, "replications") or 0), "",
    )  # fmt: skip
