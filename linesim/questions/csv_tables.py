"""Tables as text, for files that a spreadsheet opens."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

Cell = str | int | float | None


def csv_text(columns: Sequence[str], rows: Iterable[Sequence[Cell]]) -> str:
    """Return a table as CSV: UTF-8, commas, one line a row; what is unknown is empty.

    Numbers are written in full, so that they read back as the same numbers. Text that a
    spreadsheet would take for a formula is written with an apostrophe before it.
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(columns)
    writer.writerows([plain(cell) for cell in row] for row in rows)
    return out.getvalue()


def plain(cell: Cell) -> Cell:
    """Return a cell that no spreadsheet takes for a formula.

    Examples:
        >>> plain("=1+1"), plain("K1"), plain(-3.5), plain(None)
        ("'=1+1", 'K1', -3.5, None)
    """
    if isinstance(cell, str) and cell.startswith(("=", "+", "-", "@", "\t", "\r", "\n")):
        return "'" + cell
    return cell
