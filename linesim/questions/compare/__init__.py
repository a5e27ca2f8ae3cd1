"""What `compare` can be asked."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import KW_ONLY, dataclass
from typing import Annotated, Any, ClassVar

from linesim.questions.declare import MeasuredQuestion, Parameter, function_of
from linesim.questions.parameter import TRIED


@dataclass(frozen=True)
class Compare(MeasuredQuestion):
    """Compare a line with changed ones: what the change does, and whether the data can tell.

    Every case sees the same jobs and the same luck, so differences need few replications.
    Each --try is a what-if of its own; lines that belong together stand in one:
    --try 'trim for final: crew.trim.people = 7; crew.final.people = 4'.
    """

    name: ClassVar[str] = "compare"
    asks: ClassVar[str] = "What does the change do?"
    tables: ClassVar[tuple[str, ...]] = ("differences", "levels", "changes")
    examples: ClassVar[tuple[tuple[str, str], ...]] = (
        (
            "linesim compare scenarios/tractor/line.toml --try 'crew.trim.people = 7'",
            "one more operator in trim against the line as it is",
        ),
        (
            "linesim compare line.toml --try 'wide: buffer.lane.capacity = 6' --try 'takt = \"90 s\"' "
            "--set 'run.length = \"2 shifts\"'",
            "two what-ifs, each by itself, held to a joint confidence; shorter runs in every case",
        ),
        (
            "linesim compare today.toml tomorrow.toml --measure line_stop:trim --json",
            "two files, decided by the stop minutes of one section, for programs",
        ),
    )

    others: Annotated[
        Mapping[str, Any] | tuple[Any, ...],
        Parameter(
            "scenarios to compare; in Python also changes such as {'crew.cab.people': 6}, by name or not",
            "OTHER",
            flag="others",
        ),
    ] = ()
    _: KW_ONLY
    tries: Annotated[
        tuple[str, ...], Parameter(f"one more case, the line with changes: {TRIED}", "WHAT", flag="--try")
    ] = ()
    base_name: Annotated[
        str, Parameter("what the answer calls the line as it is", flag="-", by_default="its file, or base")
    ] = ""


QUESTION = Compare
compare = function_of(Compare)
