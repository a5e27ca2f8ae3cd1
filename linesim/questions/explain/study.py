"""`explain`: the line in its order as sentences, and what is said of a name."""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING

from linesim.answers.document import Document, Heading, Part, Words
from linesim.answers.table import Column, Table
from linesim.errors import WrongQuestionError
from linesim.measures import DEFINITIONS, GLOSSARY
from linesim.questions.explain.chapters import walk
from linesim.questions.explain.work import Chapter, Sentence
from linesim.runs.provenance import card_without_runs
from linesim.scenario.problems import codes, nearest

if TYPE_CHECKING:
    from linesim.answers.document import Document
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


_NAME = re.compile(r"\[?([\w-]{1,60})(:.{0,60})?\]?", re.ASCII)


def explained(text: str) -> Document | None:
    """Return what is said of a name; None for what can only be a file.

    Args:
        text: A measure, with place and cause or without (``line_stop:trim``), a state or cause, or the code
            of a message, in its brackets or without.

    Raises:
        WrongQuestionError: If it is neither a file nor a known name.
    """
    found = _NAME.fullmatch(text)
    if found is None or Path(text).exists():
        return None
    name = found[1]
    if name in DEFINITIONS:
        says = DEFINITIONS[name]
        head, said = "A measure", [says.says, f"Unit: {says.unit}. One figure for each: {says.where}."]
    elif name in (paragraphs := codes()):
        is_warning = name in codes("warnings")
        head, said = "A warning" if is_warning else "A message that refuses a file", [paragraphs[name]]
    elif name in GLOSSARY:
        head, said = "A word", [GLOSSARY[name]]
    else:
        near = nearest(name, (*DEFINITIONS, *paragraphs, *GLOSSARY))
        such = f"; did you mean {', '.join(near)}?" if near else ""
        raise WrongQuestionError(
            f"{text!r} is no file, and neither a measure nor the code of a message{such or '.'}"
        )
    return document_of(name, (Chapter(head, tuple(map(Sentence, said))),))
