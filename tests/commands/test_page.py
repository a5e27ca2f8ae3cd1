"""A page on the terminal, whatever is written on it."""

import pytest

from linesim.commands.show import Page


def test_a_long_heading_takes_several_lines(capsys: pytest.CaptureFixture[str]) -> None:
    """No word of a heading is lost and no line is longer than the page; the last one runs to its edge."""
    page = Page()
    words = [f"word-{k}" for k in range(30)]
    page.heading(" ".join(words))
    page.heading("short")
    lines = capsys.readouterr().out.splitlines()
    assert " ".join(lines).replace("─", "").split() == [*words, "short"]
    assert max(len(line) for line in lines) == page.width
    assert [len(line) for line in lines if "─" in line] == [page.width] * 2


def test_a_wide_table_breaks_its_texts(capsys: pytest.CaptureFixture[str]) -> None:
    """The first and the last text of a row are broken into lines, alike wide; no letter is lost."""
    page = Page()
    name, tail = "n" * 40, " ".join(["word"] * 20)
    page.table(("name", "figure", "", "which"), [(name, "1.25", "", tail), ("b", "2", "", "short")])
    first, *lines = capsys.readouterr().out.splitlines()
    assert first.split() == ["name", "figure", "which"]
    assert max(map(len, lines)) <= page.width
    said = " ".join(lines)
    assert said.count("word") == 20 and said.replace(" ", "").count("n") == 40
    assert lines[0].split()[1] == "1.25" and lines[-1].split() == ["b", "2", "short"]


def test_a_name_without_room_stands_above_its_figures(capsys: pytest.CaptureFixture[str]) -> None:
    """Where a wide table would cut the name of a row into scraps, it has a line of its own, whole."""
    page = Page()
    figure, name = "+16 (+15 to +17)", "station.K1.task.place-cab.time"
    heads = ("input", "low", "middle", "high", "decision")
    page.table(heads, [(name, figure, figure, figure, "flips"), ("R1", figure, figure, figure, "stays")])
    head, *lines = capsys.readouterr().out.splitlines()
    assert head.split() == list(heads)
    assert lines[0].strip() == name and lines[2].strip() == "R1"
    assert lines[1].split() == [*figure.split() * 3, "flips"] and max(map(len, lines)) <= page.width
