"""What `verify` can be asked."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any, ClassVar

from linesim.questions.declare import Declared, Drive, Notice, Parameter


@dataclass(frozen=True, kw_only=True)
class Verify(Declared):
    """Hold the installed program, or a line, against what must be true of it.

    Each row says what was expected, from which source, what was found, in which interval,
    and the verdict: agrees, differs, or too blind to tell. The exit status is 1 if any
    check fails.
    """

    name: ClassVar[str] = "verify"
    asks: ClassVar[str] = "Does the program give what is known, and does the line keep to its own laws?"
    tables: ClassVar[tuple[str, ...]] = ("checks", "figures")
    about: ClassVar[str] = "scenario, a TOML file; without it the program itself"
    needs_line: ClassVar[bool] = False
    counts: ClassVar[str] = "steps"
    examples: ClassVar[tuple[tuple[str, str], ...]] = (
        ("linesim verify", "published and recomputed answers against this program, in half a minute"),
        ("linesim verify --full --json", "everything, twice as sharp, as one JSON object; takes minutes"),
        (
            "linesim verify scenarios/tractor/line.toml --set 'run.length = \"8 h\"'",
            "what this line must keep to, and which laws do not apply to it",
        ),
    )

    full: Annotated[bool, Parameter("every check of the program, with four times the replications")] = False
    replications: Annotated[
        int | None,
        Parameter(
            "with FILE: independent repetitions of each run, at least 2",
            "N",
            by_default="as many as each check takes, 10 or more",
        ),
    ] = None
    seed: Annotated[
        int | None,
        Parameter("number that all luck follows from", "N", form="whole", most=2**64 - 1,
               by_default="1, or the file's"),
    ] = None  # fmt: skip
    drive: Drive = None
    notice: Notice = None
    progress: Annotated[
        Any, Parameter("called with how many steps are done, and of how many", flag="-", decides=False)
    ] = None


QUESTION = Verify
