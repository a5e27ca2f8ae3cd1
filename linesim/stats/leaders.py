"""Which of several is the highest, and which others it cannot be told from."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from linesim.stats.student import require_share, student_quantile


def could_be_highest(values: ArrayLike, confidence: float = 0.95) -> tuple[int, ...]:
    """Return which columns could have the highest true mean, the highest mean found first.

    A column drops out when some other one is surely higher. The one that is truly the highest is kept
    with at least the stated confidence, however the winner was chosen: only its own comparisons, one
    fewer than there are columns, can go wrong. They are paired over replications and one-sided, each at
    ``1 - (1 - confidence) / (columns - 1)`` (Bonferroni), so unequal spreads and common draws do no harm.

    Args:
        values: One row per replication, one column per alternative, shape ``(replications, columns)``.
        confidence: Chance of keeping the true highest, between 0 and 1.

    Returns:
        Column numbers from 0, in falling order of their means; all of them if there is one replication.

    Raises:
        ValueError: If ``values`` is no table of finite numbers, or has no row or column.

    Notes:
        Subset selection: S. S. Gupta, Technometrics 7 (1965) 225-245 (from memory).

    Examples:
        >>> could_be_highest([[1.0, 5.0, 5.1], [1.2, 5.2, 5.1], [0.9, 4.9, 5.0]])
        (2, 1)
    """
    require_share("confidence", confidence)
    table = np.asarray(values, dtype=np.float64)
    if table.ndim != 2 or table.size == 0 or not np.isfinite(table).all():
        raise ValueError(f"values must be a table of finite numbers, got shape {table.shape}")
    n, columns = table.shape
    order = np.argsort(-table.mean(axis=0), kind="stable").tolist()
    if n < 2 or columns < 2:
        return tuple(order)
    reach = student_quantile(1 - (1 - confidence) / (columns - 1), n - 1) / math.sqrt(n)

    def is_behind(one: int, other: int) -> bool:
        differences = table[:, other] - table[:, one]
        return bool(differences.mean() > reach * differences.std(ddof=1))

    return tuple(one for one in order if not any(is_behind(one, other) for other in range(columns)))
