"""What `screen` can be asked."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import KW_ONLY, dataclass
from typing import Annotated, Any, ClassVar

from linesim.questions.declare import MeasuredQuestion, Parameter, function_of


@dataclass(frozen=True)
class Screen(MeasuredQuestion):
    """Find out which of many inputs matter, in few runs, with an interval on each effect.

    A two-level fraction and its mirror image (fold-over): with 15 inputs 32 runs.
    No input's own effect is mixed with what two do together.
    """

    name: ClassVar[str] = "screen"
    asks: ClassVar[str] = "Which inputs matter?"
    decides: ClassVar[bool] = False
    tables: ClassVar[tuple[str, ...]] = ("effects", "interactions", "cases")
    examples: ClassVar[tuple[tuple[str, str], ...]] = (
        (
            "linesim screen scenarios/tractor/line.toml --vary 'crew.trim.people = [6, 7]' "
            "--vary 'buffer.bank-trim.capacity = [4, 8]' --vary 'tool.cab-gun.count = [1, 2]'",
            "three inputs at a low and a high value",
        ),
        (
            "linesim screen line.toml --vary 'crew.a.people = [2, 3]' --vary 'crew.b.people = [2, 3]' "
            "--measure line_stop:cab",
            "what moves the stop minutes of one section",
        ),
        (
            'linesim screen line.toml --vary \'takt = ["90 s", "95 s"]\' --replications 5 '
            "--out results/screen",
            "few replications are enough where all runs see the same luck; tables out",
        ),
    )

    vary: Annotated[
        Mapping[str, Sequence[Any]] | tuple[str, ...],
        Parameter(
            "a key with its low and high value, such as 'crew.cab.people = [4, 6]'; up to 20 of them", "LINE"
        ),
    ] = ()
    _: KW_ONLY


QUESTION = Screen
screen = function_of(Screen)
