"""The scenario: the file, read, checked and frozen."""

from linesim.scenario.models import Scenario

__all__ = ["Scenario"]
