"""What `validate` can be asked."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from dataclasses import KW_ONLY, dataclass
from typing import Annotated, ClassVar

from linesim.questions.declare import MeasuredQuestion, Parameter, function_of


@dataclass(frozen=True)
class Validate(MeasuredQuestion):
    """Hold the plant's own shift records against the simulated line.

    One row a shift: jobs (finished in it), stop_min (minutes in which the conveyor stood
    though it should have run; stop_min_SECTION where there are several), reworked (jobs
    that a bay put right), shift (what it is called). Any of them may be missing. Other
    columns are left alone, but a heading that looks like a slip of one of these, such as
    Rework, is refused. The answer is plausible, too good or too bad, and by how much;
    never that the line is valid.
    """

    name: ClassVar[str] = "validate"
    asks: ClassVar[str] = "Does the line in the file behave like the plant?"
    decides: ClassVar[bool] = False
    tables: ClassVar[tuple[str, ...]] = ("figures", "shifts")
    examples: ClassVar[tuple[tuple[str, str], ...]] = (
        (
            "linesim validate scenarios/tractor/line.toml scenarios/tractor/actuals.csv",
            "jobs, stop minutes and rework of thirty (invented) shifts against the simulated ones",
        ),
        (
            "linesim validate line.toml march.xlsx --within 3%",
            "a workbook; a difference of less than 3 % of the jobs does not matter",
        ),
        (
            "linesim validate line.toml actuals.csv --assert --json",
            "exit status 1 unless the line is plausible, for programs",
        ),
    )

    actuals: Annotated[
        Mapping[str, Sequence[float]] | os.PathLike[str] | str,
        Parameter(
            "shift records, a CSV file or workbook; in Python also the columns themselves, by heading",
            "ACTUALS",
            flag="actuals",
        ),
    ]
    _: KW_ONLY
    within: Annotated[
        float,
        Parameter(
            "share of the jobs from which on a difference matters; five times that for stop minutes and "
            "rework",
            "P",
            form="share",
            such="2%",
            by_default="2%",
        ),
    ] = 0.02
    must_hold: Annotated[
        bool, Parameter("exit status 1 unless the line is plausible", flag="--assert", decides=False)
    ] = False


QUESTION = Validate
validate = function_of(Validate)
