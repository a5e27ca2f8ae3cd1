"""Whether the line looks like the plant: its shifts beside the simulated range, and the means."""

from __future__ import annotations

from collections.abc import Iterator

from linesim.questions.answer import Answer
from linesim.report.charts.forest import forest
from linesim.report.charts.plant import Recorded, plant
from linesim.report.compared.plain import Piece, Record, gaps, number_of, rows_of, text_of
from linesim.report.table import PageCell, PageTable, numeric, rounded, table


def validate(answer: Answer) -> Iterator[Piece | None]:
    """Yield the plant's shifts against the simulated range, and the differences of the means."""
    by_figure: dict[str, list[Record]] = {}
    for row in rows_of(answer, "shifts"):
        if number_of(row, "plant") is not None:
            by_figure.setdefault(text_of(row, "figure"), []).append(row)
    yield plant(
        [
            Recorded(
                figure,
                tuple(text_of(row, "shift") for row in rows),
                tuple(number_of(row, "plant") or 0.0 for row in rows),
                (number_of(rows[0], "p10") or 0.0, number_of(rows[0], "p90") or 0.0),
            )
            for figure, rows in by_figure.items()
        ]
    )
    for row in rows_of(answer, "figures"):
        name = text_of(row, "figure")
        yield forest(
            f"plant-{_letters(name)}",
            f"Simulated line minus plant: {name}",
            "The mean of a simulated shift minus the mean of the plant's shifts, with its interval.",
            f"more {name} a shift than the plant",
            gaps([row], lambda one: text_of(one, "figure"), "difference"),
        )
    yield _verdicts(rows_of(answer, "figures"))


def _verdicts(rows: list[Record]) -> PageTable | None:
    """Return what each recorded figure says, in a few columns."""
    if not rows:
        return None
    numbers = ("plant_mean", "line_mean", "difference", "matters_from")
    return table(
        "What each recorded figure says, per shift",
        ["figure", *numeric("plant", "line", "difference", "matters from"), "verdict"],
        [
            (
                text_of(row, "figure"),
                *(
                    PageCell("–") if (v := number_of(row, name)) is None else rounded(v, 2)
                    for name in numbers
                ),
                text_of(row, "verdict"),
            )
            for row in rows
        ],
    )


def _letters(name: str) -> str:
    return "".join(letter if letter.isascii() and letter.isalnum() else "-" for letter in name)
