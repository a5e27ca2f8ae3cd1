"""What can go wrong, said in the words of the shop floor.

Two kinds reach a user: a scenario that is wrong (`ScenarioError`, exit status 2) and a line
that can no longer move (`LineStuck`, exit status 1). Both carry data, so that a command,
a notebook and a test can read them without taking a sentence apart.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

_HIDDEN = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069\ud800-\udfff]")


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing found in a scenario or in a table that it names.

    Attributes:
        file: Name of the file as the user gave it; `"--set"` for a line of the command line.
        line: Line in `file`, counted from 1; `None` where no line can be named.
        place: Dotted table and field (`station.K1.task.bolt-cab.tool`), or row or cell of a
            table (`row 7, mean_s`; `cell C7`); empty for the file as a whole.
        message: What was found and what would be right, one sentence or two.
        code: Stable short name of the kind of problem, such as `unknown-tool`.
        severity: `"error"` refuses the scenario, `"warning"` only says something.
    """

    file: str
    line: int | None
    place: str
    message: str
    code: str
    severity: Literal["error", "warning"] = "error"

    def rendered(self) -> str:
        """Return the problem as two lines: where it stands, then what was found and the mend.

        Examples:
            >>> print(Problem("a.toml", 3, "takt", "found 95; write a unit.", "bare-number").rendered())
            a.toml:3: takt
              found 95; write a unit.  [bare-number]
        """
        where = self.file if self.line is None else f"{self.file}:{self.line}"
        head = f"{where}: {self.place}" if self.place else where
        body = self.message.replace("\n", "\n  ")
        word = "warning: " if self.severity == "warning" else ""
        return f"{head}\n  {word}{body}  [{self.code}]"


def hidden_sign(text: str) -> str:
    """Return the name of a sign in a text that hides or reorders what stands around it; empty if none does.

    Such are the signs that turn the direction of writing round (U+202A to U+202E, U+2066 to U+2069), halves
    of letters, and control signs other than tabs and the ends of lines.

    Examples:
        >>> hidden_sign("crew 3"), hidden_sign("crew \u202e3")
        ('', 'U+202E')
    """
    found = _HIDDEN.search(text)
    return f"U+{ord(found[0]):04X}" if found else ""


class LinesimError(Exception):
    """Base of everything that linesim raises on purpose."""


class ScenarioError(LinesimError):
    """A scenario is wrong; `problems` holds everything that was found, in file order."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems: tuple[Problem, ...] = tuple(problems)
        if not self.problems:
            raise ValueError("a ScenarioError needs at least one problem")
        super().__init__(self.rendered())

    def rendered(self) -> str:
        """Return every problem, one below the other."""
        return "\n".join(problem.rendered() for problem in self.problems)

    def __reduce__(self) -> tuple[type[ScenarioError], tuple[tuple[Problem, ...]]]:
        """Keep the problems when the error crosses to another process."""
        return (type(self), (self.problems,))


def _moment(ticks: int) -> str:
    return f"{ticks / 1000:.15g} s"


class LineStuck(LinesimError):  # noqa: N818 - what the line is, not what failed
    """A line can no longer move although jobs are on it and time is left.

    Attributes:
        at: The moment at which it was found [ticks].
        since: The moment at which a job last moved or work on one went on [ticks]; not later than ``at``.
        held: Sentences that say which job or station waits for what, and who holds it.
    """

    def __init__(self, at: int, since: int, held: Iterable[str]) -> None:
        self.at = at
        self.since = since
        self.held: tuple[str, ...] = tuple(held)
        super().__init__(self.rendered())

    def rendered(self) -> str:
        """Return both moments and, line by line, who holds what."""
        head = f"the line can no longer move: nothing happened after {_moment(self.since)} from the start"
        if self.at != self.since:
            head += f", found at {_moment(self.at)}"
        return "\n".join([head, *(f"  {line}" for line in self.held)])

    def __reduce__(self) -> tuple[type[LineStuck], tuple[int, int, tuple[str, ...]]]:
        """Keep the moments and the sentences when the error crosses to another process."""
        return (type(self), (self.at, self.since, self.held))


class WrongQuestionError(LinesimError):
    """A study was asked for something that it cannot answer; every sentence says what would be right.

    Attributes:
        wrong: One sentence or two for each thing that is wrong.
    """

    status = 2  #: Exit status: the input was wrong.

    def __init__(self, wrong: str | Sequence[str]) -> None:
        self.wrong = (wrong,) if isinstance(wrong, str) else tuple(wrong)
        super().__init__("\n".join(self.wrong))

    def __reduce__(self) -> tuple[type[WrongQuestionError], tuple[tuple[str, ...]]]:
        """Keep the sentences when the error crosses to another process."""
        return (type(self), (self.wrong,))
