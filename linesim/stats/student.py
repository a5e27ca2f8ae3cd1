"""Quantiles of the normal, Student and beta distributions, from ``scipy.special`` only.

``scipy.stats`` would say the same things and takes a second to import.
"""

from __future__ import annotations

from scipy import special


def require_share(name: str, value: float) -> float:
    """Return ``value`` if it lies strictly between 0 and 1, else say what is wrong with it."""
    if not 0.0 < value < 1.0:
        raise ValueError(f"{name} must lie between 0 and 1, got {value}")
    return float(value)


def normal_quantile(p: float) -> float:
    """Return the standard normal value that is exceeded with chance ``1 - p``."""
    return float(special.ndtri(require_share("p", p)))


def student_quantile(p: float, df: float) -> float:
    """Return the quantile ``p`` of Student's t with ``df`` degrees of freedom.

    Args:
        p: Chance of a smaller value, strictly between 0 and 1.
        df: Degrees of freedom, > 0; need not be whole.

    Raises:
        ValueError: If ``p`` or ``df`` is outside its limits.

    Examples:
        >>> round(student_quantile(0.975, 9), 6)
        2.262157
    """
    require_share("p", p)
    if not df > 0:
        raise ValueError(f"df must be > 0, got {df}")
    if p == 0.5:
        return 0.0
    return float(special.stdtrit(df, p))


def beta_quantile(p: float, a: float, b: float) -> float:
    """Return the quantile ``p`` of the beta distribution with both shapes > 0."""
    return float(special.betaincinv(a, b, require_share("p", p)))


def binomial_at_most(k: int, n: int, p: float) -> float:
    """Return the chance of at most ``k`` successes in ``n`` independent tries of chance ``p``."""
    if k < 0:
        return 0.0
    if k >= n:
        return 1.0
    return float(special.betainc(n - k, k + 1, 1.0 - p))
