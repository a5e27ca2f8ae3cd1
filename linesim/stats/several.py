"""Several comparisons at once: each a little wider, so that all of them hold together."""

from __future__ import annotations

from collections.abc import Mapping

from numpy.typing import ArrayLike

from linesim.stats.differences import Difference, paired_difference
from linesim.stats.student import require_share


def joint_confidence(confidence: float, comparisons: int) -> float:
    """Return the confidence each of several intervals needs so that all hold with ``confidence``.

    Bonferroni: ``1 - (1 - confidence) / comparisons``. Holds whatever the comparisons have in common.

    Args:
        confidence: Joint confidence, between 0 and 1.
        comparisons: How many intervals, >= 1.

    Examples:
        >>> joint_confidence(0.95, 2)
        0.975
    """
    require_share("confidence", confidence)
    if comparisons < 1:
        raise ValueError(f"comparisons must be >= 1, got {comparisons}")
    return 1 - (1 - confidence) / comparisons


def differences_from_base(
    alternatives: Mapping[str, ArrayLike], base: ArrayLike, confidence: float = 0.95
) -> dict[str, Difference]:
    """Return each alternative's paired difference from the base, jointly right with ``confidence``.

    Args:
        alternatives: For each name one figure per replication, paired with the base.
        base: The base, one figure per replication.
        confidence: Chance that all intervals cover their true differences, at least.
    """
    each = joint_confidence(confidence, max(1, len(alternatives)))
    return {name: paired_difference(values, base, each) for name, values in alternatives.items()}
