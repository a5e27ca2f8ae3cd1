"""What `staff` can be asked."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import KW_ONLY, dataclass
from typing import Annotated, ClassVar

from linesim.questions.declare import ByMeasure, Parameter, function_of


@dataclass(frozen=True)
class Staff(ByMeasure):
    """Find the cheapest staffing that makes a target a shift, or the most that so many people can make.

    Starts from the desk calculation (the work of each crew at the heavier jobs) and goes on by
    simulated gain per cost: one more, one fewer, one from crew to crew, a floater more, and two
    of these together. Every staffing sees the same jobs and the same luck; what is clearly worse
    is left early. Wages stand in [cost] of the file; without them the number of people counts.
    """

    name: ClassVar[str] = "staff"
    asks: ClassVar[str] = "How many people in which crew?"
    tables: ClassVar[tuple[str, ...]] = ("staffings", "crews", "steps", "money")
    in_steps: ClassVar[bool] = True
    examples: ClassVar[tuple[tuple[str, str], ...]] = (
        (
            "linesim staff scenarios/tractor/line.toml --target 120 --in-shifts 80%",
            "the cheapest staffing that makes 120 a shift in 8 shifts of 10",
        ),
        (
            "linesim staff line.toml --people 30 --keep drive --most trim=8",
            "the most that 30 people can make, nobody moved to or from one crew, a limit for another",
        ),
        (
            "linesim staff line.toml --measure net_money --json",
            "the staffing that earns most, for programs",
        ),
    )

    target: Annotated[
        float | None,
        Parameter("jobs a shift to make", "JOBS", least=1, such="120", by_default="what the file says"),
    ] = None
    _: KW_ONLY
    in_shifts: Annotated[
        float, Parameter("least share of the shifts that make it: 80% is 8 of 10", "SHARE", form="share",
                         such="80%", by_default="80%"),
    ] = 0.8  # fmt: skip
    people: Annotated[
        int | None, Parameter("ask for the most that so many people can make instead, floaters included", "N")
    ] = None
    measure: Annotated[
        str | None,
        Parameter("measure that decides, such as throughput: to have the most of it with --people, or alone",
                  "MEASURE", by_default="jobs_per_shift with --people"),
    ] = None  # fmt: skip
    keep: Annotated[tuple[str, ...], Parameter("a crew that stays as it is; may be repeated", "CREW")] = ()
    least: Annotated[
        Mapping[str, int] | tuple[str, ...],
        Parameter("least people in a crew, such as trim=5; may be repeated", "CREW=N",
                  by_default="what its tasks need at once"),
    ] = ()  # fmt: skip
    most: Annotated[
        Mapping[str, int] | tuple[str, ...],
        Parameter("most people in a crew, such as trim=8; may be repeated", "CREW=N",
                  by_default="4 more than it has or needs on paper"),
    ] = ()  # fmt: skip
    no_floater: Annotated[bool, Parameter("add no floater to a crew whose stations have none")] = False
    response: Annotated[
        str | None,
        Parameter("time from a call until a new floater comes, such as '30 s'", "TIME",
                  by_default="as floaters there do"),
    ] = None  # fmt: skip
    most_staffings: Annotated[int, Parameter("most staffings to look at", "N", least=2)] = 40


QUESTION = Staff
staff = function_of(Staff)
