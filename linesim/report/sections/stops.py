"""What stops it?"""

from __future__ import annotations

from linesim.answers.wording import number
from linesim.questions.run.sentences import cause_in_words
from linesim.report.charts.losses import losses_chart
from linesim.report.page_input import Told
from linesim.report.parts import PageSection, fold, section
from linesim.report.table import PageCell, PageColumn, PageTable

_FAINT = 0.0005  #: Minutes below this are nothing.


def stops(told: Told) -> PageSection | None:
    """Return stop minutes by section, place and cause, and what happens at the stations' limits."""
    sections = told.view("sections")
    if sections is None:
        return section(
            "stops",
            "What stops it?",
            "No section has a conveyor that could stop: every station hands on by itself. What holds jobs up "
            "is in the next section.",
        )
    return section(
        "stops",
        "What stops it?",
        losses_chart(told),
        fold("Minutes, section by section and station by station", sections, stop_grid(told)),
        fold("Where work does not fit, and who calls for help", told.view("limits"), told.view("calls")),
    )


def stop_grid(told: Told) -> PageTable | None:
    """Return stop minutes as a grid of place by cause, in line order; None if nothing stopped.

    Numbers in shaded cells: a heat map in the sense of L. Wilkinson and M. Friendly, The history of the
    cluster heat map (2009), in which the number carries the meaning and the shade only guides the eye.
    """
    result = told.result
    found = {(row.where, row.cause): row for row in result.rows("line_stop") if row.cause}
    kept = {key: row for key, row in found.items() if (row.mean or 0.0) > _FAINT}
    if not kept:
        return None
    places = [place for section, _, stations in told.stations for place in (section, *stations)]
    places = [place for place in places if any(where == place for where, _ in kept)]
    causes = [cause for cause in told.plan.names.cause if any(why == cause for _, why in kept)]
    most = max(row.mean or 0.0 for row in kept.values())
    rows = []
    for place in places:
        cells = []
        for cause in causes:
            row = kept.get((place, cause))
            mean = 0.0 if row is None else row.mean or 0.0
            cells.append(PageCell(_minutes(mean), mean, mean / most))
        total = sum(cell.value or 0.0 for cell in cells)
        kind = " (conveyor)" if place in result.run.sections else ""
        rows.append((PageCell(f"{place}{kind}"), *cells, PageCell(_minutes(total), total)))
    sums = [sum((row[1 + k].value or 0.0) for row in rows) for k in range(len(causes) + 1)]
    return PageTable(
        "Station by cause: minutes of line stop per shift, in line order. Each minute counts once, for what "
        "began "
        "the stop; darker is more.",
        (
            PageColumn("place"),
            *(PageColumn(cause_in_words(cause), is_number=True) for cause in causes),
            PageColumn("sum", is_number=True),
        ),
        tuple(rows),
        foot=(PageCell("sum"), *(PageCell(number(value, 1), value) for value in sums)),
        upright=len(causes) > 8,
    )


def _minutes(value: float) -> str:
    if value < _FAINT:
        return "·"
    return number(value, 1) if value >= 0.05 else "<0.1"
