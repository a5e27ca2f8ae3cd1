"""An Excel workbook of an answer: plain tables that a planner can filter and pivot."""

from __future__ import annotations

import io
import math
import re
import zipfile
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

from linesim.answers.document import Document
from linesim.answers.table import Flat, safe_cell
from linesim.answers.wording import count_of
from linesim.measures import DEFINITIONS
from linesim.questions.cautions import CAUTION
from linesim.questions.run.answer import RunAnswer
from linesim.report.charts.minutes import STATES, state_of
from linesim.report.page_input import Told
from linesim.runs.result import Result

if TYPE_CHECKING:
    from openpyxl import Workbook
    from openpyxl.worksheet.worksheet import Worksheet

MOST_ROWS = 1_048_575  #: Rows below the heading that a sheet of Excel can hold.
MOST_LETTERS = 32_767  #: Letters that a cell can hold.
_WIDEST = 60
_NOT_IN_CELLS = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff]")
_NOT_IN_NAMES = re.compile(r"[\\/*?:\[\]]")
#: Every file in the workbook gets this time: the same answer gives the same bytes.
_WHEN, _WHEN_TEXT = (1980, 1, 1, 0, 0, 0), "1980-01-01T00:00:00Z"


class WorkbookSheet(NamedTuple):
    """One sheet.

    Attributes:
        name: Its name, at most 31 letters.
        says: What it holds, one sentence for the first sheet.
        columns: Headings, with units.
        rows: One tuple a row; None where nothing is known.
    """

    name: str
    says: str
    columns: tuple[str, ...]
    rows: tuple[tuple[Flat, ...], ...]


def answer_workbook(answer: Document) -> bytes:
    """Return the workbook of an answer: its sentences on the first sheet, then a sheet a table.

    That of a run also has sheets by stop, station, crew and buffer, and what each measure means. Numbers are
    numbers, units stand in the headings or in a column of their own, and no text is taken for a formula. The
    same answer gives the same bytes.
    """
    card = answer.card
    facts = [
        *(("answer", text) for text in answer.sentences),
        *(("caution", text) for text in dict.fromkeys((*answer.cautions, CAUTION))),
        ("scenario", card.file),
        ("seed", str(card.seed)),
        ("confidence of intervals", f"{100 * card.confidence:g} %"),
        ("made with", ", ".join(f"{name} {version}" for name, version in card.versions)),
    ]
    sheets = [WorkbookSheet(t.name, t.says, t.flat_columns, tuple(t.flat_rows)) for t in answer.tables_]
    title = f"{answer.study}: {card.title or card.file}"
    if isinstance(answer, RunAnswer):
        (case,), title = card.cases, card.title or card.file
        facts += [("laid over it", line) for line in case.changes]
        facts.append(("fingerprint", case.fingerprint))
        facts.append(("replications", count_of(case.replications, "replication")))
        told = Told(answer)
        sheets += [_stops(answer.result), _stations(told), _crews(told), _buffers(told), _definitions()]
    return _written(title, facts, sheets)


def _stops(result: Result) -> WorkbookSheet:
    columns = ("place", "cause", "stop [min/shift]", "low [min/shift]", "high [min/shift]", "turns [1/shift]")
    rows = tuple(
        (
            row.where,
            row.cause,
            row.mean,
            row.low,
            row.high,
            result.row("stop_turns", row.where, row.cause).mean,
        )
        for row in result.rows("line_stop")
        if row.cause
    )
    says = "Line stop by the place and cause that began it; each minute counts once. Turns: see `stop_turns`."
    return WorkbookSheet("stops", says, columns, rows)


def _stations(told: Told) -> WorkbookSheet:
    plan, result = told.plan, told.result
    index = {name: s for s, name in enumerate(plan.names.station)}
    over = {row.where: row for row in result.rows("overruns")}
    columns = ("section", "station", "takt [s]", "shortest time, mean [s]", "shortest time, heaviest [s]",
               "work content [person-s]", *(f"{state} [min/shift]" for state in STATES),
               "overruns [1/100 jobs]", "overload [s/job]")  # fmt: skip
    rows = []
    for section, _, stations in told.stations:
        for name in stations:
            load = told.loads.stations[index[name]]
            minutes = (state_of(result, name, state).mean for state in STATES)
            paced = over.get(name)
            rows.append(
                (
                    section, name, load.takt_s, load.cycle_s, load.worst_s, load.work_s,
                    *(None if share is None else share * told.shift_min for share in minutes),
                    None if paced is None else paced.mean,
                    None if paced is None else result.row("overload", name).mean,
                )
            )  # fmt: skip
    return WorkbookSheet(
        "stations", "Stations in line order: work, and where a shift's minutes go.", columns, tuple(rows)
    )


def _crews(told: Told) -> WorkbookSheet:
    result = told.result
    states = list(dict.fromkeys(row.cause for row in result.rows("operator_state")))
    columns = ("crew", "people", "work per person [s/job]", "takt [s]", "busy [share]",
               *(f"{state} [min/shift]" for state in states))  # fmt: skip
    rows = []
    for load in told.loads.crews:
        shares = (result.row("operator_state", load.name, state).mean for state in states)
        rows.append(
            (
                load.name, load.count, load.work_s / load.count if load.count else None, load.takt_s,
                result.row("crew_busy", load.name).mean,
                *(None if share is None else share * told.shift_min for share in shares),
            )
        )  # fmt: skip
    return WorkbookSheet(
        "crews", "Crews: work of one person, and where one person's minutes go.", columns, tuple(rows)
    )


def _buffers(told: Told) -> WorkbookSheet:
    plan, result = told.plan, told.result
    columns = ("buffer", "places", "jobs in it", "empty [share of hours]", "full [share of hours]")
    rows = tuple(
        (
            name, int(plan.buffers.capacity[b]), result.row("buffer_level", name).mean,
            result.row("buffer_empty", name).mean, result.row("buffer_full", name).mean,
        )
        for b, name in enumerate(plan.names.buffer)
    )  # fmt: skip
    return WorkbookSheet("buffers", "How full the buffers are in the hours of what follows.", columns, rows)


def _definitions() -> WorkbookSheet:
    rows = tuple((name, says.unit, says.where, says.says) for name, says in DEFINITIONS.items())
    return WorkbookSheet(
        "definitions", "What each measure means.", ("measure", "unit", "where", "meaning"), rows
    )


def _written(title: str, facts: Iterable[tuple[str, str]], sheets: Sequence[WorkbookSheet]) -> bytes:
    """Return a workbook as bytes."""
    from openpyxl import Workbook

    book = Workbook()
    book.properties.creator = "linesim"
    first = book.worksheets[0]
    first.title = "read me"
    notes: list[tuple[str, str]] = [("", title), *facts, ("", "")]
    for sheet in sheets:
        left_out = len(sheet.rows) > MOST_ROWS
        says = (
            f"{sheet.says} Left out: {len(sheet.rows)} rows do not fit into a sheet."
            if left_out
            else sheet.says
        )
        notes.append((sheet.name, says))
        if not left_out:
            _fill(book, sheet)
    for number, pair in enumerate(notes, start=1):
        for column, text in enumerate(pair, start=1):
            _put(first, number, column, text)
    first.column_dimensions["A"].width, first.column_dimensions["B"].width = 26, 110
    out = io.BytesIO()
    book.save(out)
    return _without_time(out.getvalue())


def _fill(book: Workbook, sheet: WorkbookSheet) -> None:
    from openpyxl.styles import Font
    from openpyxl.utils import get_column_letter

    page = book.create_sheet(_NOT_IN_NAMES.sub("_", sheet.name)[:31] or "table")
    for k, name in enumerate(sheet.columns, start=1):
        _put(page, 1, k, name)
        page.cell(1, k).font = Font(bold=True)
        longest = max(
            (len(str(row[k - 1])) for row in sheet.rows[:200] if isinstance(row[k - 1], str)), default=8
        )
        page.column_dimensions[get_column_letter(k)].width = min(_WIDEST, max(longest, len(name)) + 3)
    for number, row in enumerate(sheet.rows, start=2):
        for k, cell in enumerate(row, start=1):
            _put(page, number, k, cell)
    page.freeze_panes = "A2"
    if sheet.columns:
        page.auto_filter.ref = f"A1:{get_column_letter(len(sheet.columns))}{len(sheet.rows) + 1}"


def _put(page: Worksheet, row: int, column: int, value: Flat) -> None:
    """Set a cell: a number as a number, a text as nothing but text, what is unknown not at all."""
    if value is None or value == "" or (isinstance(value, float) and not math.isfinite(value)):
        return
    cell: Any = page.cell(row, column)
    if isinstance(value, str):
        text = safe_cell(_NOT_IN_CELLS.sub("\ufffd", value)[: MOST_LETTERS - 1])
        cell.value = text
        cell.data_type = "s"  # whatever it begins with
    else:
        cell.value = value


def _without_time(book: bytes) -> bytes:
    """Return a workbook with one time on everything in it, so that the same tables are the same bytes."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(book)) as made, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as steady:
        for info in made.infolist():
            data = made.read(info)
            if info.filename == "docProps/core.xml":
                data = re.sub(rb"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ", _WHEN_TEXT.encode(), data)
            kept = zipfile.ZipInfo(info.filename, _WHEN)
            kept.compress_type, kept.external_attr = zipfile.ZIP_DEFLATED, 0o644 << 16
            steady.writestr(kept, data)
    return out.getvalue()
