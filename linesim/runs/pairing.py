"""The interval of a difference: paired where common draws help, Welch's where they do not."""

from __future__ import annotations

import math

from linesim.plan.arrays import FloatArray
from linesim.stats import Difference, paired_difference, student_quantile, welch_difference

_CLEARLY = 0.25  #: Chance at which an uncorrelated pair would look negative enough to stay paired.


def fair_difference(values: FloatArray, base: FloatArray, confidence: float) -> Difference:
    """Return ``values - base`` with the interval that the data deserve.

    Common draws normally make the two rise and fall together, and the paired interval is the narrow
    one. Where the correlation found is not above 0, pairing only costs degrees of freedom, and Welch's
    interval is given. It would promise too much for figures that truly move against each other, so
    where the correlation is below 0 by more than chance often makes it, the paired interval stays,
    wide as it is. Choosing like this keeps a 95 % interval between 93.7 and 95 % for correlations
    from -0.8 to 0.3 and 5 to 20 replications (simulated for two normal figures of equal spread).

    Args:
        values: The case, one figure per replication.
        base: The base, same length and order.
        confidence: Chance of covering the true difference, between 0 and 1.

    Returns:
        The difference; its correlation and variance ratio are those of the pairs in either case.
    """
    paired = paired_difference(values, base, confidence)
    r, n = paired.correlation, len(values)
    if r is None or r > 0 or n < 3 or is_clearly_negative(r, n):
        return paired
    apart = welch_difference(values, base, confidence)
    return Difference(apart.interval, r, paired.variance_ratio, apart.method)


def is_clearly_negative(correlation: float, n: int) -> bool:
    """Return whether fewer than one in four uncorrelated pairs would look so negative by chance."""
    if correlation <= -1:
        return True
    t = correlation * math.sqrt((n - 2) / (1 - correlation**2))
    return t < -student_quantile(1 - _CLEARLY, n - 2)


def saving_in_words(found: Difference) -> str:
    """Return what common draws were worth, as a sentence; empty where nothing varies."""
    ratio, r = found.variance_ratio, found.correlation
    if ratio is None or found.interval.n < 2:
        return ""
    if math.isinf(ratio):
        same = "Common draws: the difference is the same in every replication."
        return same if found.interval.mean else ""
    if r is None:
        return ""
    if ratio <= 1:
        why = "the interval is Welch's" if found.method == "Welch t" else "the interval stays paired"
        return f"Common draws do not help here (correlation {r:.2f}); {why}."
    return (
        f"Common draws: correlation {r:.2f}; independent draws would need {ratio:.2g} times as many "
        "replications."
        if ratio < 10
        else f"Common draws: correlation {r:.3f}; independent draws would need {ratio:.0f} times as many "
        "replications."
    )
