"""How sharp a figure has to be; see `linesim.answers.card`."""

from linesim.answers.card import AT_LEAST, CAP, Convergence, Goal, Look, convergences_in_words

__all__ = ["AT_LEAST", "CAP", "Convergence", "Goal", "Look", "convergences_in_words"]
