"""How far times lie from a shape that was fitted to them, and how often chance alone puts them as far."""

from __future__ import annotations

import numpy as np

from linesim.plan.arrays import FloatArray
from linesim.scenario.shapes import Shape, Uniform

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


def measure_of(shape: Shape) -> str:
    """Return which distance a shape is measured with.

    Anderson and Darling's, but not for a uniform, whose ends are the outermost times: there it is infinite.
    """
    return "Kolmogorov-Smirnov" if isinstance(shape, Uniform) else "Anderson-Darling"


def distance(shape: Shape, times: FloatArray) -> float:
    """Return how far times lie from a shape, by its measure."""
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
