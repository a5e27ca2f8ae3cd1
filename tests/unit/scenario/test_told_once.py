"""What is wrong with a table is told once, at its place, with the mend that fits."""

from pathlib import Path

import pytest

from linesim.errors import ScenarioError
from linesim.scenario import read
from tests.unit.scenario.lines import BASE


def problems(folder: Path, table: str | bytes, more: str = "", sets: tuple[str, ...] = ()) -> list[str]:
    """Return what is said of a line beside which a table stands."""
    (folder / "line.toml").write_text(BASE + more, encoding="utf-8")
    data = table.encode() if isinstance(table, str) else table
    (folder / "table.csv").write_bytes(data)
    with pytest.raises(ScenarioError) as found:
        read(folder / "line.toml", sets)
    return [problem.rendered() for problem in found.value.problems]


def test_a_wrong_heading_of_orders_has_no_follow_on_errors(tmp_path: Path) -> None:
    """Only the missing column is told, and nothing of the lines that named the table."""
    lines = ('orders.file = "table.csv"', 'orders.sequence = "listed"')
    (said,) = problems(tmp_path, "modell,options\nstandard,\n", sets=lines)
    assert "table.csv" in said and "missing-column" in said and "--set" not in said


@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"])
def test_the_byte_that_is_no_text_is_the_one_named(tmp_path: Path, mark: bytes) -> None:
    """A mark at the beginning of the file shifts neither the byte nor its line."""
    table = mark + b"station,task,mean_s\nA1,fit\xff,5\n"
    (said,) = problems(tmp_path, table, sets=('tasks = "table.csv"',))
    assert "0xff" in said and "table.csv:2" in said


def test_a_title_above_the_headings_is_recognised(tmp_path: Path) -> None:
    """Of a table with a title row it is told which row looks like the headings."""
    table = "Tasks of the line\n\nstation,task,mean_s\nA1,fit,5\n"
    (said,) = problems(tmp_path, table, sets=('tasks = "table.csv"',))
    assert "headings stand in row 1, and row 3 looks like them" in said and "quotes" not in said
