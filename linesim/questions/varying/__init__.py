"""What is varied, and in which combinations: from lines of TOML to the cases of a study."""

from linesim.questions.varying.designs import grid, hypercube, one_at_a_time, read_points, two_level
from linesim.questions.varying.factors import Factor, Point, cases_of, factor_of, factors_of

__all__ = [
    "Factor",
    "Point",
    "cases_of",
    "factor_of",
    "factors_of",
    "grid",
    "hypercube",
    "one_at_a_time",
    "read_points",
    "two_level",
]
