"""A distribution as the plan keeps it: the name of its shape and numbers in seconds."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Shape:
    """One distribution of a duration.

    Attributes:
        kind: ``constant`` (value) · ``lognormal`` (mean, cv) · ``normal`` (mean, sd; the part below 0
            is cut off) · ``triangular`` (low, mode, high) · ``pert`` (low, mode, high) · ``uniform``
            (low, high) · ``exponential`` (mean) · ``erlang`` (mean, stages) · ``gamma`` (mean, cv) ·
            ``weibull`` (scale, power) · ``empirical`` (no numbers; the measured times are in ``values``).
        params: The numbers named above, in that order; durations in seconds.
        values: Measured times [s], sorted, for ``empirical`` only.
    """

    kind: str
    params: tuple[float, ...] = ()
    values: tuple[float, ...] = ()
