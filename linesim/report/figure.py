"""A figure of a page: a drawing in two widths, what it says in words, and its numbers."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from linesim.report.style import NARROW, WIDE
from linesim.report.svg import drawn
from linesim.report.table import PageTable

if TYPE_CHECKING:
    from matplotlib.figure import Figure as Drawing


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure.

    Attributes:
        name: Name in the page, letters and ``-``.
        title: What it shows.
        says: How to read it and what is to be seen, also for people who cannot see it.
        wide, narrow: The drawing as SVG, for a desk or paper and for a phone.
        table: The numbers behind it.
        method: Which published form of drawing it follows.
        draw: Draws it anew in a width in px, for a file that is no SVG.
    """

    name: str
    title: str
    says: str
    wide: str
    narrow: str
    table: PageTable
    method: str
    draw: Callable[[int], Drawing] = field(repr=False, compare=False)


def figure(
    name: str, title: str, says: str, table: PageTable, method: str, draw: Callable[[int], Drawing]
) -> Figure:
    """Return a figure.

    Args:
        name: Name in the page.
        title: What it shows.
        says: How to read it and what is to be seen.
        table: The numbers behind it.
        method: Which published form of drawing it follows.
        draw: Draws it in a width in px.
    """
    wide, narrow = (drawn(name, draw, width, title, says) for width in (WIDE, NARROW))
    return Figure(name, title, says, wide, narrow, table, method, draw)
