"""Intervals by drawing replications again: for shares and quantiles, where Student's t does not fit.

Whole replications are drawn, never single jobs or shifts, which depend on each other within a run.
Bounds are bias-corrected and accelerated (BCa): B. Efron, Journal of the American Statistical
Association 82 (1987) 171-185.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy import special

from linesim.stats.intervals import Interval, finite_values
from linesim.stats.shares import clopper_pearson_interval
from linesim.stats.student import normal_quantile, require_share

#: Figures of resampled studies: indices of shape (studies, replications) to shape (studies,).
Statistic = Callable[[NDArray[np.int64]], NDArray[np.float64]]

_BLOCK = 200  #: Studies drawn at a time; changes memory, never a number.


def bootstrap_interval(
    statistic: Statistic,
    replications: int,
    *,
    confidence: float = 0.95,
    studies: int = 2000,
    seed: int = 1,
) -> Interval:
    """Return a figure of all replications together with its BCa bootstrap interval.

    Args:
        statistic: Computes the figure for rows of replication indices, shape ``(studies, replications)``.
        replications: Number of independent replications, >= 1.
        confidence: Chance of covering the true figure, between 0 and 1.
        studies: How many studies to draw, >= 100.
        seed: Same seed, same interval.

    Returns:
        The interval; with one replication it has no bounds. If every drawn study gives the same
        figure both bounds are that figure.
    """
    require_share("confidence", confidence)
    if replications < 1 or studies < 100:
        raise ValueError(f"need replications >= 1 and studies >= 100, got {replications} and {studies}")
    whole = np.arange(replications, dtype=np.int64)
    estimate = float(statistic(whole[None, :])[0])
    method = "bootstrap (BCa)"
    if replications == 1:
        return Interval(estimate, None, None, None, None, 1, confidence, method)
    luck = np.random.Generator(np.random.Philox(seed))
    drawn = np.concatenate(
        [
            statistic((luck.random((min(_BLOCK, studies - k), replications)) * replications).astype(np.int64))
            for k in range(0, studies, _BLOCK)
        ]
    )
    lowest, highest = float(drawn.min()), float(drawn.max())
    if lowest == highest:
        return Interval(estimate, lowest, highest, None, None, replications, confidence, method)
    left_out = np.concatenate([statistic(np.delete(whole, r)[None, :]) for r in range(replications)])
    pull = left_out.mean() - left_out
    spread = float(np.sum(pull**2))
    acceleration = float(np.sum(pull**3)) / (6 * spread**1.5) if spread > 0 else 0.0
    below = float(np.mean(drawn < estimate) + np.mean(drawn == estimate) / 2)
    below = min(max(below, 0.5 / studies), 1 - 0.5 / studies)
    bias = normal_quantile(below)
    bounds = []
    for tail in ((1 - confidence) / 2, (1 + confidence) / 2):
        z = bias + normal_quantile(tail)
        # Beyond this the correction turns back on itself; the outermost drawn figure is the bound.
        room = 1 - acceleration * z
        share = float(special.ndtr(bias + z / room)) if room > 0 else float(z > 0)
        bounds.append(float(np.quantile(drawn, share)))
    return Interval(estimate, bounds[0], bounds[1], None, None, replications, confidence, method)


def share_interval(
    hits: ArrayLike, cases: ArrayLike, *, confidence: float = 0.95, studies: int = 2000, seed: int = 1
) -> Interval:
    """Return a share over all replications, ``sum(hits) / sum(cases)``, with its interval.

    Args:
        hits: Cases that count, one number per replication, 0 to ``cases``.
        cases: Cases of each replication, >= 0, not all 0; replications without cases tell nothing and are
            left out.
        confidence: Chance of covering the true share, between 0 and 1.
        studies: How many studies to draw.
        seed: Same seed, same interval.

    Returns:
        A BCa interval. Where nothing or everything counts there is nothing to draw from; the exact
        interval of Clopper and Pearson over all cases is given instead and named in ``method``.
    """
    part = np.asarray(finite_values(hits, name="hits"))
    whole = np.asarray(finite_values(cases, name="cases"))
    if part.shape != whole.shape or np.any(part < 0) or np.any(part > whole) or whole.sum() <= 0:
        raise ValueError("hits must lie between 0 and cases in each replication, and some cases be > 0")
    part, whole = part[whole > 0], whole[whole > 0]
    if part.sum() in (0, whole.sum()) and part.size > 1:
        return clopper_pearson_interval(int(part.sum()), int(whole.sum()), confidence)

    def share(rows: NDArray[np.int64]) -> NDArray[np.float64]:
        return np.asarray(part[rows].sum(axis=1) / whole[rows].sum(axis=1))

    return bootstrap_interval(share, part.size, confidence=confidence, studies=studies, seed=seed)


def pooled_quantile_interval(
    groups: Sequence[ArrayLike],
    p: float,
    *,
    confidence: float = 0.95,
    studies: int = 2000,
    seed: int = 1,
) -> Interval:
    """Return a quantile of all values of all replications, with its BCa interval over replications.

    Args:
        groups: The values of each replication, for instance its jobs per shift; none empty.
        p: Chance of a smaller value, 0 to 1.
        confidence: Chance of covering the true quantile, between 0 and 1.
        studies: How many studies to draw.
        seed: Same seed, same interval.
    """
    if not groups or not 0 <= p <= 1:
        raise ValueError(f"need at least one group and 0 <= p <= 1, got {len(groups)} and {p}")
    values = [np.asarray(finite_values(group, name=f"groups[{r}]")) for r, group in enumerate(groups)]
    even = len({v.size for v in values}) == 1
    table = np.stack(values) if even else None

    def pooled(rows: NDArray[np.int64]) -> NDArray[np.float64]:
        if table is not None:
            return np.asarray(np.quantile(table[rows].reshape(len(rows), -1), p, axis=1))
        return np.array([np.quantile(np.concatenate([values[r] for r in row]), p) for row in rows.tolist()])

    return bootstrap_interval(pooled, len(values), confidence=confidence, studies=studies, seed=seed)
