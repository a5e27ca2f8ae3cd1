"""What `buffers` can be asked."""

from __future__ import annotations

from dataclasses import KW_ONLY, dataclass
from typing import Annotated, ClassVar

from linesim.questions.declare import ByMeasure, Parameter, function_of


@dataclass(frozen=True)
class BuffersQuestion(ByMeasure):
    """Say what buffer places bring, and where they belong.

    Every variant sees the same jobs and the same luck, so few replications tell them
    apart. Splits are tried where blocking and starvation meet; the last choice is made
    with the promised confidence, as far as --min-effect goes. With prices in [cost] of
    the file the answer says what places are worth.
    """

    name: ClassVar[str] = "buffers"
    asks: ClassVar[str] = "How many buffer places does the line need, and where?"
    tables: ClassVar[tuple[str, ...]] = ("where", "curve", "steps", "splits", "best", "fewest", "money")
    in_steps: ClassVar[bool] = True
    examples: ClassVar[tuple[tuple[str, str], ...]] = (
        (
            "linesim buffers scenarios/tractor/line.toml",
            "each buffer from no place to endless ones, and what each place adds",
        ),
        ("linesim buffers line.toml --places 9", "nine places over all buffers: which split makes the most"),
        (
            "linesim buffers line.toml --share 0.98 --only lane --only bank",
            "the fewest places at two buffers that reach 98 % of what endless ones give",
        ),
    )

    _: KW_ONLY
    places: Annotated[
        int | None, Parameter("places to split in the best way", "N", form="whole", most=1e6)
    ] = None
    share: Annotated[
        float | None,
        Parameter("fewest places that reach this share of what endless buffers give: 0.98, or 98%", "S",
                  form="share", such="0.98 or 98%"),
    ] = None  # fmt: skip
    only: Annotated[
        tuple[str, ...], Parameter("a buffer to ask about; may be repeated", "BUFFER", by_default="all")
    ] = ()
    min_effect: Annotated[
        float | None,
        Parameter("smallest difference that matters, in the unit of the measure", "X", least=1e-9, such="0.5",
                  by_default="0.5 % of it"),
    ] = None  # fmt: skip
    worth: Annotated[
        float,
        Parameter("what a place must add to pay, in the unit of the measure", "X", such="0.5",
                  by_default="anything"),
    ] = 0.0  # fmt: skip
    every: Annotated[bool, Parameter("compare every split, however many there are")] = False
    max_replications: Annotated[
        int | None, Parameter("most replications of a case", "N", by_default="60")
    ] = None

    @property
    def tables_asked(self) -> tuple[str, ...]:
        """Names of the tables of this answer: of `tables` those that what is asked for needs."""
        wanted = {"where", "money"}
        wanted |= {"curve", "steps"} if self.places is None and self.share is None else set()
        wanted |= set() if self.places is None else {"splits", "best"}
        wanted |= set() if self.share is None else {"fewest"}
        return tuple(name for name in self.tables if name in wanted)


QUESTION = BuffersQuestion
buffers = function_of(BuffersQuestion)
