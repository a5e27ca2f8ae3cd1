"""What one more or one fewer operator does, and what that is worth."""

from __future__ import annotations

from collections.abc import Iterator

from linesim.questions.answer import Answer
from linesim.questions.run_sentences import cause_in_words
from linesim.questions.verdicts import signed, signed_span
from linesim.report.charts.forest import forest
from linesim.report.compared.plain import (
    Piece,
    gaps,
    measure_row,
    named,
    number_of,
    rows_of,
    shown,
    text_of,
)
from linesim.report.table import PageCell, PageTable, numeric, table


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
    yield _stops(answer)
    yield named(answer, "barred")


def _stops(answer: Answer) -> PageTable | str | None:
    """Return the stops that surely change; None where the answer looked at none."""
    rows = rows_of(answer, "stops")
    sure = [row for row in rows if text_of(row, "verdict") in ("higher", "lower")]
    if not rows:
        return None
    if not sure:
        return "No single cause of stops surely changes; the whole table stands below."
    return table(
        "Stops that surely change, minutes per shift",
        ["change", "at", "because", *numeric("now", "changes by", "interval")],
        [
            (
                text_of(row, "change"), text_of(row, "where"), cause_in_words(text_of(row, "cause")),
                *(PageCell(text, number_of(row, column)) for text, column in (
                    (f"{number_of(row, 'before') or 0.0:.1f}", "before"),
                    (signed(measure_row(row, "difference")), "difference"),
                    (signed_span(measure_row(row, "difference")), "low"),
                )),
            )
            for row in sure
        ],
    )  # fmt: skip
