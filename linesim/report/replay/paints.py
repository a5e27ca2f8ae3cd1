"""How the page fills what is drawn: the paints of the house with their patterns, by name."""

from __future__ import annotations

from typing import Any

from linesim.report.style import FAINT, PALE, PATTERNS, TIMES, VERMILLION, Paint

#: States of stations as everywhere else, and behind threads, where a stop must let them be seen.
_PAINTS = (
    *TIMES.items(),
    ("off", Paint(PALE, FAINT)),
    ("own", Paint("#ffffff", VERMILLION, "cross")),
    ("passed", Paint("#ffffff", FAINT, "rising")),
)

_OPEN = 1.8  #: How much wider the patterns are behind threads, which must be seen on them.


def paints() -> dict[str, dict[str, str]]:
    """Return colour, outline and pattern of everything that is filled, by name."""
    return {name: {"face": paint.face, "edge": paint.edge, "hatch": paint.hatch} for name, paint in _PAINTS}


def tiles() -> list[dict[str, Any]]:
    """Return the patterns that the page defines: size [px], path, colours of ground and strokes, scale."""
    found = []
    for name, paint in _PAINTS:
        if paint.hatch:
            size, path = PATTERNS[paint.hatch]
            found.append(
                {
                    "name": name,
                    "size": size,
                    "path": path,
                    "face": paint.face,
                    "ink": paint.edge,
                    "scale": _OPEN if name in ("own", "passed") else 1,
                }
            )
    return found
