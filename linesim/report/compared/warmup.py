"""Where the start of a run stops mattering."""

from __future__ import annotations

from collections.abc import Iterator

from linesim.answers.wording import number
from linesim.questions.answer import Answer
from linesim.report.charts.averages import Series, averages
from linesim.report.compared.plain import Piece, Record, number_of, rows_of, text_of
from linesim.report.table import PageCell, PageTable, numeric, rounded, table


def warmup(answer: Answer) -> Iterator[Piece | None]:
    """Yield the moving averages with their cuts."""
    cuts = {text_of(row, "series"): number_of(row, "cut_h") for row in rows_of(answer, "cuts")}
    by_name: dict[str, list[Record]] = {}
    for row in rows_of(answer, "moving_average"):
        by_name.setdefault(text_of(row, "series"), []).append(row)
    yield averages(
        [
            Series(
                name,
                text_of(rows[0], "unit"),
                tuple(number_of(row, "start_h") or 0.0 for row in rows),
                tuple(number_of(row, "mean") or 0.0 for row in rows),
                tuple(v for row in rows if (v := number_of(row, "smoothed")) is not None),
                cuts.get(name),
            )
            for name, rows in by_name.items()
        ]
    )
    yield _cuts(rows_of(answer, "cuts"))


def _cuts(rows: list[Record]) -> PageTable | None:
    """Return where each series should be cut; None without rows."""
    if not rows:
        return None
    return table(
        "Where each series should be cut (MSER-5), in hours of working time",
        ["series", *numeric("cut, h", "cuts of single replications, h")],
        [
            (
                text_of(row, "series"),
                PageCell("none: not settled")
                if (cut := number_of(row, "cut_h")) is None
                else rounded(cut, 2),
                PageCell(
                    " to ".join(
                        number(end, 2)
                        for name in ("alone_low_h", "alone_high_h")
                        if (end := number_of(row, name)) is not None
                    )
                ),
            )
            for row in rows
        ],
    )
