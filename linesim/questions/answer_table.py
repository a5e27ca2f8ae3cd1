"""A table of an answer: named columns, one tidy row an observation, ready for JSON, CSV, pandas and HTML."""

from __future__ import annotations

import html
import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from linesim.questions.csv_tables import Cell, csv_text

if TYPE_CHECKING:
    import pandas as pd

ROWS_SHOWN = 40  #: A notebook shows so many rows of a table; all of them are in `rows`.


@dataclass(frozen=True, slots=True)
class AnswerTable:
    """A table of an answer.

    Attributes:
        name: What the answer calls it, also the name of its CSV file: small letters and ``_``.
        columns: Names of the columns, units in the name where they are not a column of their own.
        rows: One tuple a row, as long as ``columns``; None where nothing is known.
        says: What the table shows, one sentence.
    """

    name: str
    columns: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]
    says: str = ""

    def __post_init__(self) -> None:
        """Refuse rows that do not fit the columns."""
        if len(set(self.columns)) != len(self.columns):
            raise ValueError(f"columns of table {self.name!r} must differ, got {self.columns}")
        for number, row in enumerate(self.rows):
            if len(row) != len(self.columns):
                raise ValueError(
                    f"rows[{number}] of {self.name!r} must have {len(self.columns)} cells, got {len(row)}"
                )

    @classmethod
    def of(
        cls, name: str, columns: Sequence[str], rows: Iterable[Sequence[Cell]], says: str = ""
    ) -> AnswerTable:
        """Return a table of any rows, such as named tuples."""
        return cls(name, tuple(columns), tuple(tuple(row) for row in rows), says)

    def __len__(self) -> int:
        return len(self.rows)

    def __iter__(self) -> Iterator[dict[str, Cell]]:
        """Yield each row with the names of its columns."""
        return (dict(zip(self.columns, row, strict=True)) for row in self.rows)

    def column(self, name: str) -> tuple[Cell, ...]:
        """Return a column.

        Raises:
            KeyError: If there is none of this name.
        """
        if name not in self.columns:
            raise KeyError(f"table {self.name!r} has no column {name!r}; it has {', '.join(self.columns)}")
        return tuple(row[self.columns.index(name)] for row in self.rows)

    @property
    def frame(self) -> pd.DataFrame:
        """The table as a pandas frame."""
        import pandas as pd

        return pd.DataFrame(list(self.rows), columns=list(self.columns))

    def as_rows(self) -> list[dict[str, Any]]:
        """Return the rows for JSON: numbers that are not finite become None."""
        return [{name: _plain(cell) for name, cell in row.items()} for row in self]

    def to_csv(self) -> str:
        """Return the table as CSV; numbers are written in full."""
        return csv_text(self.columns, self.rows)

    def to_html(self) -> str:
        """Return the table for a notebook: escaped, rounded, at most `ROWS_SHOWN` rows."""
        head = "".join(f"<th>{html.escape(name)}</th>" for name in self.columns)
        lines = [
            "<tr>" + "".join(f"<td>{html.escape(_shown(cell))}</td>" for cell in row) + "</tr>"
            for row in self.rows[:ROWS_SHOWN]
        ]
        says = f"<caption>{html.escape(self.says or self.name)}</caption>"
        rest = len(self.rows) - len(lines)
        more = f"<p>{rest} more rows</p>" if rest else ""
        return f"<table>{says}<thead><tr>{head}</tr></thead><tbody>{''.join(lines)}</tbody></table>{more}"


def by_name(tables: Iterable[AnswerTable]) -> Mapping[str, AnswerTable]:
    """Return tables by their names.

    Raises:
        ValueError: If two have the same name.
    """
    found: dict[str, AnswerTable] = {}
    for table in tables:
        if table.name in found:
            raise ValueError(f"two tables are called {table.name!r}")
        found[table.name] = table
    return found


def _plain(cell: Cell) -> Cell:
    return None if isinstance(cell, float) and not math.isfinite(cell) else cell


def _shown(cell: Cell) -> str:
    if cell is None:
        return ""
    return f"{cell:.4g}" if isinstance(cell, float) else str(cell)
