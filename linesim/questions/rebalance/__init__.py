"""What `rebalance` can be asked."""

from __future__ import annotations

from dataclasses import KW_ONLY, dataclass
from typing import TYPE_CHECKING, Annotated, ClassVar

from linesim.errors import WrongQuestionError
from linesim.questions.declare import ByMeasure, MaxCompared, MinEffect, Parameter, function_of

if TYPE_CHECKING:
    from linesim.answers.document import Document

MOST = 99  #: More moves are all.
ALL = "all"  #: As many moves as it takes.


@dataclass(frozen=True)
class Rebalance(ByMeasure):
    """Say which tasks to move to which station, and what that brings.

    Every move costs teaching, tools and quality, so the answer begins with the best single
    move, then the best two, and so on. A program finds moves that leave the least work above
    what stations and crews can do; the simulation decides between them, over common draws.
    Needs OR-Tools: install linesim with its extra `levers`.
    """

    name: ClassVar[str] = "rebalance"
    asks: ClassVar[str] = "Which tasks should move to which station, and what does that bring?"
    tables: ClassVar[tuple[str, ...]] = (
        "gains", "moves", "candidates", "money", "stations", "piles", "stay"
    )  # fmt: skip
    writes: ClassVar[tuple[str, ...]] = ("save",)
    in_steps: ClassVar[bool] = True
    examples: ClassVar[tuple[tuple[str, str], ...]] = (
        ("linesim rebalance scenarios/tractor/line.toml", "the best move, the best two, the best three"),
        (
            "linesim rebalance line.toml --moves 1 --keep T7 --keep X6.lift-test --save moved.toml",
            "one move, none at T7 and not that test; the line with it, as a scenario beside line.toml",
        ),
        (
            "linesim rebalance line.toml --moves all --to final --set 'run.length = \"1 shift\"'",
            "a whole new balance, also into section final; shorter runs",
        ),
    )

    moves: Annotated[
        int | str,
        Parameter("most tasks that move: a number, or all", "N"),
    ] = "3"
    _: KW_ONLY
    to: Annotated[
        tuple[str, ...],
        Parameter(
            "a section or station of the same line that tasks of other sections may move to as well; may be "
            "repeated",
            "PLACE",
            by_default="tasks stay in their section",
        ),
    ] = ()
    keep: Annotated[
        tuple[str, ...],
        Parameter(
            "what stays as it is: a task as station.task, a station or a section; may be repeated", "WHAT"
        ),
    ] = ()
    measure: Annotated[
        str | None,
        Parameter("measure that decides, such as throughput or net_money", "MEASURE",
               by_default="jobs_per_shift"),
    ] = None  # fmt: skip
    min_effect: MinEffect = None
    max_replications: MaxCompared = None
    save: Annotated[
        str | None,
        Parameter(
            "write the line with the moves that brought most as a scenario that extends the present one; it "
            "stands beside it",
            "FILE",
            decides=False,
        ),
    ] = None

    def __post_init__(self) -> None:
        """Refuse a number of moves that is none."""
        super().__post_init__()
        moves = str(self.moves)
        object.__setattr__(self, "moves", moves)
        if moves != ALL and not (moves.isascii() and moves.isdigit() and 0 < int(moves) <= MOST):
            raise WrongQuestionError(
                f"moves: found {moves!r}; write a whole number from 1 to {MOST}, or all."
            )

    @property
    def most(self) -> int | None:
        """Most moves; None for as many as it takes."""
        return None if self.moves == ALL else int(self.moves)

    def text_of(self, field: str, answer: Document) -> str:
        """Return the line with the moves that brought most, as a scenario that extends the present one."""
        from linesim.questions.rebalance.study import extending

        assert field == "save"
        return extending(self, answer)


QUESTION = Rebalance
rebalance = function_of(Rebalance)
