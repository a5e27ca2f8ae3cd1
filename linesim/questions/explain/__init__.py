"""The line read back in plain sentences, in line order: what somebody would say on a walk along it."""

from linesim.questions.explain.chapters import walk
from linesim.questions.explain.text import Chapter, Sentence

__all__ = ["Chapter", "Sentence", "walk"]
