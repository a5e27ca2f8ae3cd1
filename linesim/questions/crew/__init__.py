"""What `crew` can be asked."""

from __future__ import annotations

from dataclasses import KW_ONLY, dataclass
from typing import Annotated, ClassVar

from linesim.questions.declare import Parameter, Question, function_of


@dataclass(frozen=True)
class CrewQuestion(Question):
    """Say what one more operator buys on each crew, and what one fewer costs.

    Every change sees the same jobs and the same luck as the line as it is. Each is run a
    few times; only what is not clear then goes on. Prices stand in [cost] of the file:
    operator_per_shift, margin_per_job, stop_minute, currency.
    """

    name: ClassVar[str] = "crew"
    asks: ClassVar[str] = "What does one more operator bring, and in which crew?"
    tables: ClassVar[tuple[str, ...]] = ("gains", "money", "stops", "barred")
    in_steps: ClassVar[bool] = True
    examples: ClassVar[tuple[tuple[str, str], ...]] = (
        (
            "linesim crew scenarios/tractor/line.toml",
            "one more, one fewer and a floater, crew by crew, in jobs and money a shift",
        ),
        (
            "linesim crew line.toml --only trim --only cab --no-fewer",
            "one more in two crews, and a floater for each",
        ),
        (
            "linesim crew line.toml --set 'cost.margin_per_job = 310' --json",
            "with another margin, for programs",
        ),
    )

    only: Annotated[
        tuple[str, ...], Parameter("a crew to ask about; may be repeated", "CREW", by_default="all")
    ] = ()
    _: KW_ONLY
    no_more: Annotated[bool, Parameter("do not ask about one more")] = False
    no_fewer: Annotated[bool, Parameter("do not ask about one fewer")] = False
    no_floater: Annotated[bool, Parameter("do not ask about floaters")] = False
    response: Annotated[
        str | None,
        Parameter("time from a call until a new floater comes, such as '30 s'", "TIME",
               by_default="as floaters there do"),
    ] = None  # fmt: skip
    call_at: Annotated[
        float | None,
        Parameter("share of its window, 0 to 1, at which a station calls that never did", "SHARE", most=1,
               such="0.7", by_default="as stations there do"),
    ] = None  # fmt: skip
    min_effect: Annotated[
        float | None,
        Parameter("smallest difference that matters, in jobs", "X", least=1e-9, such="0.5",
               by_default="0.5 % of what the line makes"),
    ] = None  # fmt: skip


QUESTION = CrewQuestion
crew = function_of(CrewQuestion)
