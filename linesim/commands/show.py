"""An answer on a terminal: headings, sentences, tables; fits 80 columns, a pipe and no colour."""

from __future__ import annotations

import codecs
import sys
import textwrap
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from linesim.answers.card import StudyCard, convergences_in_words
from linesim.answers.document import Chart, Document, Grid, Heading, View, Words, views_of
from linesim.answers.grid import crossed, grid_of
from linesim.answers.table import Row, cell_number
from linesim.answers.wording import count_of

if TYPE_CHECKING:
    from rich.console import Console


WIDEST, USUAL = 100, 80
LONGEST_BAR, SHORTEST_BAR = 18, 6
_NARROWEST = 8  #: Letters that a broken column of a table keeps.
_LABEL = 16  #: Letters below which the name of a row gets a line of its own.
_PLAIN = str.maketrans(
    {"±": "~", "–": "-", "·": ".", "─": "-", "█": "#", "▒": "+", "│": "|", "×": "x", "≤": "<"}
)


class Page:
    """Writes one page to stdout.

    A terminal gets bold headings and its own width up to 100 columns; a pipe or a file gets plain
    text of 80 columns. No meaning hangs on colour.
    """

    def __init__(self) -> None:
        from rich.console import Console

        tolerate_old_encodings()
        is_terminal = sys.stdout.isatty()
        self._console: Console = Console(
            highlight=False, markup=False, emoji=False, width=None if is_terminal else USUAL
        )
        self.width = min(self._console.width, WIDEST)

    def title(self, text: str) -> None:
        """Write the first line."""
        for line in textwrap.wrap(text, self.width) or [""]:
            self._console.print(line, style="bold")

    def heading(self, text: str) -> None:
        """Write a heading with a line to the right edge; one that is too long for a line takes several."""
        from rich.text import Text

        *before, last = textwrap.wrap(text, self.width - 4, break_on_hyphens=False) or [""]
        rule = "─" * max(0, self.width - len(last) - 1)
        self._console.print()
        for line in before:
            self._console.print(line, style="bold", no_wrap=True, crop=False)
        self._console.print(Text.assemble((last, "bold"), " ", (rule, "dim")), no_wrap=True, crop=True)

    def say(self, text: str, *, indent: int = 0, hang: int = 0) -> None:
        """Write a paragraph.

        Args:
            text: The paragraph.
            indent: Spaces before every line.
            hang: Spaces more before all but the first.
        """
        first, later = " " * indent, " " * (indent + hang)
        lines = textwrap.wrap(
            text, max(30, self.width), initial_indent=first, subsequent_indent=later, break_on_hyphens=False
        )
        for line in lines:
            self._console.print(line, no_wrap=True, overflow="ignore", crop=False)

    def verbatim(self, text: str) -> None:
        """Write lines as they are."""
        self._console.print(text, soft_wrap=True)

    def gap(self) -> None:
        """Leave a line free."""
        self._console.print()

    def table(
        self,
        columns: Sequence[str],
        rows: Sequence[Sequence[str]],
        *,
        left: int = 1,
        bars: Sequence[float] = (),
    ) -> None:
        """Write a table: the first ``left`` columns flush left, figures flush right, nothing around it.

        Where rows are too wide for the page, texts on the left and in the last column are broken into lines,
        and names of rows that would be cut into scraps stand on lines above their figures; no letter is lost.

        Args:
            columns: Headings.
            rows: Cells, as many in each row as there are headings.
            left: Columns that hold text.
            bars: Lengths relative to each other, one a row, drawn at its end as far as there is room.
        """
        if not rows:
            return
        cells = [list(columns), *[list(row) for row in rows]]
        widths = self._fitted(cells, left)
        above = [""] * len(rows)
        if widths[0] < _LABEL and any(len(word) > widths[0] for row in rows for word in row[0].split()):
            above = [row[0] for row in rows]
            cells = [cells[0], *[["", *row[1:]] for row in rows]]
            widths = self._fitted(cells, left)
        room = self.width - sum(widths) - 2 * len(widths)
        longest = min(LONGEST_BAR, room - 2) if bars else 0
        most = max(bars, default=0.0)
        for number, row in enumerate(cells):
            broken = [_broken(cell, width) for cell, width in zip(row, widths, strict=True)]
            style = "dim" if number == 0 else None
            if number and above[number - 1]:
                self.say(above[number - 1], indent=2, hang=2)
            for k in range(max(map(len, broken))):
                parts = [
                    text.ljust(width) if i < left else text.rjust(width)
                    for i, (lines, width) in enumerate(zip(broken, widths, strict=True))
                    for text in [lines[k] if k < len(lines) else ""]
                ]
                if longest >= SHORTEST_BAR and number and most > 0 and k == 0:
                    parts.append("█" * max(1, round(longest * bars[number - 1] / most)))
                line = f"  {'  '.join(parts)}".rstrip()
                self._console.print(line, style=style, no_wrap=True, overflow="ignore", crop=False)

    def _fitted(self, cells: Sequence[Sequence[str]], left: int) -> list[int]:
        """Return the widths of columns on this page: texts give way, the widest first."""
        widths = [max(len(row[i]) for row in cells) for i in range(len(cells[0]))]
        texts = [i for i in range(len(widths)) if i < left or i == len(widths) - 1]
        while sum(widths) + 2 * len(widths) > self.width:
            widest = max(texts, key=lambda i: widths[i])
            if widths[widest] <= _NARROWEST:
                break
            widths[widest] -= 1
        return widths


def _broken(text: str, width: int) -> list[str]:
    """Return a text in lines; a word that is too long for one is broken after a dot if it has any."""
    lines = []
    for line in textwrap.wrap(text, max(1, width), break_on_hyphens=False, break_long_words=False):
        while len(line) > width:
            cut = line.rfind(".", 0, width) + 1 or width
            lines.append(line[:cut])
            line = line[cut:]
        lines.append(line)
    return lines or [""]


def tolerate_old_encodings() -> None:
    """Let a terminal that lacks a sign show a plain one instead of failing."""
    encoding = (getattr(sys.stdout, "encoding", None) or "ascii").lower()
    if encoding.startswith("utf"):
        return
    codecs.register_error("plain", _plain)
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="plain")


def _plain(error: UnicodeError) -> tuple[str, int]:
    assert isinstance(error, UnicodeEncodeError)
    text = error.object[error.start : error.end].translate(_PLAIN)
    return text.encode("ascii", errors="replace").decode("ascii"), error.end


def show(answer: Document, title: str) -> None:
    """Write an answer to stdout."""
    page = Page()
    page.title(title)
    if answer.sentences:
        page.gap()
    for sentence in answer.sentences:
        page.say(sentence, indent=2)
    for part in answer.parts:
        if isinstance(part, Heading):
            page.heading(part.text)
        elif isinstance(part, Words):
            for text in part.texts:
                if part.is_verbatim:
                    page.verbatim(f"  {text}")
                else:
                    page.say(text, indent=2 + 2 * part.depth, hang=2 if part.hangs else 0)
        elif isinstance(part, View | Chart):
            for view in views_of(part):
                _view(page, answer, view)
        elif isinstance(part, Grid) and not part.only_page:
            grid = crossed(part, answer.rows_of(part.table), part.most)
            if len(grid.heads) > 1:
                page.heading(part.title)
                page.table(grid.heads, grid.texts)
                page.say(part.note, indent=2)
    if answer.cautions:
        page.heading("Before anything is changed")
        for caution in answer.cautions:
            page.say(caution, indent=2)
    if answer.card.cases:
        page.heading("How this was found")
        page.say(found_in_words(answer.card), indent=2)


def _view(page: Page, answer: Document, view: View) -> None:
    rows = answer.rows(view)
    if not rows or view.only_page:
        return
    columns = tuple(column for column in view.columns if column.name != view.by)
    for value in dict.fromkeys(row[view.by] for row in rows) if view.by else ("",):
        mine = [row for row in rows if not view.by or row[view.by] == value]
        page.heading(f"{value}: {view.title}" if view.by else view.title)
        _table(page, replace(view, columns=columns), mine)
    if view.note:
        page.say(view.note, indent=2)


def _table(page: Page, view: View, rows: Sequence[Row]) -> None:
    kept = rows[: view.most] if view.most else rows
    grid = grid_of(view, kept)
    left = next((k for k, is_number in enumerate(grid.is_number) if is_number), len(grid.heads))
    bars = [cell_number(row[view.bars]) or 0.0 for row in kept] if view.bars else []
    page.table(grid.heads, grid.texts, left=max(1, left), bars=bars)
    if len(rows) > len(kept):
        page.say(f"and {len(rows) - len(kept)} more (--json and --out have all).", indent=2)


def found_in_words(card: StudyCard) -> str:
    """Return how an answer was found, in a few sentences."""
    counts = sorted({case.replications for case in card.cases})
    each = " to ".join(str(count) for count in dict.fromkeys([counts[0], counts[-1]])) if counts else "0"
    if len(card.cases) == 1:
        which = f"{card.file or 'scenario'} {card.cases[0].fingerprint[:12]}"
        made = f"{count_of(counts[0], 'replication')} of {which} with seed {card.seed}."
    else:
        made = (
            f"{count_of(len(card.cases), 'case')}, {each} replications of each with seed {card.seed}: every "
            "case sees the same jobs and the same luck."
        )
    sharp = convergences_in_words(card.convergences)
    lost = f" {count_of(len(card.lost), 'replication')} lost: the worker process died." if card.lost else ""
    program = dict(card.versions)["linesim"]
    said = f"{made} Intervals: {100 * card.confidence:g} %. linesim {program}."
    return f"{said}{f' {sharp}' if sharp else ''}{lost}"
