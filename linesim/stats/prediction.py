"""How many further values fall between two of a sample, whatever the distribution."""

from __future__ import annotations

import math
from typing import NamedTuple


class Tails(NamedTuple):
    """Chances of a count.

    Attributes:
        at_most: Chance of so many or fewer.
        at_least: Chance of so many or more.
    """

    at_most: float
    at_least: float


def between_ranks(inside: int, further: int, *, gaps: int, sample: int) -> Tails:
    """Return how likely it is that so few, or so many, of further values fall between two of a sample.

    Both the sample and the further values are luck: where the sample is small, so is what it tells of
    the range.

    Args:
        inside: How many of the further values fall into the range, 0 to ``further``.
        further: How many there are, >= 1, independent and of the same continuous distribution.
        gaps: Difference of the ranks of the two values of the sample, 1 to ``sample - 1``.
        sample: Size of the sample, >= 2.

    Raises:
        ValueError: If an argument is outside its limits.

    Notes:
        The share of the distribution between the two is Beta(gaps, sample - gaps + 1), so the count is
        beta-binomial. S. S. Wilks, Annals of Mathematical Statistics 13 (1942) 400-409 (from memory).

    Examples:
        One further value falls between the two of a sample in one of three cases:

        >>> round(between_ranks(1, 1, gaps=1, sample=2).at_least, 4)
        0.3333
    """
    if not (1 <= gaps < sample and 0 <= inside <= further and further >= 1):
        raise ValueError(f"got {inside} of {further} further values, {gaps} gaps of a sample of {sample}")
    a, b = gaps, sample - gaps + 1
    chances = [
        math.exp(
            _log_beta(a + k, b + further - k)
            - _log_beta(a, b)
            - _log_beta(k + 1, further - k + 1)
            - math.log(further + 1)
        )
        for k in range(further + 1)
    ]
    return Tails(math.fsum(chances[: inside + 1]), math.fsum(chances[inside:]))


def _log_beta(a: float, b: float) -> float:
    return math.lgamma(a) + math.lgamma(b) - math.lgamma(a + b)
