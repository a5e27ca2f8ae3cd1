"""Buffer places: the curves, and what one place more adds."""

from __future__ import annotations

from collections.abc import Iterator

from linesim.questions.answer import Answer
from linesim.report.charts.curve import Curve, CurvePoint, curves
from linesim.report.charts.forest import forest
from linesim.report.compared.plain import Piece, gaps, named, number_of, rows_of, shown, text_of


def buffers(answer: Answer) -> Iterator[Piece | None]:
    """Yield the curves, the steps, and the best split."""
    now = {text_of(row, "buffer"): text_of(row, "places") for row in rows_of(answer, "where")}
    points: dict[str, list[CurvePoint]] = {}
    rows = rows_of(answer, "curve")
    for row in rows:
        mean, name = number_of(row, "mean"), text_of(row, "buffer")
        if name and mean is not None:
            level = CurvePoint(text_of(row, "places"), mean, number_of(row, "low"), number_of(row, "high"))
            points.setdefault(name, []).append(level)
    if not rows:
        return
    figure = shown(rows[0])
    yield curves(
        figure.label, [Curve(name, now.get(name, ""), tuple(found)) for name, found in points.items()]
    )
    steps = [row for row in rows_of(answer, "steps") if number_of(row, "gain_per_place") is not None]
    yield forest(
        "steps",
        f"What one place more adds: {figure.label}",
        "One row a step from fewer to more places, per place added, paired over common draws; all hold "
        "together.",
        f"more {figure.label}, per place",
        gaps(
            steps,
            lambda row: (
                f"{text_of(row, 'buffer') or 'all buffers'}: {text_of(row, 'from_places')} → "
                f"{text_of(row, 'to_places')}"
            ),
            "gain_per_place", "per_place_low", "per_place_high",
        ),
    )  # fmt: skip
    for name in ("best", "fewest", "where"):
        yield named(answer, name)
