"""What a section of the page is put together from."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from linesim.report.figure import Figure
from linesim.report.table import Table


@dataclass(frozen=True, slots=True)
class Words:
    """Paragraphs; as a list where each stands by itself, in large letters where they lead the page."""

    kind: ClassVar[str] = "words"
    texts: tuple[str, ...]
    is_list: bool = False
    leads: bool = False


@dataclass(frozen=True, slots=True)
class Facts:
    """Terms and what is said of each: headings and texts, or a word and its meaning."""

    kind: ClassVar[str] = "facts"
    pairs: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class KeyFigures:
    """A few figures in large letters: what, figure, what goes with it."""

    kind: ClassVar[str] = "keys"
    figures: tuple[tuple[str, str, str], ...]


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
    table: Table


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading below that of the section."""

    kind: ClassVar[str] = "heading"
    text: str


@dataclass(frozen=True, slots=True)
class WhatIf:
    """Selectors that show stored answers.

    Attributes:
        data: The answers as JSON that is safe inside a page.
        factors: What can be chosen, with its values and the one to begin with; empty where cases are
            chosen as a whole.
        cases: Names of the cases.
        first: Name of the case to begin with.
        confidence: Of the intervals of single figures.
    """

    kind: ClassVar[str] = "what-if"
    data: str
    factors: tuple[tuple[str, tuple[str, ...], str], ...]
    cases: tuple[str, ...]
    first: str
    confidence: str


Part = Words | Facts | KeyFigures | Fold | Drawn | Listed | Heading | WhatIf


@dataclass(frozen=True, slots=True)
class Section:
    """A section of the page.

    Attributes:
        name: Name in the page, letters and ``-``.
        title: Its heading.
        parts: What stands in it, at least one.
    """

    name: str
    title: str
    parts: tuple[Part, ...]


def section(name: str, title: str, *parts: Part | Figure | Table | str | None) -> Section | None:
    """Return a section; None if nothing stands in it.

    Figures, tables and plain sentences are put in their places; None and empty sentences are left out.
    """
    found = tuple(_part(part) for part in parts if part is not None and part != "")
    return Section(name, title, found) if found else None


def _part(part: Part | Figure | Table | str) -> Part:
    if isinstance(part, Figure):
        return Drawn(part)
    if isinstance(part, Table):
        return Listed(part)
    return Words((part,)) if isinstance(part, str) else part
