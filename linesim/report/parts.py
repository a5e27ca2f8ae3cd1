"""What a section of the page is put together from."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import ClassVar

from linesim.report.card import Card
from linesim.report.figure import Figure
from linesim.report.table import PageTable
from linesim.report.what_if import WhatIf


@dataclass(frozen=True, slots=True)
class PageWords:
    """Paragraphs: a list where each stands alone, large where they lead, or lines to copy as they stand."""

    kind: ClassVar[str] = "words"
    texts: tuple[str, ...]
    is_list: bool = False
    leads: bool = False
    is_verbatim: bool = False


@dataclass(frozen=True, slots=True)
class Facts:
    """Terms and what is said of each: headings and texts, or a word and its meaning."""

    kind: ClassVar[str] = "facts"
    pairs: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Fold:
    """Something long that one opens when one wants it."""

    kind: ClassVar[str] = "fold"
    title: str
    parts: tuple[Part, ...]


@dataclass(frozen=True, slots=True)
class Drawn:
    """A figure in its place on the page."""

    kind: ClassVar[str] = "figure"
    figure: Figure


@dataclass(frozen=True, slots=True)
class Listed:
    """A table in its place on the page."""

    kind: ClassVar[str] = "table"
    table: PageTable


@dataclass(frozen=True, slots=True)
class PageHeading:
    """A heading below that of the section."""

    kind: ClassVar[str] = "heading"
    text: str


Part = PageWords | Facts | Card | Fold | Drawn | Listed | PageHeading | WhatIf


@dataclass(frozen=True, slots=True)
class PageSection:
    """A section of the page.

    Attributes:
        name: Name in the page, letters and ``-``.
        title: Its heading.
        parts: What stands in it, at least one.
    """

    name: str
    title: str
    parts: tuple[Part, ...]


def section(name: str, title: str, *parts: Part | Figure | PageTable | str | None) -> PageSection | None:
    """Return a section; None if nothing stands in it.

    Figures, tables and plain sentences are put in their places; None and empty sentences are left out.
    """
    found = tuple(_part(part) for part in parts if part is not None and part != "")
    return PageSection(name, title, found) if found else None


def fold(title: str, *parts: Part | Figure | PageTable | str | None) -> Fold | None:
    """Return what one opens when one wants it; None if nothing stands in it."""
    found = section("fold", title, *parts)
    return None if found is None else Fold(title, found.parts)


def _part(part: Part | Figure | PageTable | str) -> Part:
    if isinstance(part, Figure):
        return Drawn(part)
    if isinstance(part, PageTable):
        return Listed(part)
    return PageWords((part,)) if isinstance(part, str) else part


def figures_in(parts: Iterable[Part]) -> Iterator[Figure]:
    """Yield the figures among parts, also behind folds, in their order."""
    for part in parts:
        if isinstance(part, Drawn):
            yield part.figure
        elif isinstance(part, Card) and part.chart is not None:
            yield part.chart
        elif isinstance(part, Fold):
            yield from figures_in(part.parts)
