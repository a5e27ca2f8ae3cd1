"""What `doubt` can be asked."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import KW_ONLY, dataclass
from typing import Annotated, Any, ClassVar

from linesim.questions.declare import MeasuredQuestion, Parameter, function_of
from linesim.questions.parameter import TRIED


@dataclass(frozen=True)
class Doubt(MeasuredQuestion):
    """Sensitivity: say whether inputs that nobody measured could turn the answer.

    Each input goes to its low and its high end by itself. `range = [0.8, 1.3]` beside an
    input says how far off it may be; else a guess (`confidence = "guess"`) is taken from
    0.7 to 1.3 times what it is, an estimate from 0.85 to 1.15. What says nothing of itself
    is an estimate; what is "measured" stays. With many inputs the estimated times of a
    station move together. The decision is whether the line makes its [target], or whether
    what --try says is better.
    """

    name: ClassVar[str] = "doubt"
    asks: ClassVar[str] = "Does the answer stand if inputs are wrong?"
    tables: ClassVar[tuple[str, ...]] = ("inputs", "together")
    in_steps: ClassVar[bool] = True
    examples: ClassVar[tuple[tuple[str, str], ...]] = (
        (
            "linesim doubt scenarios/features/guesses.toml",
            "each guess and estimate at its low and high end, ranked by what it changes",
        ),
        (
            "linesim doubt line.toml --try 'crew.trim.people = 7'",
            "does one more operator stay the better choice, whatever the guesses are?",
        ),
        (
            "linesim doubt line.toml --only station.T6 --only robot --each",
            "the inputs of one station and of the robots, one by one",
        ),
    )

    alternative: Annotated[
        Mapping[str, Any] | None,
        Parameter("changes such as {'crew.trim.people': 7}: decide whether the line is better with them",
                  flag="-"),
    ] = None  # fmt: skip
    _: KW_ONLY
    tries: Annotated[
        tuple[str, ...], Parameter(f"decide whether the line is better so: {TRIED}", "WHAT", flag="--try")
    ] = ()
    only: Annotated[
        tuple[str, ...],
        Parameter("beginning of a name, such as station.T6; may be repeated", "INPUT", by_default="all"),
    ] = ()
    guesses: Annotated[bool, Parameter("leave the estimates as they are")] = False
    each: Annotated[bool, Parameter("move every input alone, however many there are")] = False
    by_station: Annotated[bool, Parameter("move estimated times of a station together")] = False


QUESTION = Doubt
doubt = function_of(Doubt)
