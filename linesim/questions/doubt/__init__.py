"""`doubt`: whether what nobody measured could turn the answer."""

from linesim.questions.doubt.study import Doubt, doubt

__all__ = ["Doubt", "doubt"]
