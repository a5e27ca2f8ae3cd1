"""What `check` can be asked."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from linesim.questions.declare import Declared, function_of


@dataclass(frozen=True)
class Check(Declared):
    """Check a scenario, and whether its work fits the takt.

    Nothing is simulated. Problems go to stderr, all at once, each with its place and the
    mend; the exit status is then 2.
    """

    name: ClassVar[str] = "check"
    asks: ClassVar[str] = "Is the file right, and does the work fit the takt at every station and crew?"
    tables: ClassVar[tuple[str, ...]] = ("stations", "models", "resources", "limits")
    examples: ClassVar[tuple[tuple[str, str], ...]] = (
        ("linesim check scenarios/tractor/line.toml", "problems, loads per station and crew, the ceiling"),
        ("linesim check line.toml --set 'takt = \"90 s\"'", "would the work still fit a shorter takt?"),
        ("linesim check line.toml > /dev/null && echo right", "only whether the file is right"),
    )


QUESTION = Check
check = function_of(Check)
