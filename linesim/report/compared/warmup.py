"""Where the start of a run stops mattering."""

from __future__ import annotations

from collections.abc import Iterator

from linesim.report.charts.averages import Series, averages
from linesim.report.compared.plain import Piece, Record, named, number_of, rows_of, text_of
from linesim.studies.answer import Answer


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
    yield named(answer, "cuts", "Where each series should be cut, in hours of working time")
