"""What makes a function a rule of the line: the interpreter runs it, and a compiler may."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

Function = TypeVar("Function", bound=Callable[..., object])


def rule(function: Function) -> Function:
    """Mark ``function`` as a rule and return it as it is.

    A rule reads and writes the tables of `linesim.engine.tables` and nothing else. It is written in the part
    of Python that numba compiles: whole numbers, records by index, no texts, lists, dictionaries or closures,
    no rule that calls itself, not even through others. `linesim.engine.compiled` collects the rules by this
    mark, so that numba is loaded only where it is used.
    """
    function.is_rule = True  # type: ignore[attr-defined]
    return function
