"""Many cases: selectors, every case against the line as it is, and what each factor does."""

from __future__ import annotations

from collections.abc import Iterator

from linesim.report.charts.forest import forest
from linesim.report.compared.plain import Piece, Record, gaps, number_of, rows_of, shown, text_of
from linesim.report.compared.what_if import what_if
from linesim.studies.answer import Answer


def effects(answer: Answer) -> Iterator[Piece | None]:
    """Yield what each factor does, and what pairs do together."""
    cases = rows_of(answer, "cases")
    if not cases:
        return
    figure = shown(cases[0])
    for name, title in (
        ("effects", f"What each factor does: {figure.label}"),
        ("interactions", f"What pairs of factors do together, beyond the sum: {figure.label}"),
    ):
        rows = sorted(rows_of(answer, name), key=lambda row: -abs(number_of(row, "effect") or 0.0))
        yield forest(
            name,
            title,
            "The largest first, averaged over the other factors; the intervals hold together.",
            f"more {figure.label}",
            gaps(rows, _effect_label, "effect", scale=figure.scale),
        )


def _effect_label(row: Record) -> str:
    return f"{text_of(row, 'factor')}: {text_of(row, 'before')} → {text_of(row, 'after')}"


def sweep(answer: Answer) -> Iterator[Piece | None]:
    """Yield the selectors, every case against the line as it is, and what each factor does."""
    yield what_if(answer)
    rows = rows_of(answer, "against_base")
    if rows:
        figure = shown(rows[0])
        sign = 1 if figure.more_is_better else -1
        rows.sort(key=lambda row: -sign * (number_of(row, "difference") or 0.0))
        yield forest(
            "against-base",
            f"Every case against the line as it is: {figure.label}",
            "The best first, paired over common draws; the intervals hold together.",
            f"more {figure.label}",
            gaps(rows, lambda row: text_of(row, "case"), "difference", scale=figure.scale),
        )
    yield from effects(answer)
