"""Statistics over replications: intervals, comparisons, precision, warm-up, selection, designs.

Everything here takes plain numbers and gives plain numbers; nothing knows what was simulated.
"""

from linesim.stats.differences import Difference, paired_difference, welch_degrees, welch_difference
from linesim.stats.intervals import Interval, mean_interval
from linesim.stats.student import normal_quantile, student_quantile

__all__ = [
    "Difference",
    "Interval",
    "mean_interval",
    "normal_quantile",
    "paired_difference",
    "student_quantile",
    "welch_degrees",
    "welch_difference",
]
