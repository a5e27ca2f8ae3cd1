"""What a study simulated, and how; see `linesim.answers.card`."""

from linesim.answers.card import CaseCard, StudyCard

__all__ = ["CaseCard", "StudyCard"]
