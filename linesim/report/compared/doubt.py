"""What the guesses could do: each input at the ends of its range, against the line as it is."""

from __future__ import annotations

from collections.abc import Iterator

from linesim.questions.answer import Answer
from linesim.report.charts.forest import forest
from linesim.report.compared.plain import Piece, Record, gaps, named, number_of, rows_of, shown, text_of


def doubt(answer: Answer) -> Iterator[Piece | None]:
    """Yield the inputs in their order of rank, both ends of each, and all ends together."""
    rows = [row for row in rows_of(answer, "inputs") if number_of(row, "change") is not None]
    if rows:
        figure = shown(rows[0])
        yield forest(
            "doubt",
            f"What each input does at the ends of its range: {figure.label}",
            "Two rows an input, one an end, the input that moves most first; the line with it minus the line "
            "as it "
            "is, paired over common draws.",
            f"more {figure.label}",
            gaps(rows, _label, "change", scale=figure.scale),
        )
    yield named(
        answer,
        "together",
        "The line as it is; then everything at its worse end at once, and at its better end, as changes",
    )


def _label(row: Record) -> str:
    factor = number_of(row, "factor")
    return f"{text_of(row, 'input')}: {text_of(row, 'end') if factor is None else f'{factor:g} times'}"
