"""What a mix of options does, and which option brings it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from linesim.answers.wording import number
from linesim.questions.answer import Answer
from linesim.questions.verdicts import signed, signed_span
from linesim.report.charts.forest import forest
from linesim.report.compared.plain import (
    Piece,
    Record,
    gaps,
    measure_row,
    number_of,
    rows_of,
    shown,
    text_of,
)
from linesim.report.table import PageCell, PageColumn, PageTable, numeric, table


def mix(answer: Answer) -> Iterator[Piece | None]:
    """Yield each mix against the line as it is, the options that drive it, and where."""
    for measure, title in (
        ("jobs_per_shift", "Jobs a shift with each mix, against the line as it is"),
        ("overload", "Seconds of work over the limits per job with each mix, against the line as it is"),
    ):
        rows = [row for row in rows_of(answer, "mixes") if text_of(row, "measure") == measure]
        yield forest(
            f"mix-{measure.replace('_', '-')}",
            title,
            "One row a mix, minus the line as it is, paired over common draws; the intervals hold together.",
            "more jobs a shift" if measure == "jobs_per_shift" else "more seconds per job",
            gaps(rows, lambda row: text_of(row, "case"), "difference", "difference_low", "difference_high"),
        )
    drivers = [row for row in rows_of(answer, "drivers") if text_of(row, "measure") == "overload"]
    yield forest(
        "drivers",
        "Which option brings the overload",
        "Seconds of work over the limits per job, with the option minus without it; “by itself” is what "
        "remains of that once the options that need it are gone too.",
        "seconds per job",
        gaps(drivers, _driver, "mean"),
    )
    yield _overload_grid(rows_of(answer, "overload"))
    yield _spacing(rows_of(answer, "spacing"))
    yield _loads(rows_of(answer, "loads"))
    yield _built(rows_of(answer, "built"))


def _driver(row: Record) -> str:
    option = text_of(row, "option")
    return f"{option}, by itself" if text_of(row, "part") == "own" else option


def _spacing(rows: Sequence[Record]) -> PageTable | None:
    """Return what rules of the sequence give back; None without rows."""
    if not rows:
        return None
    return table(
        "What a rule of the sequence gives back: with the rule minus without it",
        ["rule", "figure", *numeric("change", "interval"), "verdict"],
        [
            (
                text_of(row, "rule"), shown(row).label,
                PageCell(signed(measure_row(row), scale=shown(row).scale), number_of(row, "mean")),
                PageCell(signed_span(measure_row(row), scale=shown(row).scale), number_of(row, "low")),
                text_of(row, "verdict"),
            )
            for row in rows
        ],
    )  # fmt: skip


def _loads(rows: Sequence[Record]) -> PageTable | None:
    """Return work against takt as it is and in the mix that was taken apart; None without rows."""
    if not rows:
        return None
    shares = {
        "as it is": "as_it_is_share", "in the mix": "load_share", "19 in 20 within": "p95_share",
        "heaviest": "heaviest_share", "jobs over takt": "over_takt_share",
    }  # fmt: skip
    return table(
        "Work per job against the takt, %: the shortest time at a station, the work per person of a crew",
        ["at", "kind", *numeric(*(f"{head}, %" for head in shares)), "heaviest variant"],
        [
            (
                text_of(row, "name"), text_of(row, "kind"),
                *(_percent(row, column) for column in shares.values()), _heaviest(row),
            )
            for row in rows
        ],
    )  # fmt: skip


def _heaviest(row: Record) -> str:
    """Return the heaviest variant, where not all weigh the same."""
    heaviest, mean = number_of(row, "heaviest_share") or 0.0, number_of(row, "load_share") or 0.0
    return text_of(row, "heaviest") if heaviest > mean * (1 + 1e-9) else "–"


def _built(rows: Sequence[Record]) -> PageTable | None:
    """Return the share of jobs of each model and with each option, a column a mix; None without rows."""
    if not rows:
        return None
    cases = list(dict.fromkeys(text_of(row, "case") for row in rows))
    found = {(text_of(row, "name"), text_of(row, "case")): row for row in rows}
    return table(
        "What is built, packages and needs included: % of the jobs",
        ["model or option", *numeric(*cases)],
        [
            (name, *(_percent(found.get((name, case), {}), "share") for case in cases))
            for name in dict.fromkeys(text_of(row, "name") for row in rows)
        ],
    )


def _percent(row: Record, column: str) -> PageCell:
    share = number_of(row, column)
    return PageCell("–") if share is None else PageCell(number(100 * share, 0), share)


def _overload_grid(rows: Sequence[Record]) -> PageTable | None:
    """Return the overload that each option brings at each station as a grid; None if none brings any.

    Numbers in shaded cells, see `linesim.report.sections.stops.stop_grid`.
    """
    found = {(text_of(r, "option"), text_of(r, "station")): number_of(r, "mean") or 0.0 for r in rows}
    stations = [s for s in dict.fromkeys(s for _, s in found) if any(found.get((o, s)) for o, _ in found)]
    options = list(dict.fromkeys(option for option, _ in found))
    most = max((abs(value) for value in found.values()), default=0.0)
    if not stations or not most:
        return None
    return PageTable(
        "Option (row) by station (column): seconds of work over the limit per job that the option brings; "
        "darker "
        "is more, either way",
        (PageColumn("option"), *(PageColumn(station, is_number=True) for station in stations)),
        tuple(
            (
                PageCell(option),
                *(
                    PageCell(number(value, 2) if value else "·", value, abs(value) / most)
                    for value in (found.get((option, station), 0.0) for station in stations)
                ),
            )
            for option in options
        ),
        upright=len(stations) > 8,
    )
