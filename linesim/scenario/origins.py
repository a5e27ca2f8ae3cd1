"""Where each value of a scenario was written, so that a problem can name file, line and place."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

Path = tuple[str | int, ...]
"""Keys from the top of a scenario down to a value; whole numbers count the items of lists."""
Place = tuple[str, ...]
"""Keys from the top of a scenario down to a value."""


@dataclass(frozen=True, slots=True)
class Origin:
    """The spot of a file at which a value stands.

    Attributes:
        file: File as the user would name it, or `--set`.
        line: Line, counted from 1; `None` where there are none (a workbook).
        place: Row and column of a table; empty in a scenario file, where the path says it.
    """

    file: str
    line: int | None = None
    place: str = ""


def dotted(path: Path) -> str:
    """Return a path as text.

    Examples:
        >>> dotted(("station", "K1", "stations", 2))
        'station.K1.stations[3]'
    """
    text = ""
    for part in path:
        text += f"[{part + 1}]" if isinstance(part, int) else f".{part}"
    return text.removeprefix(".")


@dataclass(frozen=True, slots=True)
class Origins:
    """Origins by path; what is not listed has the origin of the nearest table around it."""

    main: str
    spots: Mapping[Path, Origin] = field(default_factory=dict)

    def find(self, path: Path) -> Origin:
        """Return the origin of a path, or of the nearest table around it, or the file as a whole."""
        for end in range(len(path), 0, -1):
            if (spot := self.spots.get(path[:end])) is not None:
                return spot
        return Origin(self.main)

    def under(self, other: Origins, replaced: Iterable[Path] = ()) -> Origins:
        """Return these origins with `other` laid over them; `replaced` paths lose all that was below."""
        gone = set(replaced)
        kept = {
            path: spot
            for path, spot in self.spots.items()
            if not any(path[:end] in gone for end in range(1, len(path)))
        }
        return Origins(self.main, {**kept, **other.spots})


def merged(base: Mapping[str, Any], over: Mapping[str, Any]) -> tuple[dict[str, Any], list[Path]]:
    """Lay one table over another, key by key, and say which values were replaced as a whole.

    Tables merge; everything else, lists too, is replaced. A time of another shape, with figures
    of its own, replaces the one below, since the figures of one shape mean nothing to another.
    """
    replaced: list[Path] = []

    def lay(low: Mapping[str, Any], high: Mapping[str, Any], path: Path) -> dict[str, Any]:
        result = dict(low)
        for key, value in high.items():
            here = (*path, key)
            below = result.get(key)
            if isinstance(value, Mapping) and isinstance(below, Mapping) and not is_other_shape(below, value):
                result[key] = lay(below, value, here)
            else:
                if key in result:
                    replaced.append(here)
                result[key] = value
        return result

    return lay(base, over, ()), replaced


def is_other_shape(low: Mapping[str, Any], high: Mapping[str, Any]) -> bool:
    """Return whether `high` describes a time of another shape, with figures of its own."""
    implied = low.get("shape", "lognormal" if "cv" in low else "constant")
    return "shape" in high and high["shape"] != implied and len(high) > 1


def value_at(raw: Any, path: Path) -> Any:
    """Return the value at a path of a raw scenario, or `None` if there is none."""
    for part in path:
        raw = _below(raw, part)
    return raw


def _below(raw: Any, part: str | int) -> Any:
    if isinstance(raw, Mapping):
        return raw.get(part)
    if isinstance(raw, list | tuple) and isinstance(part, int) and 0 <= part < len(raw):
        return raw[part]
    return None
