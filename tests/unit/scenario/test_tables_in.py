"""Tables from CSV files and Excel workbooks."""

import io
import zipfile
from pathlib import Path

import openpyxl
import pytest

from linesim.scenario.files import FoundFile
from linesim.scenario.grid import COLUMNS_LIMIT, CellGrid, read_grid
from linesim.scenario.problems import UnreadableError


def grid(data: bytes | str, name: str = "t.csv") -> CellGrid:
    """Return the table in some bytes."""
    return read_grid(
        FoundFile(name, Path(name), data.encode() if isinstance(data, str) else data), prefer="tasks"
    )


def workbook(*sheets: tuple[str, list[list[object]]]) -> bytes:
    """Return the bytes of a workbook with these sheets."""
    book = openpyxl.Workbook()
    book.remove(book.active)
    for title, rows in sheets:
        sheet = book.create_sheet(title)
        for row in rows:
            sheet.append(row)
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()


def texts(table: CellGrid) -> list[list[str]]:
    """Return a table as plain texts, heading first."""
    return [[cell.text for cell in row] for row in (table.heading, *table.rows)]


@pytest.mark.parametrize("comma", [",", ";", "\t"])
@pytest.mark.parametrize("line_end", ["\n", "\r\n", "\r"])
def test_separators_and_line_ends(comma: str, line_end: str) -> None:
    """Commas, semicolons and tabs, and the line ends of every system, give the same table."""
    text = line_end.join([comma.join(["station", "after"]), comma.join(["A1", '"x;y"']), ""])
    assert texts(grid(text)) == [["station", "after"], ["A1", "x;y"]]


def test_blanks_marks_and_empty_rows() -> None:
    """A byte-order mark, blanks around cells, empty rows and missing cells at the end do no harm."""
    table = grid("\ufeffstation, task ,people\n\n A1 ,fit\n,,\nA2,seal,2\n")
    assert texts(table) == [["station", "task", "people"], ["A1", "fit", ""], ["A2", "seal", "2"]]
    assert [row[0].line for row in table.rows] == [3, 5]
    assert table.rows[1][2].place == "row 5, people"


def test_quoted_cells_over_lines_count_lines() -> None:
    """A cell over two lines moves the rows after it down by one."""
    table = grid('a,b\n"1\n2",x\n3,y\n')
    assert [row[0].line for row in table.rows] == [2, 4]


@pytest.mark.parametrize(
    ("text", "code", "line"),
    [
        ("", "empty-table", None),
        ("\n\n\n", "empty-table", None),
        ("a,b\n1,2,3\n", "ragged-row", 2),
        ('a,b\n"1,2\n', "no-table", 2),
        ('a,b\n"1"2,3\n', "no-table", 2),
        (",".join(f"c{n}" for n in range(COLUMNS_LIMIT + 1)), "too-large", None),
        ("a\n" + "x" * 200_000, "no-table", 2),
    ],
)
def test_what_is_no_table(text: str, code: str, line: int | None) -> None:
    """An empty table, rows that are too long and open quotes are refused with their line."""
    with pytest.raises(UnreadableError) as caught:
        grid(text)
    assert (caught.value.code, caught.value.line) == (code, line)


def test_text_that_is_not_utf_8() -> None:
    """A byte of another encoding is refused with its line."""
    with pytest.raises(UnreadableError, match="0xf6") as caught:
        grid("a,b\n1,ö\n".encode("latin-1"))
    assert (caught.value.code, caught.value.line) == ("not-utf-8", 2)


def test_a_workbook_reads_like_a_csv() -> None:
    """Numbers, yes and no, and empty cells of a workbook become the texts that a CSV would hold."""
    rows: list[list[object]] = [
        ["station", "mean_s", "again"],
        ["A1", 40.0, True],
        [None, None, None],
        [7, 2.5, None],
    ]
    table = grid(workbook(("any", rows)), "t.xlsx")
    assert texts(table) == [["station", "mean_s", "again"], ["A1", "40", "true"], ["7", "2.5", ""]]
    assert table.rows[1][1].place == "cell B4"
    assert table.rows[1][1].line is None


def test_the_sheet_of_tasks_is_preferred() -> None:
    """A sheet called `tasks` is read wherever it stands; without one the first sheet is."""
    other, tasks = ("notes", [["x"], [1]]), ("tasks", [["station"], ["A1"]])
    assert texts(grid(workbook(other, tasks), "t.xlsx"))[0] == ["station"]
    assert texts(grid(workbook(other), "t.xlsx"))[0] == ["x"]


def test_cell_addresses_keep_their_place() -> None:
    """A table that does not begin in the first cell still names the addresses that Excel shows."""
    book = openpyxl.Workbook()
    book.active["C3"], book.active["D3"], book.active["C4"] = "station", "task", "A1"
    stream = io.BytesIO()
    book.save(stream)
    table = grid(stream.getvalue(), "t.xlsx")
    assert [cell.place for cell in table.rows[0] if cell.text] == ["cell C4"]


def test_a_workbook_that_would_unpack_to_too_much() -> None:
    """A cell far out, or a part that unpacks to far too much, is refused before it is unpacked."""
    book = openpyxl.Workbook()
    book.active["A1"], book.active["XFD1048576"] = "station", "far"
    stream = io.BytesIO()
    book.save(stream)
    with pytest.raises(UnreadableError, match="1048576"):
        grid(stream.getvalue(), "t.xlsx")
    packed = io.BytesIO(workbook(("tasks", [["station"]])))
    with zipfile.ZipFile(packed, "a", zipfile.ZIP_DEFLATED) as whole:
        whole.writestr("xl/worksheets/more.xml", b" " * 101_000_000)
    with pytest.raises(UnreadableError, match="unpacked"):
        grid(packed.getvalue(), "t.xlsx")


@pytest.mark.parametrize("cut", [4, 100, 1000, -100])
def test_broken_workbooks(cut: int) -> None:
    """A workbook that is cut off or no workbook at all is refused in words."""
    for data in (workbook(("tasks", [["station"], ["A1"]]))[:cut], b"PK\x03\x04" + b"\x00" * 50):
        with pytest.raises(UnreadableError, match="no Excel workbook"):
            grid(data, "t.xlsx")
