"""The whole page: sections in their order, put into one file that needs nothing else."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import count

from linesim import questions
from linesim.answers.card import convergences_in_words
from linesim.answers.document import Document
from linesim.answers.readable import in_words, readable
from linesim.answers.wording import count_of
from linesim.errors import LinesimError
from linesim.questions.declare import question_named
from linesim.report.card import Card, card_of
from linesim.report.document import Piece, document_pieces
from linesim.report.figure import Figure
from linesim.report.html import rendered, template_text
from linesim.report.page_input import Told
from linesim.report.parts import (
    Facts,
    Fold,
    PageSection,
    PageWords,
    Part,
    figures_in,
    fold,
    section,
)
from linesim.report.sections.checklist import checklist
from linesim.report.sections.line import line_sections
from linesim.report.sections.trust import BEWARE, assumed, beware, repeat, repeat_study, sure, words
from linesim.report.what_if import what_if

_MOST_SAID = 5  #: Sentences that stand open below the first.
#: What sentences say that tell how an answer was found, and nothing of the line.
_OF_METHOD = re.compile("^Common draws|hold together|^A difference of|range of their own|carry no range")


@dataclass(frozen=True, slots=True)
class Contents:
    """What stands on a page.

    Attributes:
        title: Title of the page.
        kind: What kind of page it is, above the title.
        sections: Its sections, in their order.

    Raises:
        LinesimError: If two figures have one name: they would share anchors and patterns.
    """

    title: str
    kind: str
    sections: tuple[PageSection, ...]

    def __post_init__(self) -> None:
        names = [figure.name for part in self.sections for figure in figures_in(part.parts)]
        if twice := {name for name in names if names.count(name) > 1}:
            raise LinesimError(f"two figures of a page are called {min(twice)!r}; make the study anew.")


def run_contents(told: Told) -> Contents:
    """Return what stands on the page about a run: the answer first, then one section a question."""
    found = (
        _answer(told), *line_sections(told), sure(told), assumed(told), repeat(told), checklist(told),
        words(told.result), beware(),
    )  # fmt: skip
    title = told.result.scenario.title or told.result.scenario.file
    return Contents(title, "Line report", _there(found))


def study_contents(answer: Document, told: Told | None, command: str = "") -> Contents:
    """Return what stands on the page about a study: its answer first, the line that it is about in folds.

    Args:
        answer: The answer, such as of `linesim.questions.compare.compare`.
        told: The line as it is; None where nothing of it is kept but the answer.
        command: How to make the page again.
    """
    drawn = document_pieces(answer)
    answer = readable(answer)
    found = (
        _study_answer(answer, told, drawn), _compared(answer, drawn), _line_folded(told),
        None if told is None else assumed(told), repeat_study(answer, command),
        None if told is None else checklist(told, answer.card.cases[1:], _asks(answer)),
        words(None if told is None else told.result) if answer.card.cases else None,
        beware(answer.cautions),
    )  # fmt: skip
    kind = f"{answer.study.capitalize()} report"
    return Contents(answer.card.title or answer.card.file, kind, _there(found))


def run_page(told: Told) -> str:
    """Return the page about a run as HTML, see `run_contents` and `html`."""
    return html(run_contents(told))


def study_page(answer: Document, told: Told | None, command: str = "") -> str:
    """Return the page about a study as HTML, see `study_contents` and `html`."""
    return html(study_contents(answer, told, command))


def _there(sections: tuple[PageSection | None, ...]) -> tuple[PageSection, ...]:
    return tuple(found for found in sections if found is not None)


def _line_folded(told: Told | None) -> PageSection | None:
    """Return the sections that tell of the line as it is, each behind a fold, for the page of a study."""
    if told is None:
        return None
    found = _there((*line_sections(told), sure(told)))
    return section("line", "The line as it is", *(Fold(part.title, part.parts) for part in found))


def html(contents: Contents) -> str:
    """Return a page as HTML, see `linesim.report.html.rendered`."""
    return rendered(
        "report.html",
        template_text("report.css"),
        template_text("report.js") + template_text("scroll.js"),
        title=contents.title or "A line without a title",
        kind=contents.kind,
        sections=contents.sections,
        next_id=(f"table-{number}" for number in count(1)).__next__,
    )


def _answer(told: Told) -> PageSection | None:
    said, decision = told.answer.sentences, told.answer.decision
    question = next((text for head, text in told.asked if head == "Question"), "")
    card = None if decision is None else card_of(decision, question, said[0], ())
    asked = tuple(pair for pair in told.asked if card is None or pair[0] != "Question")
    return section(
        "answer",
        "Question and answer",
        *((card, fold("The answer in sentences", PageWords(said[1:]))) if card else _said(said)),
        Facts(asked) if asked else None,
        "" if told.asked else "The scenario states no question. [study] in the file holds it.",
        _warned(told.result.scenario.warnings),
        _how_to_read(told.result.run.confidence, len(told.result.run.numbers)),
        told.note,
    )


def _said(sentences: Sequence[str], *, leads: bool = True) -> tuple[Part | None, ...]:
    """Return the answer in sentences: the first in large letters, the next few, the rest behind folds."""
    told = [text for text in sentences if not _OF_METHOD.search(text)]
    method = tuple(text for text in sentences if text not in told)
    lead = told[:1] if leads else []
    first, more = told[len(lead) : len(lead) + _MOST_SAID], told[len(lead) + _MOST_SAID :]
    return (
        PageWords(tuple(lead), leads=True) if lead else None,
        PageWords(tuple(first)) if first else None,
        fold("More of the answer", PageWords(tuple(more))) if more else None,
        fold("How sure", PageWords(method)) if method else None,
    )


def _how_to_read(confidence: float, replications: int) -> str:
    """Return what the ranges beside the figures are, and where the cautions stand."""
    ranges = f"Ranges are {100 * confidence:g} % intervals. " if replications > 1 else ""
    return f"{ranges}All of this is a planning estimate: first read “{BEWARE}”, at the end."


def _study_answer(answer: Document, told: Told | None, drawn: tuple[Piece, ...]) -> PageSection | None:
    first = next((piece for piece in drawn if isinstance(piece, Figure)), None)
    card = _card(answer)
    return section(
        "answer",
        "Question and answer",
        *((card, what_if(answer.decision) if answer.decision else None) if card else ()),
        *_said(answer.sentences[1:] if card else answer.sentences, leads=card is None),
        _asked(answer, told),
        _warned(answer.card.warnings),
        _how_to_read(answer.card.confidence, max((c.replications for c in answer.card.cases), default=0)),
        first,
        "" if told is None else told.note,
    )


def _card(answer: Document) -> Card | None:
    """Return the card of an answer; None where nothing is decided."""
    if answer.decision is None:
        return None
    return card_of(answer.decision, _asks(answer), answer.sentences[0], answer.cautions)


def one_side(contents: Contents) -> Contents:
    """Return the card of a page alone.

    Raises:
        LinesimError: If the page has none.
    """
    first = contents.sections[0]
    parts = tuple(part for part in first.parts if isinstance(part, Card))
    if not parts:
        raise LinesimError(f"{contents.kind}: nothing is decided in it, so there is no card of it.")
    return Contents(contents.title, contents.kind, (replace(first, parts=parts),))


def card_page(answer: Document) -> str:
    """Return the answer on one printed side, as a page of its own.

    Raises:
        LinesimError: If the answer decides nothing.
    """
    answer = readable(answer)
    card = _card(answer)
    if card is None:
        raise LinesimError(f"{answer.study} weighs no choices, so there is no card of it.")
    made = answer.card
    counts = sorted({case.replications for case in made.cases}) or [0]
    each = f"{counts[0]}" if counts[0] == counts[-1] else f"{counts[0]} to {counts[-1]}"
    versions = dict(made.versions)
    foot = (
        f"{made.file or 'made in a program'}; {each} replications, seed {made.seed}; "
        f"{100 * made.confidence:g} % intervals; linesim {versions.get('linesim', '')}."
    )
    found = section("answer", "The answer", card, *([_warned(made.warnings)] if made.warnings else []), foot)
    assert found is not None
    return html(Contents(made.title or made.file, f"{answer.study.capitalize()}, one side", (found,)))


def _warned(warnings: tuple[str, ...]) -> Facts | None:
    """Return what the check of the file has to say that bears on the answer."""
    return Facts(tuple(("Warning", in_words(text)) for text in warnings)) if warnings else None


def _asks(answer: Document) -> str:
    """Return what a study asks, in a reader's words."""
    return question_named(answer.study).asks if answer.study in questions.NAMES else ""


def _asked(answer: Document, told: Told | None) -> Facts | None:
    """Return what the study asks, and what it is to decide by the scenario's own words."""
    question = _asks(answer)
    decides = () if told is None else tuple(pair for pair in told.asked if pair[0] != "Question")
    pairs = (*((("Question", question),) if question else ()), *decides)
    return Facts(pairs) if pairs else None


def _compared(answer: Document, drawn: tuple[Piece, ...]) -> PageSection | None:
    first = next((piece for piece in drawn if isinstance(piece, Figure)), None)
    rest = tuple(piece for piece in drawn if piece is not first)
    return section("compared", "What was compared?", _cases_in_words(answer), *rest)


def _cases_in_words(answer: Document) -> str:
    card = answer.card
    counts = sorted({case.replications for case in card.cases})
    if not counts:
        return ""
    each = f"{counts[0]}" if counts[0] == counts[-1] else f"{counts[0]} to {counts[-1]}"
    sharp = convergences_in_words(card.convergences)
    return (
        f"{count_of(len(card.cases), 'case')}, {each} replications of each, all with the same jobs and the "
        f"same luck.{f' {sharp}' if sharp else ''}"
    )
