"""What `mix` can be asked."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import KW_ONLY, dataclass
from typing import Annotated, Any, ClassVar

from linesim.questions.declare import MeasuredQuestion, Parameter, function_of
from linesim.questions.parameter import TRIED


@dataclass(frozen=True)
class MixQuestion(MeasuredQuestion):
    """Say what an option mix does to the line, which option drives it, and what spacing gives back.

    Every mix sees the same luck: who takes an option at one rate takes it at every higher
    one. An option's part is the difference between the line with it and the same line, with
    the same jobs and luck, without it: one more case for each option.
    """

    name: ClassVar[str] = "mix"
    asks: ClassVar[str] = "What does the mix of models and options do to the line, and where does it hurt?"
    tables: ClassVar[tuple[str, ...]] = (
        "mixes", "drivers", "overload", "spacing", "built", "loads", "changes",
    )  # fmt: skip
    in_steps: ClassVar[bool] = True
    examples: ClassVar[tuple[tuple[str, str], ...]] = (
        (
            "linesim mix scenarios/tractor/line.toml --vary 'option.loader.take = [0.3, 0.5, 0.7]'",
            "output and stops against the take rate, and the highest that still makes the plan",
        ),
        (
            "linesim mix line.toml --try 'model.field.share = 50%; option.roof.take = 35%'",
            "a new mix against the line as it is",
        ),
        (
            "linesim mix line.toml --orders may.csv --rule 'roof 1 in 3' --out results/may",
            "a list of orders, and one rule of the sequence; tables out",
        ),
    )

    new: Annotated[
        Any,
        Parameter("the line with the new mix, or changes that make it, such as {'option.roof.take': 0.4}",
                  flag="-"),
    ] = None  # fmt: skip
    _: KW_ONLY
    tries: Annotated[tuple[str, ...], Parameter(f"the new mix: {TRIED}", "WHAT", flag="--try")] = ()
    orders: Annotated[
        str | None,
        Parameter("orders with columns model and options (joined by ;), a CSV file or workbook", "TABLE"),
    ] = None
    vary: Annotated[
        Mapping[str, Sequence[Any]] | str | None,
        Parameter(
            "a share or take rate and its values, such as 'option.roof.take = [0.2, 0.3, 0.4]'", "LINE"
        ),
    ] = None
    target: Annotated[
        float | None,
        Parameter("jobs a shift to reach", "JOBS", such="120", by_default="what the file says"),
    ] = None
    rules: Annotated[
        tuple[str, ...],
        Parameter("a spacing rule to try, such as 'roof 1 in 3'; may be repeated", "RULE", flag="--rule",
                  by_default="one for what hurts most"),
    ] = ()  # fmt: skip
    options: Annotated[
        tuple[str, ...],
        Parameter("work out the part of this option only; may be repeated", "NAME", flag="--option",
                  by_default="all"),
    ] = ()  # fmt: skip
    no_options: Annotated[bool, Parameter("do not work out what each option costs")] = False


QUESTION = MixQuestion
mix = function_of(MixQuestion)
