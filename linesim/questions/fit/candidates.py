"""The shapes held against measured times, how far times lie from each, and which is proposed."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping, Sequence
from typing import Any, NamedTuple

import numpy as np

from linesim.plan.tables import FloatArray
from linesim.scenario.shapes import (
    Erlang,
    Exponential,
    Gamma,
    Lognormal,
    Normal,
    Pert,
    Shape,
    Triangular,
    Uniform,
    Weibull,
)

SAMPLES = 199  #: Drawn where nobody says; the smallest chance that can be found is 1 in 200.
#: Grids that people write times on [s], coarse ones first.
GRIDS = (3600.0, 60.0, 30.0, 15.0, 10.0, 5.0, 1.0, 0.5, 0.1)
_FINE = 0.02  #: A grid finer than this share of the standard deviation is as good as none.


def anderson_darling(share: FloatArray) -> float:
    """Return the distance of Anderson and Darling, which minds the tails.

    Args:
        share: What a distribution says of the times: the share that is no longer, sorted.

    Notes:
        T. W. Anderson and D. A. Darling, Journal of the American Statistical Association 49 (1954) 765-769.

    Examples:
        >>> round(anderson_darling(np.array([0.25, 0.75])), 6)
        0.249341
    """
    n = share.size
    inside = np.clip(share, 1e-300, 1 - 2.0**-53)
    odd = 2 * np.arange(1, n + 1) - 1
    return float(-n - (odd * (np.log(inside) + np.log1p(-inside[::-1]))).sum() / n)


def kolmogorov_smirnov(share: FloatArray) -> float:
    """Return the largest gap between the shares that a distribution says and those of the data.

    Args:
        share: As in `anderson_darling`.

    Examples:
        >>> kolmogorov_smirnov(np.array([0.25, 0.75]))
        0.25
    """
    n = share.size
    steps = np.arange(n + 1) / n
    return float(np.maximum(steps[1:] - share, share - steps[:-1]).max())


def distance(shape: Shape, times: FloatArray) -> float:
    """Return how far times lie from a shape, by its measure.

    Anderson and Darling's, but not for a uniform, whose ends are the outermost times: there it is infinite.
    """
    share = shape.cumulative(np.sort(times))
    return kolmogorov_smirnov(share) if isinstance(shape, Uniform) else anderson_darling(share)


def grid_of(times: FloatArray) -> float:
    """Return the grid that times were written on [s]; 0 where there is none that would matter.

    Examples:
        >>> grid_of(np.array([61.0, 58.0, 64.0, 70.0])), grid_of(np.array([61.21, 58.04, 64.33, 70.18]))
        (1.0, 0.0)
    """
    for step in GRIDS:
        if np.abs(times / step - np.round(times / step)).max() < 1e-6:
            return step if step > _FINE * float(times.std()) else 0.0
    return 0.0


def chance(shape: Shape, times: FloatArray, *, samples: int = SAMPLES, seed: int = 1) -> tuple[float, float]:
    """Return how far times lie from the shape fitted to them, and the chance to lie as far or further.

    Samples of the same size are drawn from the fitted shape, written on the same grid as the times, and
    fitted in their turn: the distance of a fitted shape is smaller than that of a known one, and a grid
    makes it larger, in the samples as in the data.

    Args:
        shape: The most likely one of its kind for the times.
        times: The times [s], at least two different ones.
        samples: How many to draw.
        seed: Same seed, same chance.

    Notes:
        Parametric bootstrap: W. Stute, W. Gonzalez Manteiga and M. Presedo Quindimil, Metrika 40 (1993)
        243-256 (from memory).
    """
    found = distance(shape, times)
    key = np.random.SeedSequence(seed, spawn_key=(int.from_bytes(shape.kind.encode()[:4], "big"),))
    luck = np.random.Generator(np.random.Philox(key))
    grid = grid_of(times)
    further = 0
    for _ in range(samples):
        drawn = shape.quantile(luck.random(times.size))
        if grid:
            drawn = np.round(drawn / grid) * grid
            if shape.above_zero:
                drawn = np.maximum(drawn, grid / 2)
        if drawn.min() == drawn.max():
            continue  # a sample without spread fits nothing and everything
        further += distance(shape.fitted(drawn), drawn) >= found * (1 - 1e-12)
    return found, (1 + further) / (1 + samples)


FITS, AS_WELL, TOO, NOT = "proposed", "fits as well", "fits too", "does not fit"

LEAST = 0.05  #: A shape from which chance puts no more samples as far off does not fit.
CLOSE = 2.0  #: Shapes whose AIC is so near are not told apart (Burnham and Anderson's rule of thumb).
#: Shapes that are tried, in the order in which they are told.
FITTED: tuple[type[Shape], ...] = (
    Lognormal, Gamma, Erlang, Weibull, Normal, Triangular, Pert, Uniform, Exponential,
)  # fmt: skip
BOUNDED = frozenset({"triangular", "pert", "uniform"})
USUAL = "lognormal"  #: Preferred where the data can't tell: what manual work usually has.


class ShapeCandidate(NamedTuple):
    """A shape that was fitted.

    Attributes:
        shape: The most likely distribution of it.
        mean_s, sd_s: Of the shape, not of the data.
        log_likelihood: Logarithm of the likelihood of the times.
        aic: Akaike's criterion: lower is better.
        measure: Which distance says how far off it is.
        distance: That distance.
        chance: Share of samples drawn from the shape that lie as far off or further.
        fate: ``proposed``, ``fits as well``, ``fits too`` or ``does not fit``.
    """

    shape: Shape
    mean_s: float
    sd_s: float
    log_likelihood: float
    aic: float
    measure: str
    distance: float
    chance: float
    fate: str

    @property
    def kind(self) -> str:
        """Name of the shape."""
        return self.shape.kind

    @property
    def fits(self) -> bool:
        """Whether chance alone explains how far off the times are."""
        return self.fate != NOT

    def quantile(self, p: float) -> float:
        """Return the time [s] that a share ``p`` of times stays below."""
        return float(self.shape.quantile(p))

    def share_below(self, seconds: FloatArray) -> FloatArray:
        """Return the share of times that are no longer than ``seconds``, of the same shape."""
        return self.shape.cumulative(seconds)


class LeftOut(NamedTuple):
    """A shape that was not tried.

    Attributes:
        kind: Its name.
        why: Half a sentence.
    """

    kind: str
    why: str


def candidates(
    times: FloatArray,
    kinds: Sequence[str],
    *,
    samples: int,
    seed: int,
    whatever_fits: bool = True,
    tell: Callable[[int, int], None] | None = None,
) -> tuple[tuple[ShapeCandidate, ...], tuple[LeftOut, ...]]:
    """Return the shapes that could be fitted, the best first, and those that could not.

    Among those that fit the one of lowest AIC is proposed; but the usual shape of manual work where it
    fits as well. A shape with two ends comes only where no other fits: its ends follow the outermost
    times, so that nothing longer than about what was measured could ever come, and its likelihood is
    not to be compared with that of the others.

    Args:
        times: Measured times [s], at least two different ones.
        kinds: Names of the shapes to try.
        samples: Samples for the goodness of fit.
        seed: Of those samples.
        whatever_fits: Whether shapes with two ends are tried also where another fits, so that they cannot
            be proposed; their goodness of fit takes most of the time.
        tell: Told how many shapes are done, and of how many.
    """
    found: list[ShapeCandidate] = []
    out: list[LeftOut] = []
    chosen = sorted((kind for kind in FITTED if kind.kind in kinds), key=lambda kind: kind.kind in BOUNDED)
    for number, kind in enumerate(chosen):
        if tell is not None:
            tell(number, len(chosen))
        if kind.kind in BOUNDED and not whatever_fits and any(one.fits for one in found):
            out.append(LeftOut(kind.kind, "another shape fits (--shape tries them all the same)"))
            continue
        if kind.above_zero and times.min() <= 0:
            out.append(LeftOut(kind.kind, "a time is 0, which it never gives"))
            continue
        shape = kind.fitted(times)
        if not shape.is_usable:
            out.append(LeftOut(kind.kind, "its most likely parameters lie outside what a scenario takes"))
            continue
        if isinstance(shape, Triangular | Pert) and _is_pinched(shape, times):
            out.append(LeftOut(kind.kind, "its most likely end falls together with an outermost time"))
            continue
        found.append(_candidate(shape, times, samples, seed))
    if tell is not None:
        tell(len(chosen), len(chosen))
    return _judged(found), tuple(out)


def _candidate(shape: Shape, times: FloatArray, samples: int, seed: int) -> ShapeCandidate:
    likelihood = shape.log_likelihood(times)
    distance, share = chance(shape, times, samples=samples, seed=seed)
    return ShapeCandidate(
        shape=shape,
        mean_s=shape.mean_s,
        sd_s=shape.sd_s,
        log_likelihood=likelihood,
        aic=2 * shape.n_free - 2 * likelihood,
        measure="Kolmogorov-Smirnov" if isinstance(shape, Uniform) else "Anderson-Darling",
        distance=distance,
        chance=share,
        fate=NOT if share <= LEAST else TOO,
    )


def _is_pinched(shape: Triangular | Pert, times: FloatArray) -> bool:
    """Return whether an end of a shape lies on an outermost time: the likelihood has no proper maximum."""
    slack = 1e-4 * float(times.max() - times.min())
    return float(times.min()) - shape.least_s < slack or shape.most_s - float(times.max()) < slack


def _judged(found: Sequence[ShapeCandidate]) -> tuple[ShapeCandidate, ...]:
    fitting = [one for one in found if one.fate != NOT]
    ranked = sorted(found, key=lambda one: (one.fate == NOT, one.aic))
    if not fitting:
        return tuple(ranked)
    pool = [one for one in fitting if one.kind not in BOUNDED] or fitting
    best = min(one.aic for one in pool)
    close = [one for one in pool if one.aic <= best + CLOSE]
    proposed = next(
        (one.kind for one in close if one.kind == USUAL), min(close, key=lambda one: one.aic).kind
    )
    named = {one.kind: FITS if one.kind == proposed else AS_WELL for one in close}
    ranked = [one._replace(fate=named.get(one.kind, one.fate)) for one in ranked]
    order = (FITS, AS_WELL, TOO, NOT)
    return tuple(sorted(ranked, key=lambda one: order.index(one.fate)))


def candidate_of(row: Mapping[str, Any]) -> ShapeCandidate:
    """Return a shape that was fitted from its row of an answer."""
    figures = tomllib.loads(f"shape = {row['figures']}")["shape"]
    kind = next(one for one in FITTED if one.kind == figures["shape"])
    return ShapeCandidate(kind(**figures), *(row[name] for name in ShapeCandidate._fields[1:]))


def tail_shares(times: FloatArray, one: ShapeCandidate) -> tuple[tuple[float, float, float], ...]:
    """Return share, time of the data and time of the shape at quantiles that planners ask for."""
    return tuple(
        (p, float(np.quantile(times, p)), one.quantile(p)) for p in (0.05, 0.25, 0.5, 0.75, 0.9, 0.95)
    )
