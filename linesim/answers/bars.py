"""Bars of text against a limit."""

from __future__ import annotations

LETTERS = 36  #: Room for a bar.
FULL = 1.25  #: Share of the limit at the right edge.


def bar(share: float, worst: float | None = None) -> str:
    """Return a bar for a load: solid up to ``share``, lighter up to ``worst``, a line at the limit.

    Args:
        share: Load as a share of its limit, >= 0; beyond `FULL` the bar ends in ``>``.
        worst: Largest load of any variant, as a share of the limit.

    Examples:
        >>> bar(0.5)
        '██████████████               │      '
    """
    edge = round(LETTERS / FULL)
    solid = min(LETTERS, round(share * edge))
    light = min(LETTERS, round((worst or 0.0) * edge))
    cells = ["█" if i < solid else "▒" if i < light else " " for i in range(LETTERS)]
    if cells[edge] == " ":
        cells[edge] = "│"
    elif cells[edge] == "▒":
        cells[edge] = "┼"
    if max(share, worst or 0.0) > FULL:
        cells[-1] = ">"
    return "".join(cells)


def legend(limit: str, *, with_worst: bool) -> str:
    """Return what the parts of a bar mean."""
    light = ", ▒ the heaviest variant that is built" if with_worst else ""
    return f"█ weighted by the mix{light}, │ {limit}"
