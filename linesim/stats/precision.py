"""How many replications it takes, for one figure and for the best of several, and how long a warm-up.

Promised whenever the best is better than the next by at least the difference that matters. The constants
of sample sizes are solved by quadrature; printed tables mix them up: a much used table of h for P = 0.95 and
20 first replications is that of Dudewicz and Dalal, not of Rinott; they agree for two alternatives only.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from linesim import special
from linesim.stats.intervals import (
    finite_values,
    mean_interval,
    normal_quantile,
    require_share,
    student_quantile,
)

ALIKE = 0.3  #: Correlation of neighbours from which on they are no independent values.


def replications_for(values: ArrayLike, half_width: float, confidence: float = 0.95) -> int:
    """Return the fewest replications whose interval would be no wider, if the spread stays as found.

    The smallest ``r`` with ``t(r - 1) * sd / sqrt(r) <= half_width``.

    Args:
        values: A first few replications, at least two.
        half_width: Half the width wanted, > 0, in the unit of the values.
        confidence: Confidence of the interval, between 0 and 1.
    """
    sd = mean_interval(values, confidence).sd
    if sd is None or not half_width > 0:
        raise ValueError(f"need at least two values and half_width > 0, got half_width {half_width}")
    # t exceeds the normal quantile, so no smaller r can do.
    r = max(2, math.floor((normal_quantile((1 + confidence) / 2) * sd / half_width) ** 2))
    while student_quantile((1 + confidence) / 2, r - 1) * sd / math.sqrt(r) > half_width:
        r += 1
    return r


@dataclass(frozen=True, slots=True)
class Enough:
    """Whether replications are enough by looking ahead.

    Attributes:
        enough: Replications that suffice; ``None`` if not known yet.
        run: Replications to have run before the question can be answered, or answered again.
        relative_half_width: Half width over mean after all the replications given.
    """

    enough: int | None
    run: int
    relative_half_width: float


def look_ahead(n: int, k_limit: int = 5) -> int:
    """Return how many more replications must stay precise: ``floor(k_limit / 100 * max(n, 100))``."""
    return k_limit * max(n, 100) // 100


def enough_replications(
    values: ArrayLike,
    precision: float,
    *,
    confidence: float = 0.95,
    at_least: int = 3,
    k_limit: int = 5,
) -> Enough:
    """Return how many replications suffice, guarding against a half width that is small by chance.

    A count suffices if its half width is at most ``precision`` times the mean and stays so for the
    ``look_ahead`` replications after it. The answer depends on the values alone, not on how many
    are run at a time.

    Args:
        values: Replications in order, at least one.
        precision: Relative half width wanted, > 0.
        confidence: Confidence of the interval, between 0 and 1.
        at_least: First count to look at, >= 2.
        k_limit: Replications to look ahead per hundred, >= 0.

    Notes:
        K. Hoad, S. Robinson and R. Davies, Journal of the Operational Research Society 61 (2010)
        1632-1644, who set ``k_limit`` to 5.
    """
    if not precision > 0 or at_least < 2 or k_limit < 0:
        raise ValueError(
            f"need precision > 0, at_least >= 2, k_limit >= 0, got {precision}, {at_least}, {k_limit}"
        )
    data = finite_values(values)
    kept_since: int | None = None
    now = math.inf
    for n in range(at_least, len(data) + 1):
        now = _relative(data[:n], confidence)
        if now > precision:
            kept_since = None
            continue
        if kept_since is None:
            kept_since = n
        if n >= kept_since + look_ahead(kept_since, k_limit):
            return Enough(kept_since, n, now)
    if kept_since is not None:
        return Enough(None, kept_since + look_ahead(kept_since, k_limit), now)
    return Enough(None, max(len(data) + 1, at_least), now)


def _relative(values: tuple[float, ...], confidence: float) -> float:
    """Return half width over mean; 0 if nothing varies, infinite if the mean is 0."""
    found = mean_interval(values, confidence)
    if found.half_width == 0:
        return 0.0
    relative = found.relative_half_width
    return math.inf if relative is None else relative


@dataclass(frozen=True, slots=True)
class Boundary:
    """Constants of the elimination: ``eta`` and ``h2 = 2 * eta * (first - 1)``."""

    eta: float
    h2: float


def elimination_boundary(alternatives: int, first: int, error: float) -> Boundary:
    """Return the constants for so many alternatives, first replications and chance of error.

    Notes:
        S.-H. Kim and B. L. Nelson, ACM TOMACS 11 (2001) 251-273, with c = 1.
    """
    require_share("error", error)
    if alternatives < 2 or first < 2:
        raise ValueError(
            f"need at least 2 alternatives and 2 first replications, got {alternatives}, {first}"
        )
    eta = ((2 * error / (alternatives - 1)) ** (-2 / (first - 1)) - 1) / 2
    return Boundary(eta, 2 * eta * (first - 1))


def last_look(variance: float, difference: float, boundary: Boundary) -> int:
    """Return after how many replications two alternatives are no longer kept apart by the boundary.

    Args:
        variance: Variance of their paired differences over the first replications.
        difference: The smallest difference that matters, > 0.
        boundary: Constants of the elimination.
    """
    return math.floor(boundary.h2 * variance / difference**2)


def _rule(low: float, high: float, panels: int = 24) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return points and weights of a panelled Gauss-Legendre rule."""
    points, weights = np.polynomial.legendre.leggauss(10)
    edges = np.linspace(low, high, panels + 1)
    half = np.diff(edges)[:, None] / 2
    return (edges[:-1, None] + half * (1 + points)).ravel(), (half * weights).ravel()


def _root(chance: Callable[[float], float], promised: float) -> float:
    """Return where a rising ``chance`` reaches ``promised``, from 0 up."""
    low, high = 0.0, 1.0
    while chance(high) < promised:
        high *= 2
        if high > 1e6:
            raise ValueError("no constant up to a million keeps the promise; use more first replications")
    for _ in range(60):
        middle = (low + high) / 2
        if chance(middle) < promised:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def _check(alternatives: int, promised: float, first: int = 2) -> None:
    if alternatives < 2 or first < 2:
        raise ValueError(
            f"need at least 2 alternatives and 2 first replications, got {alternatives}, {first}"
        )
    if not 1 / alternatives < require_share("promised", promised):
        raise ValueError(f"a promise of {promised} is no more than chance among {alternatives}")


def bechhofer_constant(alternatives: int, promised: float) -> float:
    """Return h for a known common variance: ``n = ceil((h * sigma / difference)**2)`` each.

    Notes:
        R. E. Bechhofer, Annals of Mathematical Statistics 25 (1954) 16-39.
    """
    _check(alternatives, promised)
    z, weight = _rule(-9.0, 9.0)
    weight = weight * np.exp(-(z**2) / 2) / math.sqrt(2 * math.pi)
    return _root(lambda h: float(weight @ special.ndtr(z + h) ** (alternatives - 1)), promised)


def rinott_constant(alternatives: int, promised: float, first: int) -> float:
    """Return h of Rinott for unknown, unequal variances and plain means.

    Args:
        alternatives: How many, >= 2.
        promised: Chance of choosing the best, above ``1 / alternatives``.
        first: First replications of each alternative, >= 2.

    Notes:
        Y. Rinott, Communications in Statistics A7 (1978) 799-811.
    """
    _check(alternatives, promised, first)
    df = first - 1
    low, high = 2 * special.gammaincinv(df / 2, 1e-13), 2 * special.gammainccinv(df / 2, 1e-13)
    # In the logarithm the density is smooth and short-tailed for every number of degrees of freedom.
    log_x, weight = _rule(math.log(low), math.log(high))
    x = np.exp(log_x)
    weight = weight * np.exp(df / 2 * log_x - x / 2 - df / 2 * math.log(2) - special.gammaln(df / 2))
    spread = np.sqrt(df * (1 / x[:, None] + 1 / x[None, :]))
    return _root(
        lambda h: float(weight @ (special.ndtr(h / spread) @ weight) ** (alternatives - 1)), promised
    )


def welch_average(runs: Sequence[ArrayLike], window: int) -> NDArray[np.float64]:
    """Return the mean over replications, smoothed by a moving average, for the eye to find the warm-up.

    Args:
        runs: Values of each replication in order, all of equal length ``m``.
        window: Values on each side, 0 <= window < m / 2; near the start as many as there are.

    Returns:
        Smoothed means of positions 1 to ``m - window``, shape ``(m - window,)``, read-only.

    Notes:
        P. D. Welch in The Computer Performance Modeling Handbook (1983) 268-328.
    """
    table = np.array([finite_values(run, name=f"runs[{r}]") for r, run in enumerate(runs)], dtype=np.float64)
    if table.ndim != 2 or not 0 <= window < table.shape[1] / 2:
        raise ValueError(f"need runs of equal length m and 0 <= window < m / 2, got window {window}")
    mean = table.mean(axis=0)
    sides = [min(i, window) for i in range(mean.size - window)]
    smooth = np.array([mean[i - side : i + side + 1].mean() for i, side in enumerate(sides)])
    smooth.flags.writeable = False
    return smooth


@dataclass(frozen=True, slots=True)
class Cut:
    """Where to cut a run.

    Attributes:
        cut: Values to leave out; ``None`` if the run is too short to say.
        candidate: Where the statistic is smallest, whether accepted or not.
        kept_mean: Mean of what is kept; ``None`` if refused.
        statistic: The statistic for 0, 1, 2, … batches left out.
        batch: Values per batch.
    """

    cut: int | None
    candidate: int
    kept_mean: float | None
    statistic: tuple[float, ...]
    batch: int


def mser_cut(values: ArrayLike, batch: int = 5) -> Cut:
    """Return where to cut a run so that the mean of the rest is as sharp as possible.

    The statistic for ``d`` batches left out is the sum of squares of the rest about its mean over the
    square of their number; ``d`` goes up to half the batches. A smallest value at that end means that
    the run has not settled, and the cut is refused rather than given.

    Args:
        values: One run in order, or the mean of several; at least 4 batches.
        batch: Values per batch, >= 1; 1 is MSER, 5 is MSER-5. An incomplete last batch is left out.

    Notes:
        K. P. White, Simulation 69 (1997) 323-334; K. P. White, M. J. Cobb and S. C. Spratt, Winter
        Simulation Conference 2000, 755-760.
    """
    if batch < 1:
        raise ValueError(f"batch must be >= 1, got {batch}")
    data = np.asarray(finite_values(values, at_least=4 * batch))
    means = data[: data.size // batch * batch].reshape(-1, batch).mean(axis=1)
    last = means.size // 2
    statistic = tuple(
        float(np.sum((rest - rest.mean()) ** 2) / rest.size**2)
        for rest in (means[d:] for d in range(last + 1))
    )
    best = statistic.index(min(statistic))
    refused = best == last
    return Cut(
        None if refused else best * batch,
        best * batch,
        None if refused else float(means[best:].mean()),
        statistic,
        batch,
    )


def neighbour_correlation(values: ArrayLike) -> float | None:
    """Return the correlation of each value with the next, ``None`` if nothing varies.

    Well above 0, it says that the values depend on each other and an interval over them is too narrow.
    """
    data = np.asarray(finite_values(values, at_least=3))
    centred = data - data.mean()
    total = float(np.sum(centred**2))
    return float(np.sum(centred[:-1] * centred[1:])) / total if total > 0 else None


def alike_neighbours(values: ArrayLike) -> float | None:
    """Return the correlation of neighbours where it says that values depend on each other; None elsewhere."""
    found = neighbour_correlation(values)
    return None if found is None or found <= max(ALIKE, 2 / math.sqrt(np.size(values))) else found


def far_from_others(values: ArrayLike, reach: float, *, least: float = 0.0) -> NDArray[np.int64]:
    """Return the places of values that lie far from the middle, by a rule that they cannot bend.

    Args:
        values: The values.
        reach: How many standard deviations are far, taken from the median of the distances from the median.
        least: Standard deviation over the median where more than half of the values are alike.

    Notes:
        F. R. Hampel, Journal of the American Statistical Association 69 (1974) 383-393.

    Examples:
        >>> far_from_others([48, 51, 47, 50, 49, 52, 150], 5.0).tolist()
        [6]
    """
    data = np.asarray(values, dtype=np.float64)
    away = np.abs(data - np.median(data))
    spread = 1.4826 * float(np.median(away)) or least * float(np.median(data))
    return np.flatnonzero(away > reach * spread) if spread else np.zeros(0, dtype=np.int64)
