"""Nearest known names, and values shown safely in a message."""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches

_SHOWN = 60


def nearest(word: str, known: Iterable[str]) -> tuple[str, ...]:
    """Return up to three known names most like `word`, best first; none if nothing is near.

    Examples:
        >>> nearest("staton", ["section", "station", "tool"])
        ('station', 'section')
    """
    names = list(dict.fromkeys(known))
    by_lower = {name.lower(): name for name in reversed(names)}
    near = get_close_matches(word.lower()[:80], list(by_lower), n=3, cutoff=0.6)
    return tuple(by_lower[name] for name in near)


def has(known: Iterable[str], word: str, thing: str = "") -> str:
    """Return the end of a sentence that names what there is: the nearest names, or the first few.

    Examples:
        >>> has(["torque-gun-1", "torque-gun-2"], "torque-gun-7")
        'it has torque-gun-2, torque-gun-1'
        >>> has([], "x", "tool")
        'it has no tool'
    """
    names = list(dict.fromkeys(known))
    if not names:
        return f"it has no {thing or 'such name'}"
    near = nearest(word, names)
    listed = near or tuple(names[:8])
    more = "" if near or len(names) <= 8 else f" and {len(names) - 8} more"
    return f"it has {', '.join(_short(name) for name in listed)}{more}"


def shown(value: object) -> str:
    """Return a value as a message shows it: short, one line, with no control characters."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int) and value.bit_length() > 200:
        return "a whole number of more than 60 digits"
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list | tuple):
        return "a list"
    return f'"{_short(value)}"' if isinstance(value, str) else _short(str(value))


def _short(text: str) -> str:
    """Return a text on one line, without control characters, cut off where it gets long."""
    text = "".join(letter if letter.isprintable() else "\N{REPLACEMENT CHARACTER}" for letter in text)
    return text if len(text) <= _SHOWN else text[: _SHOWN - 3] + "..."
