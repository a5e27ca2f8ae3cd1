"""The line of TOML that says what was found, ready to be pasted."""

from __future__ import annotations

import math
from typing import Any

from linesim.scenario.shapes import Shape
from linesim.scenario.toml import toml_value
from linesim.ticks import Duration, Unit

_UNITS: tuple[tuple[Unit, float, float], ...] = (
    ("s", 1.0, 600.0), ("min", 60.0, 7200.0), ("h", 3600.0, math.inf),
)  #: Unit, its size, up to [s].  # fmt: skip
_DIGITS = 4  #: Digits of a figure: finer than any time study.


def toml_of(shape: Shape, *, source: str) -> str:
    """Return the line for a shape.

    Args:
        shape: The shape; with a spread, and not empirical.
        source: Where the times come from.

    Examples:
        >>> from linesim.scenario.shapes import Lognormal
        >>> toml_of(Lognormal(mean="55.2341 s", cv=0.18012), source="times.csv, 40 times")
        'time = { shape = "lognormal", mean = "55.23 s", cv = 0.1801, source = "times.csv, 40 times", \
confidence = "measured" }'
    """
    table: dict[str, Any] = {"shape": shape.kind, **_figures(shape)}
    return _line(table, source)


def toml_of_times(file: str, column: str, values: tuple[float, ...], *, source: str) -> str:
    """Return the line that takes the measured times themselves.

    Args:
        file: Name of the table; it has to stand in the scenario's folder or below. Empty: the times
            are written out.
        column: Heading of the column.
        values: The times [s].
        source: Where they come from.
    """
    where: dict[str, Any] = {"file": file, "column": column} if file else {"values_s": list(values)}
    return _line({"shape": "empirical", **where}, source)


def _line(table: dict[str, Any], source: str) -> str:
    weight = {"source": source, "confidence": "measured"} if source else {"confidence": "measured"}
    return f"time = {toml_value({**table, **weight})}"


def _figures(shape: Shape) -> dict[str, Any]:
    """Return the figures of a shape as a scenario writes them, its times all in the unit of the longest."""
    figures = shape.figures
    lengths = {name: value.seconds for name, value in figures.items() if isinstance(value, Duration)}
    texts = dict(zip(lengths, durations(tuple(lengths.values())), strict=True))
    others = {name: short(value) if isinstance(value, float) else value for name, value in figures.items()}
    return {**others, **texts}


def unit_for(seconds: float) -> tuple[Unit, float]:
    """Return the unit in which people would say a time, and its size [s]."""
    return next((unit, size) for unit, size, most in _UNITS if seconds < most)


def durations(seconds: tuple[float, ...]) -> list[str]:
    """Return times as a scenario writes them, all in the unit of the longest.

    Examples:
        >>> durations((55.2341,)), durations((44.28, 1017.6))
        (['55.23 s'], ['0.738 min', '16.96 min'])
    """
    unit, size = unit_for(max(seconds))
    return [str(Duration(short(value / size), unit, value)) for value in seconds]


def short(value: float) -> float:
    """Return a figure with as many digits as any time study has."""
    return float(f"{value:.{_DIGITS}g}")
