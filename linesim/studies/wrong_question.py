"""What a study cannot be asked; see `linesim.errors`."""

from linesim.errors import WrongQuestionError

__all__ = ["WrongQuestionError"]
