"""`crew`: what one more operator buys, on which crew, and what one fewer costs."""

from linesim.questions.crew.study import CrewAnswer, crew

__all__ = ["CrewAnswer", "crew"]
