"""What `run` can be asked."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import KW_ONLY, dataclass
from typing import TYPE_CHECKING, Annotated, Any, ClassVar, Concatenate, ParamSpec, cast

from linesim.questions.declare import Declared, MeasuredQuestion, Parameter, function_of

if TYPE_CHECKING:
    from linesim.answers.document import Document
    from linesim.questions.run.answer import RunAnswer
    from linesim.scenario import Scenario

Asked = ParamSpec("Asked")


@dataclass(frozen=True)
class RunQuestion(MeasuredQuestion):
    """Simulate a line: what it makes, what stops it, how sure that is.

    The same file and seed give the same figures, whatever the number of workers.
    """

    name: ClassVar[str] = "run"
    object_name: ClassVar[str] = "result"
    asks: ClassVar[str] = "What does the line make, and what stops it?"
    tables: ClassVar[tuple[str, ...]] = ("measures", "replications", "shifts")
    writes: ClassVar[tuple[str, ...]] = ("events",)
    examples: ClassVar[tuple[tuple[str, str], ...]] = (
        ("linesim run scenarios/tractor/line.toml", "the page for people: output, stops, waits, intervals"),
        (
            "linesim run line.toml --set 'buffer.lane.capacity = 5' --replications 50",
            "one thing changed, and more replications for narrower intervals",
        ),
        (
            "linesim run line.toml --out results/may.xlsx",
            "an Excel workbook; a name without .xlsx makes a folder of CSV files, and keeps the run",
        ),
    )

    _: KW_ONLY
    only_replication: Annotated[
        int | None, Parameter("run replication K alone: the same as the K-th of many", "K")
    ] = None
    events: Annotated[
        str | None,
        Parameter(
            "write everything that happens in the first replication that is run, one line an event (CSV)",
            "FILE",
            decides=False,
        ),
    ] = None

    def text_of(self, field: str, answer: Document) -> str:
        """Return the log of the first replication, run once more with its eyes open."""
        from linesim.questions.run.answer import RunAnswer
        from linesim.questions.run.study import events_csv
        from linesim.runs.drive import drive_for

        assert field == "events" and isinstance(answer, RunAnswer)
        drive = "simpy" if self.drive is None else drive_for(self.drive, self.notice)
        return events_csv(answer.plan, answer.result.run.seed, answer.result.run.numbers[0], drive)


def _simulates(question: Callable[Asked, Declared]) -> Callable[Concatenate[Scenario, Asked], RunAnswer]:
    """Return the function of a question whose answer is that of a run."""
    return cast("Any", function_of(question))  # type: ignore[no-any-return]


QUESTION = RunQuestion
simulate = _simulates(RunQuestion)
