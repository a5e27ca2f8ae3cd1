"""Where each value of a scenario was written, to the line, so that a problem can name its place.

The standard library's reader says what a text means but not where it was written. The
scanner reads the same text once more for the places alone. It trusts nothing: on text that
is no TOML it skips to the next line, and it refuses nesting deeper than `DEEPEST`, which
protects the readers that come after it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

DEEPEST = 40  #: Tables and lists inside one another, and parts of a dotted key.

_BLANK = re.compile(r"[ \t]*")
_BLANK_LINES = re.compile(r"(?:[ \t\r\n]+|#[^\n]*)*")
_BARE = re.compile(r"[A-Za-z0-9_-]+")
_BASIC = re.compile(r'"((?:[^"\\\n]|\\.)*)"')
_LITERAL = re.compile(r"'([^'\n]*)'")
_LONG_BASIC = re.compile(r'"""(?:[^"\\]|\\.|"(?!""))*"""(?:"{0,2})', re.DOTALL)
_LONG_LITERAL = re.compile(r"'''.*?'''(?:'{0,2})", re.DOTALL)
_PLAIN = re.compile(r"[^,\]}\s#]+(?: [0-9][^,\]}\s#]*)?")
_ESCAPE = re.compile(r"\\(?:u([0-9A-Fa-f]{4})|U([0-9A-Fa-f]{8})|(.))")


class TooDeepError(ValueError):
    """Tables, lists or dotted keys are nested deeper than `DEEPEST`."""

    def __init__(self, line: int) -> None:
        super().__init__(f"line {line}")
        self.line = line


def line_map(text: str) -> dict[Path, int]:
    r"""Return the line of every table, key and list item of a TOML text, counted from 1.

    Args:
        text: Any text; what cannot be read is skipped.

    Raises:
        TooDeepError: If something is nested deeper than `DEEPEST`.

    Examples:
        >>> line_map('takt = "95 s"\n[crew.cab]\npeople = 2')
        {('takt',): 1, ('crew',): 2, ('crew', 'cab'): 2, ('crew', 'cab', 'people'): 3}
    """
    return _Scanner(text).scan()


class _Scanner:
    __slots__ = ("at", "counts", "line", "seen", "spots", "text")

    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.line = 1
        self.seen = 0  # how far the line breaks have been counted
        self.spots: dict[Path, int] = {}
        self.counts: dict[Path, int] = {}

    def scan(self) -> dict[Path, int]:
        table: Path = ()
        while self._skip_blank_lines() < len(self.text):
            if self.text[self.at] == "[":
                table = self._header() or table
            elif not self._pair(table, 0):
                self._skip_line()
        return self.spots

    def _here(self) -> int:
        self.line += self.text.count("\n", self.seen, self.at)
        self.seen = self.at
        return self.line

    def _mark(self, path: Path) -> None:
        line = self._here()
        for end in range(1, len(path) + 1):
            self.spots.setdefault(path[:end], line)

    def _match(self, pattern: re.Pattern[str]) -> re.Match[str] | None:
        found = pattern.match(self.text, self.at)
        if found:
            self.at = found.end()
        return found

    def _skip_blank_lines(self) -> int:
        self._match(_BLANK_LINES)
        return self.at

    def _skip_line(self) -> None:
        end = self.text.find("\n", self.at)
        self.at = len(self.text) if end < 0 else end + 1

    def _header(self) -> Path | None:
        is_list = self.text.startswith("[[", self.at)
        self.at += 2 if is_list else 1
        key = self._key()
        if not key:
            self._skip_line()
            return None
        path = self._inside_lists(key[:-1]) + key[-1:]
        if is_list:
            number = self.counts[path] = self.counts.get(path, -1) + 1
            path = (*path, number)
        self._mark(path)
        self.spots[path] = self._here()
        self._skip_line()
        return path

    def _inside_lists(self, path: Path) -> Path:
        """Return the path with the number of the last item after each list of tables."""
        whole: Path = ()
        for part in path:
            whole = (*whole, part)
            if whole in self.counts:
                whole = (*whole, self.counts[whole])
        return whole

    def _key(self) -> Path:
        parts: list[str] = []
        while True:
            self._match(_BLANK)
            if found := self._match(_BARE):
                parts.append(found[0])
            elif found := self._match(_BASIC):
                parts.append(_ESCAPE.sub(_unescaped, found[1]))
            elif found := self._match(_LITERAL):
                parts.append(found[1])
            else:
                return ()
            if len(parts) > DEEPEST:
                raise TooDeepError(self._here())
            self._match(_BLANK)
            if not self.text.startswith(".", self.at):
                return tuple(parts)
            self.at += 1

    def _pair(self, table: Path, depth: int) -> bool:
        start = self.at
        key = self._key()
        if not key or not self.text.startswith("=", self.at):
            return False
        stop, self.at = self.at, start
        path = (*table, *key)
        self._mark(path)
        self.at = stop + 1
        self._match(_BLANK)
        self._value(path, depth)
        return True

    def _value(self, path: Path, depth: int) -> None:
        if depth > DEEPEST or len(path) > 2 * DEEPEST:
            raise TooDeepError(self._here())
        letter = self.text[self.at : self.at + 1]
        if letter in ('"', "'"):
            if not any(self._match(kind) for kind in (_LONG_BASIC, _LONG_LITERAL, _BASIC, _LITERAL)):
                self._skip_line()
        elif letter in ("[", "{"):
            self._group(path, depth + 1, is_list=letter == "[")
        else:
            self._match(_PLAIN)

    def _group(self, path: Path, depth: int, *, is_list: bool) -> None:
        """Read a list or an inline table up to its closing bracket."""
        self.at += 1
        number = 0
        while self._skip_blank_lines() < len(self.text):
            start = self.at
            letter = self.text[start]
            if letter in "]}":
                self.at += 1
                return
            if letter == ",":
                self.at += 1
                continue
            if is_list:
                self._mark((*path, number))
                self._value((*path, number), depth)
                number += 1
            elif not self._pair(path, depth):
                self._skip_line()
            if self.at == start:
                self.at += 1


def _unescaped(found: re.Match[str]) -> str:
    code = found[1] or found[2]
    if code:
        number = int(code, 16)
        return chr(number) if number < 0x110000 else "\N{REPLACEMENT CHARACTER}"
    return {"n": "\n", "t": "\t", "r": "\r", "b": "\b", "f": "\f", "e": "\x1b"}.get(found[3], found[3])


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
