"""What is said of one thing that a question can be asked, and how its value is read and checked."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import MISSING, dataclass
from types import MappingProxyType, NoneType, UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

Form = Literal["count", "whole", "amount", "share", "text", "yes"]


@dataclass(frozen=True, slots=True)
class Parameter:
    """What is said of a field of a question.

    Attributes:
        help: What it does, without a capital or full stop; the default is added by itself.
        metavar: What stands for the value on a help page.
        flag: Option of the command; empty takes the name of the field with ``--``; a word without ``--`` is a
            place on the command line; ``-`` is none: only Python can say it.
        least, most: Limits of a number.
        form: What is read; empty takes after the type of the field.
        such: An example of a right value, for messages.
        by_default: What the default does, where the value itself says nothing.
        decides: Whether figures depend on it; what does not is left out of the echo.
    """

    help: str
    metavar: str = ""
    flag: str = ""
    least: float = 0
    most: float = 1e9
    form: Form | Literal[""] = ""
    such: str = ""
    by_default: str = ""
    decides: bool = True


#: Fields that several questions have alike.
Drive = Annotated[
    Literal["simpy", "compiled"] | None,
    Parameter("simpy, or compiled: the same rules as machine code; changes no figure", decides=False,
              by_default="compiled where numba is installed"),
]  # fmt: skip
Notice = Annotated[Any, Parameter("called with what one should hear", flag="-", decides=False)]
Progress = Annotated[
    Any, Parameter("called with how many are done, and of how many", flag="-", decides=False)
]
Confidence = Annotated[
    float,
    Parameter("confidence of the intervals: 0.95, 95 and 95% are the same", "P", form="share", least=0.5,
              such="0.95 or 95%", by_default="95"),
]  # fmt: skip
#: The same for questions that choose the best of several candidates.
MinEffect = Annotated[
    float | None,
    Parameter("smallest difference that matters, in the unit of the measure", "X", least=1e-9,
              by_default="0.5 % of what the line makes"),
]  # fmt: skip
MaxCompared = Annotated[
    int | None,
    Parameter("most replications of a case while they are compared", "N", least=2, by_default="20"),
]
#: The same for questions that take what-ifs in a line of text, as far as they do not say more of them.
TRIED = "lines of TOML, as 'LINE; LINE' or 'NAME: LINE; LINE'; 'add LINE' makes a new thing"


@dataclass(frozen=True, slots=True)
class Field:
    """A field of a question as its declaration has it.

    Attributes:
        name: Its name in Python.
        option: What is said of it.
        form: What is read.
        is_list: Whether it holds several.
        choices: Words that it can be; empty if it is free.
        default: What it is where nobody says; `MISSING` where somebody must.
    """

    name: str
    option: Parameter
    form: Form
    is_list: bool
    choices: tuple[str, ...]
    default: Any

    @property
    def flag(self) -> str:
        """Option of the command; ``-`` where it has none."""
        return self.option.flag or f"--{self.name.replace('_', '-')}"

    def read(self, text: str) -> Any:
        """Return the value that a text of the command line means.

        Raises:
            ValueError: With what would be right.
        """
        if self.form == "text":
            return text
        is_whole = self.form in ("count", "whole")
        if is_whole and not text.strip().lstrip("+-").isdecimal():
            raise ValueError(f"found {text!r}; write a whole number")
        value = int(text) if is_whole else _number(text, self.form)
        if wrong := self.wrong_with(value):
            raise ValueError(f"found {text}; {wrong}")
        return value

    def wrong_with(self, value: Any) -> str:
        """Return what would be right instead of a value; empty if it is right."""
        if self.form in ("text", "yes") or value is None or value == self.default:
            if self.choices and value not in (*self.choices, self.default):
                return f"write one of {', '.join(self.choices)}"
            return ""
        low, high = self._limits()
        kind = int if self.form in ("count", "whole") else int | float
        is_kind = isinstance(value, kind) and not isinstance(value, bool)
        if is_kind and low <= value <= high and (self.form != "share" or 0 < value < 1):
            return ""
        if self.form in ("count", "whole"):
            most = "2**64 - 1" if high >= 2**64 - 1 else f"{high:.0f}"
            return f"write a whole number from {low:.0f} to {most}"
        such = self.option.such or ("5%" if self.form == "share" else "0.5")
        return f"write {'a share' if self.form == 'share' else 'a number'} such as {such}"

    def _limits(self) -> tuple[float, float]:
        low, high = self.option.least, self.option.most
        if self.form == "count":
            return max(1.0, low), min(1e6, high)
        return (low, min(1.0, high)) if self.form == "share" else (low, high)

    @property
    def help(self) -> str:
        """What it does, and what it is where nobody says."""
        said = self.option.help
        if self.form == "yes" or (self.is_list and not self.option.by_default):
            return said
        usual = self.option.by_default or ("" if self.default in (None, "", MISSING) else str(self.default))
        return f"{said} (default: {usual})" if usual else said


def _number(text: str, form: Form) -> float:
    """Return a number; a share may be written in percent, and a confidence as 95."""
    bare = text.removesuffix("%")
    try:
        value = float(bare)
    except ValueError:
        return float("nan")
    return value / 100 if form == "share" and (bare != text or 1 < value <= 100) else value


def field_of(name: str, hint: Any, default: Any) -> Field:
    """Return a field as its annotation and its default declare it."""
    kind, option = get_args(hint)
    assert isinstance(option, Parameter), f"{name} says nothing of itself"
    if get_origin(kind) in (Union, UnionType):
        *_, kind = (one for one in get_args(kind) if one is not NoneType)  # the last is what a command reads
    is_list = get_origin(kind) is tuple
    if is_list:
        kind = get_args(kind)[0]
    choices = get_args(kind) if get_origin(kind) is Literal else ()
    forms: Mapping[Any, Form] = MappingProxyType({bool: "yes", int: "count", float: "amount"})
    return Field(name, option, option.form or forms.get(kind, "text"), is_list, choices, default)
