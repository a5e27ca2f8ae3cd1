"""What `warmup` can be asked."""

from __future__ import annotations

from dataclasses import KW_ONLY, dataclass
from typing import Annotated, ClassVar

from linesim.questions.declare import Parameter, Question, function_of


@dataclass(frozen=True)
class Warmup(Question):
    """Say how much of the start of a run to leave out, and whether the file's own warm-up is enough.

    Welch's moving average over replications, and MSER-5. Exit status 1 if a cut would
    fall in the last half of the run.
    """

    name: ClassVar[str] = "warmup"
    asks: ClassVar[str] = "After how long does nothing of the start show any more?"
    decides: ClassVar[bool] = False
    tables: ClassVar[tuple[str, ...]] = ("cuts", "bias", "moving_average")
    examples: ClassVar[tuple[tuple[str, str], ...]] = (
        (
            "linesim warmup scenarios/tractor/line.toml",
            "finished jobs, jobs inside and stops, with a suggestion",
        ),
        (
            "linesim warmup line.toml --set 'run.start = \"empty\"' --set 'run.length = \"10 shifts\"'",
            "an empty line at first, and a longer look",
        ),
        (
            "linesim warmup line.toml --replications 40 --out results/start",
            "a smoother curve, and every interval as a table",
        ),
    )

    _: KW_ONLY
    window: Annotated[
        int | None,
        Parameter("intervals on each side of the moving average", "N", by_default="a twentieth of the run"),
    ] = None


QUESTION = Warmup
warmup = function_of(Warmup)
