"""What a study cannot be asked: told like a wrong input, with what would be right."""

from __future__ import annotations

from collections.abc import Sequence

from linesim.errors import LinesimError


class WrongQuestionError(LinesimError):
    """A study was asked for something that it cannot answer; every sentence says what would be right.

    Attributes:
        wrong: One sentence or two for each thing that is wrong.
    """

    status = 2  #: Exit status: the input was wrong.

    def __init__(self, wrong: str | Sequence[str]) -> None:
        self.wrong = (wrong,) if isinstance(wrong, str) else tuple(wrong)
        super().__init__("\n".join(self.wrong))

    def __reduce__(self) -> tuple[type[WrongQuestionError], tuple[tuple[str, ...]]]:
        """Keep the sentences when the error crosses to another process."""
        return (type(self), (self.wrong,))
