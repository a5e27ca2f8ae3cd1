"""`crew`: what one more operator buys, on which crew, and what one fewer costs."""

from linesim.studies.crew.study import Crews, crew

__all__ = ["Crews", "crew"]
