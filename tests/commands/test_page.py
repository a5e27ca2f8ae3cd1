"""A page on the terminal, whatever is written on it."""

import pytest

from linesim.commands.page import Page


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
