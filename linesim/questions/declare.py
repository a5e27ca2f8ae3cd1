"""How a question is declared: once, as a frozen dataclass of what can be asked.

From it come the command with its help, the Python function with its signature and docstring, the limits that
both keep to, and the echo of what was asked in the answer. A question is a folder ``linesim/questions/NAME``
with ``__init__.py``, which declares it, and ``study.py``, whose ``study(asked, scenario)`` answers it.
"""

from __future__ import annotations

import os
import textwrap
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, fields
from functools import cache
from importlib import import_module
from typing import (
    TYPE_CHECKING,
    Annotated,
    Any,
    ClassVar,
    Concatenate,
    ParamSpec,
    cast,
    get_type_hints,
)

from linesim.errors import WrongQuestionError
from linesim.questions.parameter import Confidence, Field, Progress, field_of
from linesim.questions.parameter import Drive as Drive
from linesim.questions.parameter import MaxCompared as MaxCompared
from linesim.questions.parameter import MinEffect as MinEffect
from linesim.questions.parameter import Notice as Notice
from linesim.questions.parameter import Parameter as Parameter

if TYPE_CHECKING:
    from linesim.answers.card import Goal, StudyCard
    from linesim.answers.decision import CaseDecision
    from linesim.answers.document import Document, Part
    from linesim.answers.measure import Measure
    from linesim.answers.table import Table
    from linesim.runs.case_runner import Runner
    from linesim.runs.cases import Case, CaseRuns
    from linesim.runs.run_options import How
    from linesim.scenario import Scenario

Asked = ParamSpec("Asked")
MATTERS = 0.005  #: Share of what the line makes that matters, where nobody says.


@dataclass(frozen=True, kw_only=True, eq=False, repr=False)
class Declared:
    """What every question can be told, also one that runs no replications: about which line.

    The docstring of a question is its purpose in one line, then what else a help page says.
    """

    name: ClassVar[str]
    #: Command lines that work as they stand, each with what it does.
    examples: ClassVar[tuple[tuple[str, str], ...]]
    #: What is asked, in a reader's words, for the top of a page.
    asks: ClassVar[str]
    #: Names of the tables of the answer, in their order: what ``--out`` writes.
    tables: ClassVar[tuple[str, ...]]
    #: Name of the JSON object that ``--out`` writes; empty takes that of the question.
    object_name: ClassVar[str] = ""
    #: Fields that name a file of their own, whose text `text_of` gives.
    writes: ClassVar[tuple[str, ...]] = ()
    #: Whether figures decide what is run next; then `study.py` has ``steps(asked, scenario, first)``, which
    #: makes of the cost of the first step that of all of them.
    in_steps: ClassVar[bool] = False
    #: What the command's FILE is, for its help page.
    about: ClassVar[str] = "scenario, a TOML file"
    #: Whether the command needs a FILE.
    needs_line: ClassVar[bool] = True
    #: Whether its answer is a decision, which ``--card`` puts on one page.
    decides: ClassVar[bool] = False
    #: What progress counts, in the plural.
    counts: ClassVar[str] = "replications"

    sets: Annotated[tuple[str, ...], Parameter("lines laid over the file", flag="-")] = ()
    add: Annotated[tuple[str, ...], Parameter("lines that made new things", flag="-")] = ()
    file: Annotated[
        str, Parameter("name of the scenario's file, for the answer", flag="-", decides=False)
    ] = ""

    def __post_init__(self) -> None:
        """Refuse values outside their limits.

        Raises:
            WrongQuestionError: With all of them.
        """
        wrong = []
        for one in fields_of(type(self)):
            given = getattr(self, one.name)
            if one.is_list and not isinstance(given, Mapping):
                given = (given,) if isinstance(given, str) else tuple(given)
                object.__setattr__(self, one.name, given)
            each = given if one.is_list else (given,)
            wrong += [f"{one.name}: found {item!r}; {s}." for item in each if (s := one.wrong_with(item))]
        if wrong:
            raise WrongQuestionError(wrong)

    def echo(self) -> dict[str, Any]:
        """Return what was asked, as far as it is not what is meant without a word."""
        given = {one.name: getattr(self, one.name) for one in fields_of(type(self)) if one.option.decides}
        return {
            one.name: _plain(given[one.name])
            for one in fields_of(type(self))
            if one.option.decides and given[one.name] != one.default
        }

    def text_of(self, field: str, answer: Document) -> str:
        """Return what the file holds that a field names, see `writes`."""
        raise NotImplementedError(field)

    @property
    def tables_asked(self) -> tuple[str, ...]:
        """Names of the tables of this answer: of `tables` those that what is asked for needs."""
        return self.tables

    @classmethod
    def of_name(cls, name: str) -> Document | None:
        """Return what is said of a name that is no file; None where nothing is."""
        return None

    def told(
        self, card: StudyCard, sentences: Iterable[str], tables: Iterable[Table], parts: Iterable[Part],
        cautions: Iterable[str] = (), *, decision: CaseDecision | None = None, is_refusal: bool = False,
    ) -> Document:  # fmt: skip
        """Return the answer to this question, sentences without a text left out; see `Document`."""
        from linesim.answers.document import Document

        return Document(
            self.name, tuple(filter(None, sentences)), tuple(tables), tuple(parts), tuple(cautions), card,
            self.echo(), is_refusal, decision=decision,
        )  # fmt: skip

    def answer(self, scenario: Scenario | None) -> Document:
        """Ask the question of a line, or of none where it needs none.

        Raises:
            WrongQuestionError: If it cannot be asked so.
            ScenarioError: If a changed line is none.
            LineStuck: If a line can no longer move.
        """
        from linesim.runs.cost import CostOnly

        asked = import_module(f"linesim.questions.{self.name}.study")
        try:
            found: Document = asked.study(self, scenario)
        except CostOnly as only:
            raise (CostOnly(asked.steps(self, scenario, only.cost)) if self.in_steps else only) from None
        names = tuple(table.name for table in found.tables_)
        assert names == self.tables_asked, f"{self.name} declares {self.tables_asked}, its answer has {names}"
        return found


@dataclass(frozen=True, kw_only=True, eq=False, repr=False)
class Question(Declared):
    """What a question can be told that simulates: how often, with which luck, how and where."""

    decides: ClassVar[bool] = True

    replications: Annotated[
        int | None, Parameter("independent repetitions", "N", by_default="what the file says")
    ] = None
    seed: Annotated[
        int | None,
        Parameter("number that all luck follows from", "N", form="whole", most=2**64 - 1,
               by_default="what the file says"),
    ] = None  # fmt: skip
    confidence: Confidence = 0.95
    workers: Annotated[
        int,
        Parameter("replications that run at a time; changes no figure", "N", decides=False,
               by_default="one a processor"),
    ] = 1  # fmt: skip
    cluster: Annotated[
        str | None,
        Parameter("share the work among the workers of this dask scheduler, such as tcp://10.0.0.5:8786",
               "ADDRESS", decides=False),
    ] = None  # fmt: skip
    drive: Drive = None
    store: Annotated[Any, Parameter("a `linesim.Store` of replications", flag="-", decides=False)] = None
    progress: Progress = None
    notice: Notice = None
    only_cost: Annotated[
        bool, Parameter("run nothing; raise `CostOnly` with what it would cost", flag="-", decides=False)
    ] = False

    @property
    def how(self) -> How:
        """How replications are run, for `run_cases`."""
        given = "workers", "store", "cluster", "progress", "notice", "only_cost", "drive", "goal"
        return cast("How", {name: getattr(self, name) for name in given})

    @property
    def goal(self) -> Goal | None:
        """How sharp which measure has to be; None where a number of replications is run."""
        return None

    def run(self, cases: Iterable[Case], **which: Any) -> CaseRuns:
        """Run the replications of cases that are asked for; ``which``: more for `run_cases`."""
        from linesim.runs.cases import run_cases

        return run_cases(cases, replications=self.replications, seed=self.seed, **{**self.how, **which})

    def runner(self, base: Case, count: int, *, foretells: bool = False) -> Runner:
        """Run the first replications of the line as it is, and return what runs more.

        Args:
            base: The line as it is.
            count: How many.
            foretells: Whether it is said beforehand how long all steps may take.
        """
        from linesim.runs.case_runner import Runner, foretell

        steps = import_module(f"linesim.questions.{self.name}.study").steps if foretells else None
        how: dict[str, Any] = {"seed": self.seed, **self.how}
        if steps is not None:
            foretell(base, range(1, count + 1), lambda cost: steps(self, base.scenario, cost), **how)
        return Runner(base, range(1, count + 1), **how)

    def count(self, scenario: Scenario, usual: int) -> int:
        """Return how many replications are asked for, else what the file says, at most the usual number."""
        return min(scenario.run.replications, usual) if self.replications is None else self.replications

    def card(self, runs: CaseRuns) -> StudyCard:
        """Return the card of an answer that rests on replications."""
        return runs.card(self.confidence, file=self.file)

    def matters(self, made: float) -> float:
        """Return the smallest difference that matters: as asked, else a part of what is made, to one digit.

        Args:
            made: What the line makes of the measure that decides.
        """
        asked: float | None = getattr(self, "min_effect", None)
        return (float(f"{abs(made) * MATTERS:.1g}") or 0.1) if asked is None else asked


@dataclass(frozen=True, kw_only=True, eq=False, repr=False)
class ByMeasure(Question):
    """A question that goes by a measure."""

    measure: Annotated[
        str | None,
        Parameter("measure that decides, such as throughput or line_stop:trim", "MEASURE",
               by_default="jobs_per_shift"),
    ] = None  # fmt: skip

    @property
    def wanted(self) -> Measure | None:
        """The measure asked for; None for the usual one.

        Raises:
            WrongQuestionError: If there is none of this name.
        """
        from linesim.answers.measure import measure_named

        return None if self.measure is None else measure_named(self.measure)


@dataclass(frozen=True, kw_only=True, eq=False, repr=False)
class MeasuredQuestion(ByMeasure):
    """A question that goes by a measure, and may run as many replications as that needs."""

    precision: Annotated[
        float | None,
        Parameter("as many replications as the measure needs: 1% is known to 1 % of its mean, in every case",
                  "P", form="share", such="1%"),
    ] = None  # fmt: skip
    max_replications: Annotated[
        int | None, Parameter("most replications of a case with --precision", "N", by_default="200")
    ] = None

    @property
    def goal(self) -> Goal | None:
        """How sharp which measure has to be; None where a number of replications is run."""
        cap = self.max_replications
        if self.precision is None:
            if cap is not None:
                raise WrongQuestionError(
                    "--max-replications caps --precision: say how sharp, such as --precision 1%."
                )
            return None
        from linesim.answers.card import AT_LEAST, CAP, Goal
        from linesim.answers.measure import Measure

        if self.replications is not None or getattr(self, "only_replication", None) is not None:
            raise WrongQuestionError(
                "--precision finds the number of replications; leave --replications out, or cap it with "
                "--max-replications."
            )
        if cap is not None and cap < AT_LEAST:
            raise WrongQuestionError(f"--max-replications {cap} is too few; write {AT_LEAST} or more.")
        return Goal(self.precision, *(self.wanted or Measure("")), cap=cap or CAP, confidence=self.confidence)


@dataclass(frozen=True, kw_only=True, eq=False, repr=False)
class FileQuestion(Declared):
    """What a question can be told that is about a file of figures; its first field names the file."""

    needs_line: ClassVar[bool] = False
    #: Fields that name a file that is there, which the answer changes; `text_of` gives its new text.
    changes: ClassVar[tuple[str, ...]] = ()

    confidence: Confidence = 0.95
    progress: Annotated[
        Any, Parameter("called with how much is done, and of how much", flag="-", decides=False)
    ] = None


def fields_of(question: type[Declared]) -> tuple[Field, ...]:
    """Return the fields of a question, its own first, as a help page lists them."""
    return _fields_of(cast("Any", question))


@cache
def _fields_of(question: Any) -> tuple[Field, ...]:
    hints = get_type_hints(question, include_extras=True)
    all_have = [one.name for one in fields(Question)]
    measured = [one.name for one in fields(MeasuredQuestion)]
    listed = sorted(fields(question), key=lambda one: (one.name in measured, one.name in all_have))
    return tuple(field_of(one.name, hints[one.name], one.default) for one in listed)


def function_of(
    question: Callable[Asked, Declared],
) -> Callable[Concatenate[Scenario, Asked], Document]:
    """Return the Python function of a question: it takes a scenario, then what the question takes."""

    def function(scenario: Scenario, /, *args: Asked.args, **kwargs: Asked.kwargs) -> Document:
        return question(*args, **kwargs).answer(scenario)

    _describe(function, question)
    return function


def function_of_file(question: Callable[Asked, FileQuestion]) -> Callable[Asked, Document]:
    """Return the Python function of a question of a file: it takes what the question takes."""

    def function(*args: Asked.args, **kwargs: Asked.kwargs) -> Document:
        return question(*args, **kwargs).answer(None)

    _describe(function, question)
    return function


def _describe(function: Callable[..., Document], question: Callable[..., Declared]) -> None:
    """Give a function the name and the docstring of its question."""
    declared = cast("type[Declared]", question)
    function.__name__ = function.__qualname__ = declared.name
    function.__doc__ = docstring(declared, takes_line=not issubclass(declared, FileQuestion))
    function.__module__ = declared.__module__


def docstring(question: type[Declared], *, takes_line: bool = True) -> str:
    """Return the docstring of the function of a question, which takes a line first or none."""
    lines = [purpose(question)[0] + ".", "", *filter(None, [purpose(question)[1]]), "", "Args:"]
    if takes_line:
        lines.append("    scenario: The line, as `linesim.load` gives it.")
    for one in fields_of(question):
        said = f"{one.name}: {one.help[0].upper()}{one.help[1:]}."
        lines += textwrap.wrap(said, 100, initial_indent="    ", subsequent_indent="        ")
    return "\n".join(lines) + "\n"


def purpose(question: type[Declared]) -> tuple[str, str]:
    """Return what a question is for, in one line without a full stop, and what else its help page says."""
    first, _, more = (question.__doc__ or "").strip().partition("\n")
    return first.removesuffix("."), textwrap.dedent(more).strip()


def questions() -> Iterator[type[Declared]]:
    """Yield the declared questions, in the order of the help page."""
    from linesim.questions import NAMES

    return (question_named(name) for name in NAMES)


def question_named(name: str) -> type[Declared]:
    """Return the question of a command."""
    found: type[Declared] = import_module(f"linesim.questions.{name}").QUESTION
    return found


def _plain(value: Any) -> Any:
    if isinstance(value, Mapping):
        return {str(name): _plain(item) for name, item in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    if isinstance(value, str | int | float | None):
        return value
    if isinstance(value, os.PathLike):
        return os.fspath(value)
    return getattr(value, "title", None) or type(value).__name__
