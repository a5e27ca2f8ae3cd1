"""An answer on a terminal: sentences, its parts, cautions, and how it was found."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from linesim.answers.card import StudyCard, convergences_in_words
from linesim.answers.document import Chart, Document, Grid, Heading, View, Words, views_of
from linesim.answers.grid import crossed, grid_of
from linesim.answers.table import Row, cell_number
from linesim.answers.wording import count_of
from linesim.commands.page import Page


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
