"""What a mix of options does, and which option brings it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from linesim.report.charts.forest import forest
from linesim.report.compared.plain import Piece, Record, gaps, named, number_of, rows_of, text_of
from linesim.report.table import Cell, Column, Table
from linesim.studies.answer import Answer
from linesim.studies.figures import number


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
        "Seconds of work over the limits per job, with the option minus without it.",
        "seconds per job",
        gaps(drivers, lambda row: text_of(row, "option"), "mean"),
    )
    yield _overload_grid(rows_of(answer, "overload"))
    for name in ("spacing", "loads", "built"):
        yield named(answer, name)


def _overload_grid(rows: Sequence[Record]) -> Table | None:
    """Return the overload that each option brings at each station as a grid; None if none brings any.

    Numbers in shaded cells, see `linesim.report.sections.stops.stop_grid`.
    """
    found = {(text_of(r, "option"), text_of(r, "station")): number_of(r, "mean") or 0.0 for r in rows}
    stations = [s for s in dict.fromkeys(s for _, s in found) if any(found.get((o, s)) for o, _ in found)]
    options = list(dict.fromkeys(option for option, _ in found))
    most = max((abs(value) for value in found.values()), default=0.0)
    if not stations or not most:
        return None
    return Table(
        "Option (row) by station (column): seconds of work over the limit per job that the option brings; "
        "darker "
        "is more, either way",
        (Column("option"), *(Column(station, is_number=True) for station in stations)),
        tuple(
            (
                Cell(option),
                *(
                    Cell(number(value, 2) if value else "·", value, abs(value) / most)
                    for value in (found.get((option, station), 0.0) for station in stations)
                ),
            )
            for option in options
        ),
        upright=len(stations) > 8,
    )
