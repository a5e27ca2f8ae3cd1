"""Collecting problems, each with its place, until all have been found."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from linesim.errors import Problem
from linesim.scenario.files import UnreadableError
from linesim.scenario.grid import Cell
from linesim.scenario.origins import Origins, Path, dotted


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
