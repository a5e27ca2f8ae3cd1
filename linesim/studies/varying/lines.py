"""Lines of TOML that are laid over a scenario: written from a place and a value, and laid there."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from linesim.scenario import from_dict
from linesim.studies.wrong_question import WrongQuestionError

if TYPE_CHECKING:
    from linesim.scenario import Scenario

_BARE = re.compile(r"[A-Za-z0-9_-]+")
_ESCAPES = MappingProxyType({"\\": "\\\\", '"': '\\"', "\n": "\\n", "\r": "\\r", "\t": "\\t"})

Path = tuple[str, ...]  #: Keys from the top of a scenario down to a value.


def with_lines(scenario: Scenario, lines: Sequence[str]) -> Scenario:
    """Return a scenario with lines of TOML laid over it, the last one on top.

    Files that the scenario named have been read; a line cannot name another.

    Raises:
        ScenarioError: With everything that is wrong then.
    """
    return from_dict(_as_written(scenario.as_dict()), lines) if lines else scenario


def _as_written(value: Any, name: str = "") -> Any:
    """Return tables as people write them: a chance as its number, a constant time as its text.

    A line that gives them another shape then replaces them, as it does in a file, instead of adding
    figures of one shape to those of another.
    """
    if isinstance(value, list):
        return [_as_written(item) for item in value]
    if not isinstance(value, Mapping):
        return value
    table = {inner: _as_written(item, inner) for inner, item in value.items()}
    if table.get("shape") == ("lognormal" if "cv" in table else "constant"):
        del table["shape"]  # what is meant where none is written
        if list(table) == ["mean"]:
            return table["mean"]
    if list(table) == ["value"] and isinstance(table["value"], int | float):
        return table["value"]
    # The only fault of a task has no name in a file.
    only = table.get("fault") if name == "fault" and list(table) == ["fault"] else None
    return only if isinstance(only, Mapping) and "chance" in only else table


def lines_in(line: str) -> Iterator[tuple[Path, Any]]:
    """Yield the place and the value of everything that a line of TOML sets.

    Raises:
        WrongQuestionError: If the line is no TOML.

    Examples:
        >>> list(lines_in("crew.cab = { people = 3, walk = '2 s' }"))
        [(('crew', 'cab', 'people'), 3), (('crew', 'cab', 'walk'), '2 s')]
    """
    try:
        raw = tomllib.loads(line)
    except (tomllib.TOMLDecodeError, ValueError, RecursionError) as error:
        raise WrongQuestionError(
            f'{line!r} is no line of TOML ({error}); write one such as "buffer.lane.capacity = 4".'
        ) from None
    yield from _leaves(raw, ())


def _leaves(value: Any, path: Path) -> Iterator[tuple[Path, Any]]:
    if isinstance(value, Mapping) and value:
        for key, item in value.items():
            yield from _leaves(item, (*path, key))
    else:
        yield path, value


def toml_line(path: Path, value: Any) -> str:
    """Return the line that sets a value.

    Examples:
        >>> toml_line(("buffer", "lane 1", "travel"), "20 s")
        'buffer."lane 1".travel = "20 s"'
    """
    return f"{key(path)} = {toml_value(value)}"


def key(path: Path) -> str:
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
