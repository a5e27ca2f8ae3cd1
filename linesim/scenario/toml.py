"""TOML text as a raw table, with the place of everything in it."""

from __future__ import annotations

import re
import tomllib
from typing import Any

from linesim.scenario.files import UnreadableError
from linesim.scenario.lines import DEEPEST, TooDeepError, line_map
from linesim.scenario.origins import Origin, Origins

_AT = re.compile(r" \(at (?:line (\d+), column (\d+)|end of document)\)$")


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
