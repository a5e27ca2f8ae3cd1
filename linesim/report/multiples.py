"""Small drawings of one kind side by side, in as many rows as they need."""

from __future__ import annotations

from collections.abc import Sequence


def in_rows(widths: Sequence[float], *, gap: float, room: float) -> list[list[int]]:
    """Return which drawings stand in each row, in order; one that is too wide has a row of its own.

    Args:
        widths: Width of each [px].
        gap: Space between neighbours [px].
        room: Width of a row [px].

    Examples:
        >>> in_rows([40, 40, 40], gap=10, room=100)
        [[0, 1], [2]]
    """
    rows: list[list[int]] = []
    for i, wide in enumerate(widths):
        if not rows or sum(widths[k] + gap for k in rows[-1]) + wide > room:
            rows.append([])
        rows[-1].append(i)
    return rows
