"""Each study's answer as figures and tables: the one that says most first."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from types import MappingProxyType

from linesim.answers.document import Document
from linesim.questions.answer import Answer
from linesim.report.compared.bottleneck import bottleneck
from linesim.report.compared.buffers import buffers
from linesim.report.compared.doubt import doubt
from linesim.report.compared.mix import mix
from linesim.report.compared.plain import Piece, plain_table
from linesim.report.document import document_pieces
from linesim.report.parts import Fold, Listed

#: How each study's answer is drawn; the tables of any other are shown as they are.
DRAWN: Mapping[str, Callable[[Answer], Iterator[Piece | None]]] = MappingProxyType(
    {
        "buffers": buffers,
        "mix": mix,
        "bottleneck": bottleneck,
        "doubt": doubt,
    }
)

#: What each study asks, in a reader's words.
QUESTIONS: Mapping[str, str] = MappingProxyType(
    {
        "buffers": "How many buffer places does the line need, and where?",
        "mix": "What does the mix of models and options do to the line, and where does it hurt?",
        "bottleneck": "Which place holds the line up?",
        "doubt": "Does the answer stand if inputs are wrong?",
    }
)


def pieces(answer: Answer | Document) -> tuple[Piece, ...]:
    """Return the figures and tables of an answer, the one that says most first; all its tables last."""
    if isinstance(answer, Document):
        return document_pieces(answer)
    drawn = DRAWN.get(answer.study)
    found: list[Piece] = [] if drawn is None else [piece for piece in drawn(answer) if piece is not None]
    rest = tuple(Listed(table) for one in answer.tables_ if (table := plain_table(one)) is not None)
    if rest and found:
        return (*found, Fold("All tables of the study, as it wrote them", rest))
    return (*found, *rest)
