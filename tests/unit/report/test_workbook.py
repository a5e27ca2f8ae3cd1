"""The Excel workbook: numbers are numbers, units stand in the headings, text is nothing but text."""

import io
import math

import openpyxl
import pytest

from linesim.answers.card import StudyCard
from linesim.answers.document import Document
from linesim.answers.table import Column, Table
from linesim.report.workbook import answer_workbook
from tests.unit.report.small import renamed, small_told


def opened(data: bytes) -> openpyxl.Workbook:
    """Return a workbook as a spreadsheet program would read it."""
    return openpyxl.load_workbook(io.BytesIO(data))


def records(book: openpyxl.Workbook, name: str) -> list[dict[str, object]]:
    """Return the rows of a sheet with the names of its columns."""
    head, *rows = book[name].values
    return [dict(zip(map(str, head), row, strict=True)) for row in rows]


@pytest.fixture(scope="module")
def data() -> bytes:
    """Return the workbook of a run."""
    told = small_told()
    return answer_workbook(told.answer)


def answer_with(*rows: tuple[str | float | None, ...]) -> bytes:
    """Return the workbook of an answer with one table of two columns."""
    table = Table("things", (Column("name"), Column("size_mm", "number")), rows)
    card = StudyCard("A line", "line.toml", 1, 0.95, (), (), (("linesim", "0"),))
    return answer_workbook(Document("oddity", ("=1+1 is what it says.",), (table,), (), (), card))


def test_sheets_of_a_run(data: bytes) -> None:
    """A workbook begins with what it holds; every other sheet is one table with a heading and a filter."""
    book = opened(data)
    assert book.sheetnames == [
        "read me", "measures", "replications", "shifts", "stops", "stations", "crews", "buffers",
        "definitions",
    ]  # fmt: skip
    for sheet in book.worksheets[1:]:
        heads = [cell.value for cell in sheet[1]]
        assert len(heads) == len(set(heads)), sheet.title
        assert sheet.freeze_panes == "A2"
        assert sheet.auto_filter.ref
        assert not sheet.merged_cells.ranges


def test_numbers_are_numbers(data: bytes) -> None:
    """The measures in the workbook are those of the result, as numbers, and what is unknown is empty."""
    rows = records(opened(data), "measures")
    result = small_told().result
    assert len(rows) == len(result.measures)
    for row, known in zip(rows, result.measures, strict=True):
        assert row["measure"] == known.measure
        assert row["mean"] == (None if known.mean is None else pytest.approx(known.mean, rel=1e-12))


def test_units_stand_in_headings(data: bytes) -> None:
    """A column of numbers that is no count says its unit, in square brackets if people read it first."""
    book = opened(data)
    bare = {"replication", "shift", "jobs", "reworked", "people", "places", "jobs in it"}
    for name in ("shifts", "stops", "stations", "crews", "buffers"):
        for column in book[name].iter_cols():
            if any(isinstance(cell.value, float) for cell in column[1:]):
                head = str(column[0].value)
                assert head in bare or head.endswith("]") or head.startswith("stop_min_"), f"{name}: {head}"
    assert "unit" in records(book, "measures")[0]


def test_stations_fill_the_shift(data: bytes) -> None:
    """The minutes of each station's states add up to the shift."""
    for row in records(opened(data), "stations"):
        minutes = [
            value
            for head, value in row.items()
            if head.endswith("[min/shift]") and isinstance(value, int | float)
        ]
        assert math.fsum(minutes) == pytest.approx(60)


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "=HYPERLINK(x)"])
def test_text_is_never_a_formula(text: str) -> None:
    """Text that a spreadsheet would take for a formula is text, and begins with an apostrophe."""
    book = opened(answer_with((text, 1.0)))
    cell = book["things"]["A2"]
    assert cell.data_type == "s"
    assert cell.value == "'" + text
    assert book["things"]["B2"].value == 1
    assert book["read me"]["B2"].data_type == "s"


def test_hostile_names_are_text() -> None:
    """A station that is called like a formula does not become one, in whatever sheet."""
    told = renamed(small_told(), {"K1": "=cmd|'/c calc'!A1", "belt": "@x"})
    for sheet in opened(answer_workbook(told.answer)).worksheets:
        assert not [cell.coordinate for row in sheet for cell in row if cell.data_type == "f"]


def test_what_a_cell_cannot_hold_is_replaced() -> None:
    """Control letters become a sign for what cannot be shown, numbers that are not finite stay empty."""
    book = opened(answer_with(("a\x00b\x0b", math.inf), ("c" * 40_000, math.nan)))
    assert book["things"]["A2"].value == "a\ufffdb\ufffd"
    assert book["things"]["B2"].value is None
    assert len(book["things"]["A3"].value) < 32_768


def test_the_same_answer_gives_the_same_bytes(data: bytes) -> None:
    """A workbook holds no clock: made again it is the same, byte for byte."""
    told = small_told()
    assert answer_workbook(told.answer) == data
