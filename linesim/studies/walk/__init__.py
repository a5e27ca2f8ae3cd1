"""The line read back in plain sentences, in line order: what somebody would say on a walk along it."""

from linesim.studies.walk.chapters import walk
from linesim.studies.walk.text import Chapter, Sentence

__all__ = ["Chapter", "Sentence", "walk"]
