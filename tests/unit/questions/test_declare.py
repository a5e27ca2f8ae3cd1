"""A question declared once: its command, its Python function, its limits and its echo come from one place."""

import inspect
from dataclasses import KW_ONLY, dataclass
from typing import Annotated, Any, ClassVar, Literal

import pytest

from linesim.commands.main import parser
from linesim.errors import WrongQuestionError
from linesim.questions.declare import (
    Declared,
    FileQuestion,
    MeasuredQuestion,
    Parameter,
    docstring,
    fields_of,
    function_of,
    questions,
)


@dataclass(frozen=True)
class Weigh(MeasuredQuestion):
    """Weigh the jobs.

    Twice.
    """

    name: ClassVar[str] = "weigh"
    tables: ClassVar[tuple[str, ...]] = ("weights",)

    of: Annotated[tuple[str, ...], Parameter("what to weigh", "THING")] = ()
    _: KW_ONLY
    chance: Annotated[float | None, Parameter("share of jobs", form="share", such="20%")] = None
    factor: Annotated[float, Parameter("how heavy", least=0.5, most=2)] = 1.0
    way: Annotated[Literal["once", "twice"], Parameter("how often")] = "once"
    dry: Annotated[bool, Parameter("without water")] = False


def field(name: str) -> Any:
    """Return a field of the question."""
    return next(one for one in fields_of(Weigh) if one.name == name)


def test_own_fields_stand_before_those_that_all_have() -> None:
    """A help page begins with what only this question has."""
    names = [one.name for one in fields_of(Weigh)]
    assert names[:5] == ["of", "chance", "factor", "way", "dry"]
    assert names[5:8] == ["measure", "precision", "max_replications"]


@pytest.mark.parametrize(
    ("name", "text", "value"),
    [
        ("chance", "20%", 0.2), ("chance", "0.2", 0.2), ("factor", "1.5", 1.5), ("confidence", "95", 0.95),
        ("confidence", "99%", 0.99), ("replications", "7", 7), ("seed", "0", 0), ("of", "cab", "cab"),
    ],
)  # fmt: skip
def test_texts_of_the_command_line_are_read(name: str, text: str, value: object) -> None:
    """Shares may stand in percent, whole numbers stay whole, text stays text."""
    assert field(name).read(text) == value


@pytest.mark.parametrize(
    ("name", "text", "told"),
    [
        ("chance", "120%", "a share such as 20%"), ("chance", "x", "a share such as 20%"),
        ("factor", "3", "a number such as"), ("replications", "0", "a whole number from 1 to 1000000"),
        ("replications", "1.5", "a whole number"), ("seed", "-1", "from 0 to 2**64 - 1"),
        ("confidence", "40%", "0.95 or 95%"), ("factor", "nan", "a number such as"),
    ],
)  # fmt: skip
def test_texts_outside_the_limits_are_told(name: str, text: str, told: str) -> None:
    """What cannot be is refused with what would be right."""
    with pytest.raises(ValueError, match="found") as wrong:
        field(name).read(text)
    assert told in str(wrong.value)


def test_python_keeps_to_the_same_limits() -> None:
    """Every value that is wrong is named, all at once; a single text stands for a list of one."""
    with pytest.raises(
        WrongQuestionError, match=r"factor: found 9;(.|\n)*way: found 'thrice'; write one of once"
    ):
        Weigh(factor=9, way="thrice")  # type: ignore[arg-type]
    assert Weigh("cab").of == ("cab",)  # type: ignore[arg-type]
    with pytest.raises(WrongQuestionError, match="throughput"):
        _ = Weigh(measure="trughput").wanted


def test_the_echo_holds_what_was_asked_and_no_means() -> None:
    """Workers and stores change no figure, so they are not echoed; neither are usual values."""
    assert Weigh(("cab",), chance=0.2, workers=3, seed=4).echo() == {"of": ["cab"], "chance": 0.2, "seed": 4}


def test_goals_that_do_not_fit_are_told() -> None:
    """A cap without a precision, a precision beside a number, and a cap below three mean nothing."""
    for wrong in (
        {"max_replications": 9},
        {"precision": 0.01, "replications": 5},
        {"precision": 0.01, "max_replications": 2},
    ):
        with pytest.raises(WrongQuestionError):
            _ = Weigh(**wrong).goal  # type: ignore[arg-type]
    goal = Weigh(precision=0.01, measure="line_stop:trim").goal
    assert goal is not None and (goal.measure, goal.where, goal.cap) == ("line_stop", "trim", 200)


def test_the_function_has_names_and_says_what_they_mean() -> None:
    """The Python function takes what the declaration names, nothing else, and its docstring tells of each."""
    weigh = function_of(Weigh)
    assert weigh.__name__ == "weigh"
    said = inspect.getdoc(weigh) or ""
    assert said.startswith("Weigh the jobs.\n\nTwice.\n\nArgs:\n    scenario: The line")
    for one in fields_of(Weigh):
        assert f"\n    {one.name}: " in said
    with pytest.raises(TypeError, match="colour"):
        weigh(None, colour="red")  # type: ignore[call-arg,arg-type]


@pytest.mark.parametrize("question", list(questions()), ids=lambda one: one.name)
def test_every_question_is_a_command_and_a_function(question: type[Declared]) -> None:
    """Each declared question has a command with its options, three examples, and a public function."""
    import linesim

    places = [one.name for one in fields_of(question) if not one.flag.startswith("-")]
    is_of_file = issubclass(question, FileQuestion)
    file = [] if is_of_file else ["line.toml"]
    given = parser(question.name).parse_args([question.name, *file, *places])
    for one in fields_of(question):
        assert one.option.flag == "-" or hasattr(given, one.name)
    assert question.asks.endswith("?")
    assert all(f"{line} ".startswith(f"linesim {question.name} ") for line, _ in question.examples)
    assert len(question.examples) == 3
    if question.name not in ("run", "verify"):  # `linesim.simulate`, and a question about the program
        assert getattr(linesim, question.name).__doc__ == docstring(question, takes_line=not is_of_file)
