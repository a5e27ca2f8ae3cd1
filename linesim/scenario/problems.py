"""Problems of a scenario: collected with place and code, and the nearest known names.

The paragraphs about the codes stand in `messages.toml`, a wrong scenario for each in `tests/problems`; tests
hold the lists equal.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Sequence
from difflib import get_close_matches
from importlib import resources
from typing import TYPE_CHECKING, Literal

from linesim.errors import Problem
from linesim.scenario.origins import Origins, Path, dotted

if TYPE_CHECKING:
    from linesim.scenario.grid import Cell


class UnreadableError(Exception):
    """A file cannot be read; says what was found and what would be right, and the problem's code."""

    def __init__(self, code: str, message: str, line: int | None = None) -> None:
        super().__init__(message)
        self.code = code
        self.message = message
        self.line = line


def codes(of: str | None = None) -> dict[str, str]:
    """Return the paragraph of each code, without Markdown around it.

    Args:
        of: Group of codes; `warnings` do not refuse a scenario. None takes all groups.
    """
    text = (resources.files("linesim.scenario") / "messages.toml").read_text(encoding="utf-8")
    return {
        code: " ".join(says.split())
        for group, paragraphs in tomllib.loads(text).items()
        for code, says in paragraphs.items()
        if of in (None, group)
    }


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
    if not text.isprintable():
        text = "".join(letter if letter.isprintable() else "\N{REPLACEMENT CHARACTER}" for letter in text)
    return text if len(text) <= _SHOWN else text[: _SHOWN - 3] + "..."


class Notes:
    """Problems found so far, and the places that are already known to be wrong."""

    def __init__(self) -> None:
        self._problems: dict[tuple[str, int | None, str, str], Problem] = {}
        self.failed: set[Path] = set()

    def __len__(self) -> int:
        """Return how many problems there are."""
        return len(self._problems)

    def add(self, problem: Problem) -> None:
        """Keep a problem; of several alike at one place the first counts."""
        self._problems.setdefault((problem.file, problem.line, problem.place, problem.code), problem)

    def at_path(
        self,
        origins: Origins,
        path: Path,
        code: str,
        message: str,
        severity: Literal["error", "warning"] = "error",
    ) -> None:
        """Keep a problem of the value at `path`."""
        spot = origins.find(path)
        place = spot.place or dotted(path)
        self.add(Problem(spot.file, spot.line, place, message, code, severity))

    def at_cell(self, file: str, cell: Cell, code: str, message: str) -> None:
        """Keep a problem of one cell of a table."""
        self.add(Problem(file, cell.line, cell.place, message, code))

    def of_file(self, file: str, error: UnreadableError) -> None:
        """Keep a problem of a file as a whole, or of one of its lines."""
        self.add(Problem(file, error.line, "", error.message, error.code))

    def fail(self, path: Path) -> None:
        """Remember that the value at `path` is wrong, so that nothing else is said of it."""
        self.failed.add(path)

    def is_failed(self, path: Path) -> bool:
        """Return whether the value at `path`, or a table around it, is known to be wrong."""
        return any(path[:end] in self.failed for end in range(1, len(path) + 1))

    def has_failed_below(self, path: Path) -> bool:
        """Return whether a value inside the table at `path` is known to be wrong."""
        return any(len(failed) > len(path) and failed[: len(path)] == path for failed in self.failed)

    def sorted(self, files: Sequence[str]) -> tuple[Problem, ...]:
        """Return the problems by file in the order of `files`, then by line and place."""
        order = {name: number for number, name in enumerate(files)}
        return tuple(
            sorted(
                self._problems.values(),
                key=lambda found: (
                    order.get(found.file, len(order)),
                    found.file,
                    found.line or 0,
                    _natural(found.place),
                    found.code,
                ),
            )
        )

    @property
    def has_errors(self) -> bool:
        """Whether anything found refuses the scenario."""
        return any(problem.severity == "error" for problem in self._problems.values())


def _natural(place: str) -> tuple[tuple[int, str], ...]:
    """Return a sort key in which `row 10` follows `row 9`."""
    parts: list[tuple[int, str]] = []
    word = ""
    digits = ""
    for letter in [*place, ""]:
        if letter.isascii() and letter.isdigit():
            digits += letter
            continue
        if digits:
            parts.append((int(digits[:18]), word))
            word, digits = "", ""
        word += letter
    return (*parts, (-1, word))
