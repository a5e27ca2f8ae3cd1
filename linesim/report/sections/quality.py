"""How good is it?"""

from __future__ import annotations

from linesim.answers.wording import mean_text, number
from linesim.report.charts.bay_hours import bay_hours
from linesim.report.charts.bays import bays
from linesim.report.page_input import Told
from linesim.report.parts import PageSection, fold, section
from linesim.report.table import PageCell, PageColumn, PageTable, estimated, numeric, table


def quality(told: Told) -> PageSection | None:
    """Return quality at line-off, made at against found at, and the bays."""
    plan = told.plan
    title = "How good is what it makes?"
    if not plan.names.fault and not plan.names.bay:
        return section(
            "quality", title, "No task of this scenario can leave a fault, so nothing is said of quality."
        )
    return section(
        "quality",
        title,
        told.view("quality"),
        fold("Faults: where made, where found, by task", fault_grid(told), _faults(told)),
        fold("The bays, on average and hour by hour", bays(told), bay_hours(told)),
    )


def fault_grid(told: Told) -> PageTable | None:
    """Return faults by the station that made them and the place that found them; None without any."""
    found = {(row.where, row.cause): row for row in told.result.rows("fault_grid") if row.mean}
    if not found:
        return None
    order = [name for _, _, stations in told.stations for name in stations]
    made = [name for name in order if any(where == name for where, _ in found)]
    places = list(dict.fromkeys(place for _, place in found))
    rank = {name: i for i, name in enumerate(order)}
    ends = {"at once": -1, "not found": len(order) + 1}
    places.sort(key=lambda place: ends.get(place, rank.get(place.partition(".")[0], len(order))))
    most = max(row.mean or 0.0 for row in found.values())
    rows = []
    for name in made:
        cells = []
        for place in places:
            row = found.get((name, place))
            mean = 0.0 if row is None else row.mean or 0.0
            cells.append(PageCell("·" if row is None else mean_text(row.estimate), mean, mean / most))
        total = sum(cell.value or 0.0 for cell in cells)
        rows.append((PageCell(name), *cells, PageCell(number(total, 2), total)))
    return PageTable(
        "Made at (row) against found at (column): faults per hundred jobs; darker is more",
        (
            PageColumn("made at"),
            *(PageColumn(place, is_number=True) for place in places),
            PageColumn("sum", is_number=True),
        ),
        tuple(rows),
        upright=len(places) > 5,
    )


def _faults(told: Told) -> PageTable | None:
    result = told.result
    made = [row for row in result.rows("faults_made") if row.mean]
    if not made:
        return None
    return table(
        "Faults by task, per hundred jobs",
        ["fault", *numeric("made", "interval", "found", "not put right", "gone unfound", "interval")],
        [
            (
                row.where.removesuffix(".fault"),
                *estimated(row.estimate), estimated(result.estimate("faults_found", row.where))[0],
                estimated(result.estimate("faults_not_put_right", row.where))[0],
                *estimated(result.estimate("faults_escaped", row.where)),
            )
            for row in made
        ],
    )  # fmt: skip
