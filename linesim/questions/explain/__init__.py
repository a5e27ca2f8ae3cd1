"""What `explain` can be asked."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from linesim.questions.declare import Declared, function_of

if TYPE_CHECKING:
    from linesim.answers.document import Document


@dataclass(frozen=True)
class Explain(Declared):
    """Read a scenario back as a walk along the line, guesses first; or say what a word means.

    In place of a file a NAME may stand: that of a measure, such as line_stop, or the code
    of a message, such as unknown-tool, as it stands behind the message in brackets.
    """

    name: ClassVar[str] = "explain"
    asks: ClassVar[str] = "What does the file say, in plain sentences?"
    tables: ClassVar[tuple[str, ...]] = ("walk",)
    about: ClassVar[str] = "scenario, a TOML file; or the NAME of a measure or of a message"
    examples: ClassVar[tuple[tuple[str, str], ...]] = (
        ("linesim explain scenarios/tractor/line.toml", "what is assumed, place by place"),
        ("linesim explain line_stop", "what a measure means, and where it is taken"),
        ("linesim explain line.toml --set 'crew.cab.people = 3'", "as it would be with one thing changed"),
    )

    @classmethod
    def of_name(cls, name: str) -> Document | None:
        """Return what a measure or the code of a message means."""
        from linesim.questions.explain.study import explained

        return explained(name)


QUESTION = Explain
explain = function_of(Explain)
