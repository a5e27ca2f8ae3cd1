"""`validate`: does the simulated line look like the plant's own records?"""

from linesim.questions.validate.study import Validation, validate

__all__ = ["Validation", "validate"]
