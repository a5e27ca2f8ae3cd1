"""Distributions of times as plain functions: mean, spread, chance of less, quantile."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray
from scipy import special

from linesim.theory.laws import Law, _ordered, _positive, weibull_cv


def cut_normal(mean: float, sd: float) -> Law:
    """Return the normal law with parameters ``mean`` and ``sd`` given that the value is >= 0.

    The mean of what is left is higher than ``mean``: 2.8 % at a cv of 0.5.
    """
    _positive(sd=sd)
    lost = float(special.ndtr(-mean / sd))
    density = math.exp(-((mean / sd) ** 2) / 2) / math.sqrt(2 * math.pi) / (1 - lost)
    true_mean = mean + sd * density
    variance = sd**2 * (1 - density * mean / sd - density**2)
    return Law(
        "normal cut at zero",
        true_mean,
        math.sqrt(variance),
        0.0,
        max(mean, 0.0) + 10 * sd,
        lambda x: np.where(x < 0, 0.0, (special.ndtr((x - mean) / sd) - lost) / (1 - lost)),
        lambda p: mean + sd * special.ndtri(lost + p * (1 - lost)),
    )


def weibull_power(cv: float) -> float:
    """Return the power of the Weibull law with coefficient of variation ``cv``, 0.01 to 10."""
    low, high = 0.2, 200.0
    if not weibull_cv(high) <= cv <= weibull_cv(low):
        raise ValueError(f"cv must lie between {weibull_cv(high):.3g} and {weibull_cv(low):.3g}, got {cv}")
    for _ in range(200):  # the cv falls as the power rises
        middle = (low + high) / 2
        if weibull_cv(middle) > cv:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def triangular(low: float, mode: float, high: float) -> Law:
    """Return the triangular law; its mean is ``(low + mode + high) / 3``."""
    _ordered(low, mode, high)
    width, left, right = high - low, mode - low, high - mode
    variance = (low**2 + mode**2 + high**2 - low * mode - low * high - mode * high) / 18

    def below(x: NDArray[np.float64]) -> NDArray[np.float64]:
        y = np.clip(x, low, high)
        rising = (y - low) ** 2 / (width * left) if left > 0 else np.zeros_like(y)
        falling = 1 - (high - y) ** 2 / (width * right) if right > 0 else np.ones_like(y)
        return np.where(y < mode, rising, falling)

    def quantile(p: NDArray[np.float64]) -> NDArray[np.float64]:
        rising = low + np.sqrt(p * width * left)
        return np.where(p < left / width, rising, high - np.sqrt((1 - p) * width * right))

    return Law(
        "triangular", (low + mode + high) / 3, math.sqrt(variance), low, high, below, quantile, (mode,)
    )


def pert(low: float, mode: float, high: float) -> Law:
    """Return the beta-PERT law; mean ``(low + 4 mode + high) / 6``.

    Its variance is ``(mean - low) (high - mean) / 7``; the classical ``(high - low) / 6`` is only
    an approximation of the standard deviation.
    """
    _ordered(low, mode, high)
    width = high - low
    a, b = 1 + 4 * (mode - low) / width, 1 + 4 * (high - mode) / width
    mean = (low + 4 * mode + high) / 6
    return Law(
        "pert",
        mean,
        math.sqrt((mean - low) * (high - mean) / 7),
        low,
        high,
        lambda x: special.betainc(a, b, np.clip((x - low) / width, 0.0, 1.0)),
        lambda p: low + width * special.betaincinv(a, b, p),
    )


def sum_sd(sds: list[float] | tuple[float, ...], *, one_pace: bool = False) -> float:
    """Return the standard deviation of a sum of task times.

    Args:
        sds: Standard deviation of each task.
        one_pace: Whether one factor of the person stretches all tasks alike, so that spreads add;
            otherwise tasks vary independently and variances add.
    """
    return math.fsum(sds) if one_pace else math.sqrt(math.fsum(s**2 for s in sds))
