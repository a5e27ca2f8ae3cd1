"""Spreading a budget of replications so that the best alternative is found most surely."""

from __future__ import annotations

import math
from collections.abc import Sequence


def spread_budget(
    means: Sequence[float], variances: Sequence[float], budget: float, *, higher_is_better: bool = False
) -> tuple[float, ...]:
    """Return how many replications each alternative should have in all, not yet rounded.

    More go to those that are close to the best and to those that vary much. If others tie with the
    best they share the budget with it by variance and nothing goes to the rest.

    Args:
        means: Mean of each alternative so far, at least two.
        variances: Variance of each, > 0.
        budget: Replications of all together, > 0.
        higher_is_better: Whether the largest mean is the best, else the smallest.

    Notes:
        C.-H. Chen, J. Lin, E. Yucesan and S. E. Chick, Discrete Event Dynamic Systems 10 (2000) 251-270.
    """
    if len(means) < 2 or len(variances) != len(means) or min(variances) <= 0 or not budget > 0:
        raise ValueError("need two or more means, as many variances > 0 and a budget > 0")
    value = [-m if higher_is_better else m for m in means]
    best = value.index(min(value))
    tied = [i for i, v in enumerate(value) if v == value[best]]
    if len(tied) > 1:
        total = math.fsum(variances[i] for i in tied)
        return tuple(budget * variances[i] / total if i in tied else 0.0 for i in range(len(value)))
    weight = [
        s2 / (v - value[best]) ** 2 if i != best else 0.0
        for i, (v, s2) in enumerate(zip(value, variances, strict=True))
    ]
    others = math.fsum(w**2 / s2 for w, s2 in zip(weight, variances, strict=True))
    weight[best] = math.sqrt(variances[best] * others)
    total = math.fsum(weight)
    return tuple(budget * w / total for w in weight)


def round_budget(shares: Sequence[float]) -> tuple[int, ...]:
    """Return whole numbers that add up as the shares do, largest remainders first, ties in order."""
    whole = [math.floor(s + 1e-9) for s in shares]
    missing = round(math.fsum(shares)) - sum(whole)
    order = sorted(range(len(whole)), key=lambda i: (whole[i] - shares[i], i))
    for i in order[:missing]:
        whole[i] += 1
    return tuple(whole)
