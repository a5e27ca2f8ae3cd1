"""`doubt`: whether what nobody measured could turn the answer."""

from linesim.studies.doubt.study import Doubt, doubt

__all__ = ["Doubt", "doubt"]
