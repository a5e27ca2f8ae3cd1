"""One figure of one replication."""

from __future__ import annotations

from typing import NamedTuple

SEGMENT = "segment"  #: ``where`` of figures that speak of the whole piece of line


class Value(NamedTuple):
    """One figure of one replication.

    Attributes:
        measure: What is measured; `linesim.measures.DEFINITIONS` says it in a sentence.
        where: Section, station, crew … that it speaks of, or ``segment``.
        cause: Cause or state that it is booked to; empty where there is none.
        unit: Unit of ``value``.
        value: The figure; None where the replication gives none (a share of no jobs).
    """

    measure: str
    where: str
    cause: str
    unit: str
    value: float | None


def share(part: float, whole: float) -> float | None:
    """Return ``part / whole``, or None where there is no whole to speak of.

    Examples:
        >>> share(1, 4), share(1, 0)
        (0.25, None)
    """
    return float(part) / float(whole) if whole else None
