"""What `fit` can be asked."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from dataclasses import KW_ONLY, dataclass
from typing import TYPE_CHECKING, Annotated, ClassVar, Literal

from linesim.questions.declare import FileQuestion, Parameter, function_of_file

if TYPE_CHECKING:
    from linesim.answers.document import Document

ShapeName = Literal[
    "lognormal", "gamma", "erlang", "weibull", "normal", "triangular", "pert", "uniform", "exponential"
]


@dataclass(frozen=True)
class FitQuestion(FileQuestion):
    """Propose shapes for measured times, and write the lines of TOML to paste.

    A time study (columns task, cycle, time, whatever they are called), columns of times
    (each by itself), or bare figures: 75, 1:15, 1,25 min are all read. Times of two tasks
    are never put together. Shapes are fitted by maximum likelihood and held against samples
    drawn from them; where the data can't tell, the lognormal is proposed, a shape with two
    ends only where no other fits, and where none fits, the measured times themselves. Times
    that lie far from the others are named, and shapes fitted with and without them.
    """

    name: ClassVar[str] = "fit"
    asks: ClassVar[str] = "Which shape do measured times have?"
    tables: ClassVar[tuple[str, ...]] = ("tasks", "shapes", "quantiles", "times")
    changes: ClassVar[tuple[str, ...]] = ("into",)
    counts: ClassVar[str] = "shapes"
    examples: ClassVar[tuple[tuple[str, str], ...]] = (
        (
            "linesim fit scenarios/features/times.csv",
            "the only column of times there: which shape, and how well does it fit?",
        ),
        (
            "linesim fit study.xlsx --into tasks.csv",
            "a whole time study; its shapes become the times of the task table",
        ),
        (
            "linesim fit times.txt --shape lognormal --shape gamma --unit min",
            "two shapes only, for figures without a heading; - in place of the file is standard input",
        ),
    )

    times: Annotated[
        Sequence[float] | Mapping[str, Sequence[float]] | bytes | os.PathLike[str] | str,
        Parameter(
            "measured times, a CSV file or workbook, or - for what comes in; in Python also the times [s] "
            "themselves, or several lists by name",
            "TIMES",
            flag="times",
            decides=False,
        ),
    ]
    _: KW_ONLY
    column: Annotated[str | None, Parameter("heading of the times, where it is not clear", "HEADING")] = None
    by: Annotated[
        str | None, Parameter("heading of a column whose values are kept apart, such as Variant", "HEADING")
    ] = None
    unit: Annotated[
        str | None, Parameter("unit of times that name none, such as min", "UNIT", by_default="s")
    ] = None
    only: Annotated[tuple[str, ...], Parameter("a task to fit; may be repeated", "TASK")] = ()
    shapes: Annotated[
        tuple[ShapeName, ...],
        Parameter(
            "a shape to try, such as gamma; may be repeated", "SHAPE", flag="--shape", by_default="all"
        ),
    ] = ()
    outliers: Annotated[
        Literal["keep", "leave-out"],
        Parameter("whether times that lie far from the others count in the lines to paste"),
    ] = "keep"
    into: Annotated[
        str | None,
        Parameter("task table (CSV) whose times become the fitted ones", "TASKS", decides=False),
    ] = None
    samples: Annotated[
        int,
        Parameter("samples drawn for the goodness of fit", "N", form="whole", least=19, most=9999),
    ] = 199
    seed: Annotated[
        int,
        Parameter("number that these samples follow from", "N", form="whole", most=2**64 - 1),
    ] = 1

    def text_of(self, field: str, answer: Document) -> str:
        """Return the task table with the fitted times in it."""
        from linesim.questions.fit.study import FitAnswer

        assert field == "into" and isinstance(answer, FitAnswer)
        return answer.tasks


QUESTION = FitQuestion
fit = function_of_file(FitQuestion)
