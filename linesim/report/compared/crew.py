"""What one more or one fewer operator does, and what that is worth."""

from __future__ import annotations

from collections.abc import Iterator

from linesim.report.charts.forest import forest
from linesim.report.compared.plain import Piece, gaps, named, number_of, rows_of, shown, text_of
from linesim.studies.answer import Answer


def crew(answer: Answer) -> Iterator[Piece | None]:
    """Yield the ranking of crews, and the money."""
    rows = rows_of(answer, "gains")
    if rows:
        figure = shown(rows[0])
        yield forest(
            "gains",
            f"What one more or one fewer does: {figure.label}",
            "One row a change, paired over common draws; all intervals hold together.",
            f"more {figure.label}",
            gaps(rows, lambda row: text_of(row, "change"), "gain", scale=figure.scale),
        )
    money = [row for row in rows_of(answer, "money") if number_of(row, "net_per_shift") is not None]
    if money:
        unit = f"{text_of(money[0], 'currency')} per shift"
        yield forest(
            "money",
            "What that is worth in a shift, the pay taken off",
            "What the jobs bring that are won, less what the people cost.",
            unit,
            gaps(money, lambda row: text_of(row, "change"), "net_per_shift"),
        )
    for name in ("stops", "barred"):
        yield named(answer, name)
