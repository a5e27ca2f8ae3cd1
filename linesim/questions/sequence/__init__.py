"""What `sequence` can be asked."""

from __future__ import annotations

from dataclasses import KW_ONLY, dataclass
from typing import TYPE_CHECKING, Annotated, Any, ClassVar

from linesim.questions.declare import ByMeasure, MaxCompared, MinEffect, Parameter, function_of

if TYPE_CHECKING:
    from linesim.answers.document import Document


@dataclass(frozen=True)
class Sequence(ByMeasure):
    """Say in which order a list of orders should be built.

    Spacing rules of the file hold, or the reason why no order can keep them is told before
    anything runs. Among the orders that do, those are looked for that spread models and options
    evenly and let people drift least past their stations; the best few are simulated against the
    list as it came and against goal chasing, over common draws.
    Needs OR-Tools: install linesim with its extra `levers`.
    """

    name: ClassVar[str] = "sequence"
    asks: ClassVar[str] = "In which order should the list be built, and what does that bring?"
    tables: ClassVar[tuple[str, ...]] = (
        "rules", "gains", "candidates", "sequence", "drift", "money"
    )  # fmt: skip
    in_steps: ClassVar[bool] = True
    writes: ClassVar[tuple[str, ...]] = ("save",)
    examples: ClassVar[tuple[tuple[str, str], ...]] = (
        (
            "linesim sequence scenarios/tractor/line.toml --orders scenarios/tractor/orders.csv "
            "--save better.csv",
            "sixty orders in a better order",
        ),
        (
            "linesim sequence line.toml --orders today.xlsx --within 5",
            "nobody is moved more than five places; a column `due` says where an order should stand",
        ),
        (
            "linesim sequence line.toml --may-break --set 'run.length = \"1 shift\"'",
            "the list of the file; rules that no order can keep are broken as seldom as can be",
        ),
    )

    orders: Annotated[
        Any,
        Parameter(
            "list of orders, a CSV file or workbook with the columns model and options, and due if any",
            "TABLE", by_default="the list of the file",
        ),
    ] = None  # fmt: skip
    _: KW_ONLY
    within: Annotated[
        int | None,
        Parameter("most places that an order is moved from where it is due", "N", form="whole", most=1e6,
               by_default="any"),
    ] = None  # fmt: skip
    may_break: Annotated[
        bool, Parameter("where no order keeps all rules, go on with the fewest broken windows")
    ] = False
    min_effect: MinEffect = None
    max_replications: MaxCompared = None
    save: Annotated[
        str | None,
        Parameter("write the list in the order that brought most, as CSV", "FILE", decides=False),
    ] = None

    def text_of(self, field: str, answer: Document) -> str:
        """Return the list in the order that brought most, all columns of the table kept."""
        from linesim.questions.sequence.study import saved

        assert field == "save"
        return saved(self.orders, answer)


QUESTION = Sequence
sequence = function_of(Sequence)
