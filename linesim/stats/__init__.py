"""Statistics over replications: intervals, comparisons, precision, warm-up, selection, designs.

Everything here takes plain numbers and gives plain numbers; nothing knows what was simulated, and
nothing depends on the order in which figures were found.
"""

from linesim.stats.batches import batch_interval, batch_means, neighbour_correlation
from linesim.stats.bootstrap import bootstrap_interval, pooled_quantile_interval, share_interval
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
from linesim.stats.budget import round_budget, spread_budget
from linesim.stats.differences import Difference, paired_difference, welch_degrees, welch_difference
from linesim.stats.elimination import Elimination, eliminate, elimination_boundary, last_look
from linesim.stats.factorial import (
    confused_pairs,
    fold_over,
    fractional_factorial,
    full_factorial,
    interaction,
    main_effects,
    resolution_of,
)
from linesim.stats.intervals import Interval, mean_interval
from linesim.stats.latin import between, latin_hypercube
from linesim.stats.leaders import could_be_highest
from linesim.stats.precision import (
    Enough,
    enough_replications,
    first_precise,
    look_ahead,
    replications_by_ratio,
    replications_for,
)
from linesim.stats.prediction import between_ranks
from linesim.stats.quantiles import normal_ranks, quantile, quantile_interval, quantile_ranks
from linesim.stats.selection import (
    bechhofer_constant,
    dudewicz_dalal_constant,
    replications_to_select,
    rinott_constant,
    weighted_sizes,
)
from linesim.stats.several import differences_from_base, joint_confidence
from linesim.stats.shares import clopper_pearson_interval, wilson_interval
from linesim.stats.student import normal_quantile, student_quantile
from linesim.stats.warm_up import Cut, mser_cut, welch_average

__all__ = [
    "ActivePeriods",
    "Arrows",
    "Cut",
    "Difference",
    "Elimination",
    "Enough",
    "Interval",
    "Pointed",
    "active_periods",
    "arrow_rule",
    "batch_interval",
    "batch_means",
    "bechhofer_constant",
    "between",
    "between_ranks",
    "bootstrap_interval",
    "clopper_pearson_interval",
    "confused_pairs",
    "could_be_highest",
    "differences_from_base",
    "dudewicz_dalal_constant",
    "eliminate",
    "elimination_boundary",
    "enough_replications",
    "first_precise",
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
    "normal_ranks",
    "paired_difference",
    "pooled_quantile_interval",
    "quantile",
    "quantile_interval",
    "quantile_ranks",
    "replications_by_ratio",
    "replications_for",
    "replications_to_select",
    "resolution_of",
    "rinott_constant",
    "round_budget",
    "share_interval",
    "spread_budget",
    "student_quantile",
    "surely_turning",
    "surely_worst",
    "turning_point",
    "weighted_sizes",
    "welch_average",
    "welch_degrees",
    "welch_difference",
    "wilson_interval",
]
