"""Chapters and sentences, and how times, chances and names are said in them."""

from __future__ import annotations

from typing import NamedTuple

from linesim.answers.wording import count_of
from linesim.scenario.base import Chance, Weighed
from linesim.scenario.people import Breakdown
from linesim.scenario.shapes import (
    Constant,
    Empirical,
    Erlang,
    Exponential,
    Normal,
    Pert,
    Shape,
    Triangular,
    Uniform,
    Weibull,
)


class Sentence(NamedTuple):
    """One sentence; ``depth`` 1 belongs to the last one of depth 0 before it."""

    text: str
    depth: int = 0


class Chapter(NamedTuple):
    """A heading and what stands below it."""

    title: str
    sentences: tuple[Sentence, ...]


def duration(seconds: float) -> str:
    """Return a time in the unit that suits it.

    Examples:
        >>> duration(61), duration(400), duration(10_800), duration(0)
        ('61 s', '6.67 min', '3 h', '0 s')
    """
    if seconds >= 7200:
        return f"{seconds / 3600:.3g} h"
    if seconds >= 300:
        return f"{seconds / 60:.3g} min"
    return f"{seconds:.3g} s"


def time_text(time: Shape) -> str:
    """Return a time with its spread and how well it is known, such as ``61 s, ±15 % (lognormal)``."""
    return _spread(time) + weight(time)


def _spread(time: Shape) -> str:
    mean = duration(time.mean_s)
    if isinstance(time, Constant):
        return mean
    if isinstance(time, Triangular | Pert):
        ends = f"{duration(time.low.seconds)} to {duration(time.high.seconds)}"
        curve = "straight lines" if isinstance(time, Triangular) else "beta-PERT"
        return f"{ends}, mostly {duration(time.mode.seconds)} ({curve})"
    if isinstance(time, Uniform):
        return f"anything from {duration(time.low.seconds)} to {duration(time.high.seconds)}"
    if isinstance(time, Exponential):
        return f"{mean} on average, wholly irregular (exponential)"
    if isinstance(time, Erlang):
        return f"{mean} on average ({count_of(time.stages, 'exponential stage')})"
    if isinstance(time, Empirical):
        return f"{mean} on average, as measured {len(time.values_s)} times"
    if isinstance(time, Weibull) and time.power is not None:
        return f"{mean} on average (weibull of power {time.power:g})"
    shape = str(getattr(time, "shape", ""))
    if isinstance(time, Normal) and time.sd is not None:
        return f"{mean}, ±{duration(time.sd.seconds)} ({shape})"
    spread = getattr(time, "cv", None) or 0.0
    return f"{mean}, ±{100 * spread:.3g} % ({shape})" if spread else mean


def chance_text(chance: Chance) -> str:
    """Return a chance in percent, with how well it is known."""
    return f"{percent(chance.value)}{weight(chance)}"


def percent(share: float) -> str:
    """Return a share in percent.

    Examples:
        >>> percent(0.35), percent(0.0025)
        ('35 %', '0.25 %')
    """
    return f"{100 * share:.3g} %"


def weight(value: Weighed) -> str:
    """Return how well an input is known, in square brackets; empty where nothing is said."""
    parts = [part for part in (value.confidence, value.source) if part]
    if value.range is not None:
        parts.append(f"{value.range[0]:g} to {value.range[1]:g} times that")
    return f" [{', '.join(parts)}]" if parts else ""


def breakdown_text(name: str, failure: Breakdown) -> str:
    """Return how something fails, as a sentence."""
    if isinstance(failure.every, int):
        often = f"after every {count_of(failure.every, 'job')}"
    else:
        counted = "of running time" if failure.per == "running" else "of the calendar"
        often = f"every {time_text(failure.every)} {counted}"
    mended = ""
    if failure.repaired_by:
        mended = f", with {count_of(failure.people, 'person', 'people')} of {failure.repaired_by}"
    return f"{name}: {often}, for {time_text(failure.lasts)}{mended}{weight(failure)}."
