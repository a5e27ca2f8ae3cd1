"""`validate`: does the simulated line look like the plant's own records?"""

from linesim.studies.validation.study import Validation, validate

__all__ = ["Validation", "validate"]
