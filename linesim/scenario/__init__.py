"""The scenario: the file, read, checked and frozen."""

from linesim.scenario.loader import Reading, example, from_dict, load, load_text, read, read_text, warnings_of
from linesim.scenario.models import Scenario

__all__ = [
    "Reading", "Scenario", "example", "from_dict", "load", "load_text", "read", "read_text", "warnings_of",
]  # fmt: skip
