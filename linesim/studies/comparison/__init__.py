"""`compare`: what a change does, paired over common draws."""

from linesim.studies.comparison.compare import Comparison, compare

__all__ = ["Comparison", "compare"]
