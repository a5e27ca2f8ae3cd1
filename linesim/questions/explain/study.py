"""`explain`: the line read back as chapters of sentences."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from typing import TYPE_CHECKING

from linesim.answers.document import Document, Heading, Part, Words
from linesim.answers.table import Column, Table
from linesim.questions.explain.chapters import walk
from linesim.questions.explain.text import Chapter
from linesim.runs.provenance import card_without_runs

if TYPE_CHECKING:
    from linesim.questions.explain import Explain
    from linesim.scenario import Scenario


def study(asked: Explain, scenario: Scenario) -> Document:
    """Return the walk along a line."""
    return document_of(scenario.title, walk(scenario), file=asked.file)


def document_of(title: str, chapters: Sequence[Chapter], *, file: str = "") -> Document:
    """Return chapters as an answer."""
    columns = (Column("chapter"), Column("place", "count"), Column("depth", "count"), Column("sentence"))
    rows = (
        {"chapter": chapter.title, "place": place, "depth": sentence.depth, "sentence": sentence.text}
        for chapter in chapters
        for place, sentence in enumerate(chapter.sentences, start=1)
    )
    parts: list[Part] = []
    for chapter in chapters:
        parts.append(Heading(chapter.title))
        for depth, sentences in groupby(chapter.sentences, key=lambda sentence: sentence.depth):
            parts.append(Words(tuple(sentence.text for sentence in sentences), depth, hangs=True))
    return Document(
        study="explain",
        sentences=(),
        tables_=(Table.of("walk", columns, rows, "Every sentence.", keys=("chapter", "place")),),
        parts=tuple(parts),
        cautions=(),
        card=card_without_runs(title, file),
    )
