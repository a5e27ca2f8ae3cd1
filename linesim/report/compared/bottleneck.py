"""What a faster station would bring, and whom other ways of looking name."""

from __future__ import annotations

from collections.abc import Iterator

from linesim.questions.answer import Answer
from linesim.report.charts.forest import forest
from linesim.report.compared.plain import TECHNICAL, Piece, gaps, named, number_of, rows_of, text_of


def bottleneck(answer: Answer) -> Iterator[Piece | None]:
    """Yield what the line gains from each station made faster, and whom each method names."""
    rows = [row for row in rows_of(answer, "stations") if text_of(row, "what") == "gain"]
    rows.sort(key=lambda row: -(number_of(row, "mean") or 0.0))
    yield forest(
        "speed-gains",
        "What the line would gain if one station were faster",
        "One row a station, the largest gain first, paired over common draws.",
        f"more {_per_shift(text_of(rows[0], 'unit'))}" if rows else "",
        [gap._replace(verdict=text_of(row, "note")) for row in rows
         for gap in gaps([row], lambda r: text_of(r, "station"), "mean")],
    )  # fmt: skip
    more = sorted(rows_of(answer, "resources"), key=lambda row: -(number_of(row, "mean") or 0.0))
    yield forest(
        "one-more-gains",
        "What the line would gain from one more of a crew, tool or carrier",
        "One row each, the largest gain first, paired over common draws.",
        f"more {_per_shift(text_of(more[0], 'unit'))}" if more else "",
        [gap._replace(verdict=text_of(row, "note")) for row in more
         for gap in gaps([row], lambda r: f"{text_of(r, 'kind')} {text_of(r, 'name')}", "mean")],
    )  # fmt: skip
    # A method is here a way of looking, in other tables how an interval was found.
    yield named(answer, "methods", "Whom each way of looking names", without=TECHNICAL - {"method"})


def _per_shift(unit: str) -> str:
    return "jobs a shift" if unit == "jobs" else unit
