"""TOML text: read as a raw table with the place of everything in it, and written line by line."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from types import MappingProxyType
from typing import Any

from linesim.scenario.origins import DEEPEST, Origin, Origins, Place, TooDeepError, line_map
from linesim.scenario.problems import UnreadableError, shown

_AT = re.compile(r" \(at (?:line (\d+), column (\d+)|end of document)\)$")

#: Text in quotes, or a share such as 40%.
_SHARES = re.compile(r"""("(?:[^"\\]|\\.)*"|'[^']*')|(?<![\w.+-])(\d+(?:\.\d+)?)\s?%""")
_BARE = re.compile(r"[A-Za-z0-9_-]+")
_ESCAPES = MappingProxyType({"\\": "\\\\", '"': '\\"', "\n": "\\n", "\r": "\\r", "\t": "\\t"})


def parse(text: str, file: str, *, first_line: int | None = None) -> tuple[dict[str, Any], Origins]:
    """Return a raw table and where its parts stand.

    Args:
        text: TOML.
        file: Name of the file, for messages.
        first_line: Line that all of the text counts as, for a line of the command line.

    Raises:
        UnreadableError: If the text is no TOML, or is nested too deep.
    """
    try:
        lines = line_map(text)
    except TooDeepError as error:
        raise UnreadableError(
            "too-deep",
            f"tables or lists are nested deeper than {DEEPEST}; a scenario needs no more than 8.",
            error.line,
        ) from None
    try:
        raw = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        message, line = _said(str(error), text)
        raise UnreadableError("no-toml", message, line) from None
    except (ValueError, RecursionError, OverflowError):
        raise UnreadableError("no-toml", "a number or a value is too long to be read.") from None
    spots = {path: Origin(file, first_line or line) for path, line in lines.items()}
    return raw, Origins(file, spots)


def table_of(line: str) -> dict[str, Any]:
    """Return the table that a line of TOML from the command line makes; a share may stand as `40%`.

    Raises:
        ValueError: If the line is no TOML; the message says why.

    Examples:
        >>> table_of("option.cab.take = 40%")
        {'option': {'cab': {'take': '40%'}}}
    """
    try:
        return parse(quoted(line), "", first_line=1)[0]
    except UnreadableError as error:
        raise ValueError(f"{shown(line)}: {error.message}") from None


def quoted(line: str) -> str:
    """Return a line of the command line with its shares in quotes, as TOML wants them."""
    return _SHARES.sub(lambda found: f'"{found[2]}%"' if found[2] else found[0], line)


def _said(error: str, text: str) -> tuple[str, int]:
    """Return the reader's message in our form, and the line."""
    found = _AT.search(error)
    said = error[: found.start()] if found else error
    line = int(found[1]) if found and found[1] else text.count("\n") + 1
    column = f", at column {found[2]}" if found and found[2] else ""
    twice = "overwrite" in said or "twice" in said or "Cannot declare" in said
    right = (
        "the same table or key stands in the file twice; keep one."
        if twice
        else 'a line reads `key = value`, with text in quotes, such as takt = "95 s".'
    )
    return f"this is no TOML ({said[:200]}{column}); {right}", line


def toml_line(path: Place, value: Any) -> str:
    """Return the line that sets a value.

    Examples:
        >>> toml_line(("buffer", "lane 1", "travel"), "20 s")
        'buffer."lane 1".travel = "20 s"'
    """
    return f"{key(path)} = {toml_value(value)}"


def key(path: Place) -> str:
    """Return a place as a dotted key, with quotes where TOML wants them."""
    return ".".join(part if _BARE.fullmatch(part) else _quoted(part) for part in path)


def toml_value(value: Any) -> str:
    """Return a value as TOML writes it.

    Raises:
        TypeError: If TOML has no such value.

    Examples:
        >>> toml_value({"shape": "uniform", "low": "5 s", "high": "7 s"}), toml_value([1, True, 0.5])
        ('{ shape = "uniform", low = "5 s", high = "7 s" }', '[1, true, 0.5]')
    """
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return repr(value)
    if isinstance(value, str):
        return _quoted(value)
    if isinstance(value, Mapping):
        inside = ", ".join(f"{key((name,))} = {toml_value(item)}" for name, item in value.items())
        return f"{{ {inside} }}" if inside else "{}"
    if isinstance(value, list | tuple):
        return f"[{', '.join(toml_value(item) for item in value)}]"
    raise TypeError(f"TOML has no value of the kind {type(value).__name__}")


def shown_value(value: Any) -> str:
    """Return a value as a table shows it: text without quotes.

    Examples:
        >>> shown_value("95 s"), shown_value(4), shown_value([1, 2])
        ('95 s', '4', '[1, 2]')
    """
    return value if isinstance(value, str) else toml_value(value)


def _quoted(text: str) -> str:
    letters = [
        _ESCAPES.get(letter)
        or (letter if letter.isprintable() or ord(letter) > 0x9F else f"\\u{ord(letter):04x}")
        for letter in text
    ]
    return f'"{"".join(letters)}"'
