"""Statistics over replications: intervals, comparisons, precision, warm-up, selection, designs.

Everything here takes plain numbers and gives plain numbers; nothing knows what was simulated, and
nothing depends on the order in which figures were found.
"""

from linesim.stats.bottlenecks import (
    ActivePeriods,
    Arrows,
    Pointed,
    active_periods,
    arrow_rule,
    surely_turning,
    surely_worst,
    turning_point,
)
from linesim.stats.comparisons import (
    Difference,
    between_ranks,
    could_be_highest,
    fair_difference,
    joint_confidence,
    paired_difference,
    welch_degrees,
    welch_difference,
)
from linesim.stats.designs import (
    between,
    confused_pairs,
    fold_over,
    fractional_factorial,
    full_factorial,
    interaction,
    latin_hypercube,
    main_effects,
    resolution_of,
)
from linesim.stats.intervals import (
    Interval,
    bootstrap_interval,
    mean_interval,
    normal_quantile,
    share_interval,
    student_interval,
    student_quantile,
)
from linesim.stats.precision import (
    Enough,
    bechhofer_constant,
    elimination_boundary,
    enough_replications,
    last_look,
    look_ahead,
    replications_for,
    rinott_constant,
)
from linesim.stats.series import Cut, mser_cut, neighbour_correlation, welch_average

__all__ = [
    "ActivePeriods",
    "Arrows",
    "Cut",
    "Difference",
    "Enough",
    "Interval",
    "Pointed",
    "active_periods",
    "arrow_rule",
    "bechhofer_constant",
    "between",
    "between_ranks",
    "bootstrap_interval",
    "confused_pairs",
    "could_be_highest",
    "elimination_boundary",
    "enough_replications",
    "fair_difference",
    "fold_over",
    "fractional_factorial",
    "full_factorial",
    "interaction",
    "joint_confidence",
    "last_look",
    "latin_hypercube",
    "look_ahead",
    "main_effects",
    "mean_interval",
    "mser_cut",
    "neighbour_correlation",
    "normal_quantile",
    "paired_difference",
    "replications_for",
    "resolution_of",
    "rinott_constant",
    "share_interval",
    "student_interval",
    "student_quantile",
    "surely_turning",
    "surely_worst",
    "turning_point",
    "welch_average",
    "welch_degrees",
    "welch_difference",
]
