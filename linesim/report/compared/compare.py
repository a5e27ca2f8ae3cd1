"""What some cases do that the base does not."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from linesim.report.charts.forest import forest
from linesim.report.compared.plain import (
    Piece,
    Record,
    Shown,
    estimates,
    gaps,
    named,
    number_of,
    rows_of,
    shown,
    text_of,
)
from linesim.report.table import Cell, Column, Table
from linesim.studies.answer import Answer
from linesim.studies.figures import number

_MOST_MOVED = 30


def compare(answer: Answer) -> Iterator[Piece | None]:
    """Yield the deciding figure of each case against the base, and what else moved."""
    rows = rows_of(answer, "differences")
    if not rows:
        return
    figure = shown(rows[0])
    deciding = [row for row in rows if shown(row).key == figure.key]
    base = answer.card.cases[0].name if answer.card.cases else "the base"
    yield forest(
        "differences",
        f"What each change does: {figure.label}",
        f"One row a case, minus {base}, paired over common draws; the intervals hold together.",
        f"more {figure.label}",
        gaps(deciding, lambda row: text_of(row, "case"), "difference", scale=figure.scale),
    )
    yield _moved(rows, figure)
    yield estimates(answer, "levels", "Each case by itself")
    yield named(answer, "changes", "What differs in the input")


def _moved(rows: Sequence[Record], figure: Shown) -> Table | None:
    """Return what else surely moved, the surest first."""

    def sureness(row: Record) -> float:
        half = number_of(row, "half_width")
        return abs(number_of(row, "difference") or 0.0) / (half or 1e-300)

    sure = [
        row for row in rows if text_of(row, "verdict") in ("higher", "lower") and shown(row).key != figure.key
    ]
    sure.sort(key=sureness, reverse=True)
    if not sure:
        return None
    cells = []
    for row in sure[:_MOST_MOVED]:
        asked = shown(row)
        gap = gaps([row], lambda _: "", "difference", scale=asked.scale)[0]
        before, after = ((number_of(row, name) or 0.0) * asked.scale for name in ("base_mean", "case_mean"))
        cells.append(
            (
                Cell(text_of(row, "case")), Cell(asked.label), Cell(number(before, 2), before),
                Cell(number(after, 2), after), Cell(gap.text(), gap.mean),
            )
        )  # fmt: skip
    more = f" The first {_MOST_MOVED} of {len(sure)}." if len(sure) > _MOST_MOVED else ""
    heads = (
        Column("case"),
        Column("figure"),
        Column("base", True),
        Column("case", True),
        Column("change", True),
    )
    return Table(f"What else surely moved, the surest first.{more}", heads, tuple(cells))
