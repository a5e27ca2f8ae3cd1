"""What `sweep` can be asked."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import KW_ONLY, dataclass
from typing import Annotated, Any, ClassVar

from linesim.questions.declare import MeasuredQuestion, Parameter, function_of


@dataclass(frozen=True)
class Sweep(MeasuredQuestion):
    """Simulate many cases of a line: a grid, a list from a table, or points spread over ranges.

    Several --vary make every combination. Headings of a list are keys such as
    buffer.lane.capacity, and case for a name; an empty cell leaves the input as it is.
    """

    name: ClassVar[str] = "sweep"
    asks: ClassVar[str] = "Which of these cases is best, and what does each input bring?"
    tables: ClassVar[tuple[str, ...]] = ("cases", "against_base", "effects")
    examples: ClassVar[tuple[tuple[str, str], ...]] = (
        (
            "linesim sweep scenarios/tractor/line.toml --vary 'buffer.bank-trim.capacity = [2, 4, 8]'",
            "one input at three values, and what each step brings",
        ),
        (
            "linesim sweep line.toml --vary 'crew.cab.people = [4, 6]' "
            '--vary \'takt = ["90 s", "99 s"]\' --latin 20',
            "twenty points spread over two ranges",
        ),
        (
            "linesim sweep line.toml --list cases.csv --out results/cases",
            "a table with a column for each input and a row for each case; tables out",
        ),
    )

    vary: Annotated[
        Mapping[str, Sequence[Any]] | tuple[str, ...],
        Parameter(
            "a key and a list of values, such as 'buffer.lane.capacity = [0, 2, 4, 8]'; may be repeated",
            "LINE",
        ),
    ] = ()
    _: KW_ONLY
    table: Annotated[
        Any, Parameter("take the cases from a CSV file or workbook instead", "TABLE", flag="--list")
    ] = None
    latin: Annotated[
        int | None, Parameter("that many points spread over the ranges (each --vary has two ends)", "N")
    ] = None
    one_at_a_time: Annotated[
        bool, Parameter("each value alone with all else as it is; sees no interactions")
    ] = False
    widen: Annotated[
        int | None,
        Parameter(
            "go on by the last step where the best lies at the end of a range, so many times at most", "N"
        ),
    ] = None
    all: Annotated[bool, Parameter("put every measure into the table of cases")] = False


QUESTION = Sweep
sweep = function_of(Sweep)
