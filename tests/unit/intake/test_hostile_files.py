"""Files that mean harm, or are no tables at all: told, quickly, and nothing but what was named is read."""

import contextlib
import io
import struct
import time
import zipfile
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linesim.errors import LinesimError, ScenarioError, WrongQuestionError
from linesim.intake.intake import import_file
from tests.unit.intake.books import SheetText, rewritten, workbook

PLAIN = workbook({"Tasks": "Station|Task|Time (s)\nK1|bolt|20\nK1|turn|30"})
SHEET = "xl/worksheets/sheet1.xml"


def refused(data: bytes, name: str = "plan.xlsx") -> str:
    """Return what is said of a file that is refused, and see that it is said soon."""
    began = time.perf_counter()
    with pytest.raises((ScenarioError, WrongQuestionError)) as error:
        import_file(data, name=name)
    assert time.perf_counter() - began < 5
    return str(error.value)


def packed(parts: dict[str, bytes]) -> bytes:
    """Return a packed file of some parts."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as whole:
        for name, data in parts.items():
            whole.writestr(name, data)
    return out.getvalue()


def with_part(name: str, data: bytes) -> bytes:
    """Return the plain workbook with one more or another part."""
    with zipfile.ZipFile(io.BytesIO(PLAIN)) as old:
        parts = {one: old.read(one) for one in old.namelist()}
    return packed({**parts, name: data})


@pytest.mark.parametrize("place", ["XFD3", "C1048576", "ZZZ3", "A99999999999"])
def test_a_cell_far_away_is_refused(place: str) -> None:
    """A workbook with one cell at the end of the world is refused before anything of its size is made."""
    assert "this sheet has the cell" in refused(rewritten(PLAIN, {SHEET: [('r="C3"', f'r="{place}"')]}))


def test_much_from_little_is_refused() -> None:
    """A part that unpacks to more than the limit is refused, also where the file says that it is small."""
    bomb = with_part("xl/media/image1.png", bytes(60_000_000))
    assert len(bomb) < 100_000 and "unpacked, the workbook has more than" in refused(bomb)
    lying = bytearray(bomb)
    at = lying.rindex(b"xl/media/image1.png") - 46
    assert struct.unpack_from("<I", lying, at + 24) == (60_000_000,)
    struct.pack_into("<I", lying, at + 24, 10)
    assert "unpacked, the workbook has more than" in refused(bytes(lying))


def test_declared_entities_are_refused() -> None:
    """A part with declarations of its own, which could grow without end or name other files, is not read."""
    grown = rewritten(
        PLAIN,
        {SHEET: [("<worksheet ", '<!DOCTYPE w [<!ENTITY a SYSTEM "file:///etc/passwd">]><worksheet ')]},
    )
    assert "no Excel workbook that can be read" in refused(grown)


def test_merged_cells_without_end_cost_nothing() -> None:
    """A merge over the whole sheet is refused or taken as far as the sheet goes, at once."""
    book = workbook({"Tasks": SheetText("Station|Task|Time (s)\nK1|bolt|20", merged=["A5:C6"])})
    whole = rewritten(book, {SHEET: [('ref="A5:C6"', 'ref="A1:XFD1048576"')]})
    assert "merged cells" in refused(whole)
    column = rewritten(book, {SHEET: [('ref="A5:C6"', 'ref="D1:D1048576"')]})
    assert import_file(column, name="plan.xlsx").tables[0].count == 1


def test_links_to_other_files_are_not_followed(tmp_path: Path) -> None:
    """A formula that looks into another workbook has the value that stands here, or none."""
    (tmp_path / "other.xlsx").write_bytes(PLAIN)
    text = "Station|Task|Time (s)\nK1|a|=[1]Tasks!C2 -> 7\nK1|b|=[1]Tasks!C3\nK1|c|=WEBSERVICE(A1)"
    path = tmp_path / "plan.xlsx"
    path.write_bytes(
        rewritten(
            workbook({"Tasks": text}),
            {"xl/workbook.xml": [("</sheets>", "</sheets><externalReferences/>")]},
        )
    )
    found = import_file(path)
    assert found.files["tasks.csv"] == "station,task,mean_s\nK1,a,7\n"
    assert any("2 formulas have no value (C3, C4)" in one for one in found.changes)


@pytest.mark.parametrize(
    ("name", "data", "told"),
    [
        ("a.xlsx", b"PK\x03\x04 and nothing else", "no Excel workbook"),
        ("a.xlsx", b"", "no Excel workbook"),
        ("a.xls", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1\0\0", "neither text nor an Excel workbook"),
        ("a.csv", b"", "there is nothing in it that can be seen"),
        ("a.csv", b"\xef\xbb\xbf\n\n ; ;\n", "there is nothing in it that can be seen"),
        ("a.csv", b"one,two\n1,2\n", 'Row 1 has "one" and "two"'),
        ("a.csv", b"Station,Task,Time (s)\n" + b"K1,a,1\n" * 20_001, "has more"),
        ("a.csv", b"a," * 300, "has more"),
        ("a.csv", b'Station,Task,Time (s)\nK1,"' + b"x" * 200_000 + b'",1\n', "no CSV"),
        ("a.xlsx", packed({"xl/workbook.xml": b"<a/>"}), "no Excel workbook"),
        ("a.csv", b"Station,Task,Time (s)\n", "Headings and nothing below"),
    ],
    ids=["cut", "nothing", "old", "empty", "blank", "strange", "long", "wide", "cell", "no-book", "headings"],
)
def test_what_is_no_table_is_told(name: str, data: bytes, told: str) -> None:
    """What is no workbook, no text, too long, too wide or without a table is told in a sentence."""
    assert told in refused(data, name)


def test_a_file_that_is_not_there_is_told(tmp_path: Path) -> None:
    """A missing file, a folder and a name that cannot be are told with the name."""
    for name in ("gone.xlsx", "", "a\0b"):
        with pytest.raises(ScenarioError):
            import_file(tmp_path / name if name else tmp_path)


WORDS = st.sampled_from(
    ["Station", "Task", "Time (s)", "K1", "bolt", "1,5", "1:15", "=A1", "Total", "", "-", "n/a", "Model", "x"]
)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.lists(WORDS | st.text(max_size=6), max_size=5), max_size=9), st.sampled_from(";,\t"))
def test_any_text_is_read_or_told(rows: list[list[str]], mark: str) -> None:
    """Whatever cells a text holds, it becomes tables without a formula, or is refused in words."""
    data = "\n".join(mark.join(row) for row in rows).encode("utf-8", "replace")
    try:
        found = import_file(data, name="any.csv")
    except LinesimError:
        return
    for text in found.files.values():
        for line in text.splitlines():
            assert not any(cell.startswith(("=", "+", "@")) for cell in line.split(","))


@settings(max_examples=30, deadline=None)
@given(st.data())
def test_damaged_workbooks_are_read_or_told(data: st.DataObject) -> None:
    """A workbook with some of its bytes changed or cut off is read or refused in words, never worse."""
    book = bytearray(PLAIN)
    for _ in range(data.draw(st.integers(1, 4))):
        book[data.draw(st.integers(0, len(book) - 1))] = data.draw(st.integers(0, 255))
    cut = data.draw(st.integers(len(book) // 2, len(book)))
    with contextlib.suppress(LinesimError):
        import_file(bytes(book[:cut]), name="any.xlsx")
