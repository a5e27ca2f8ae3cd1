"""What a fit says in plain sentences."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from linesim.answers.wording import count_of, listed, number
from linesim.plan.arrays import FloatArray
from linesim.questions.figures import span, with_span
from linesim.questions.fit.candidates import AS_WELL, FITS, Candidate
from linesim.questions.fit.goodness import grid_of
from linesim.questions.fit.lines import unit_for
from linesim.runs.rows import Row
from linesim.stats import neighbour_correlation

_ALIKE = 0.3  #: Correlation of neighbouring times from which on they are no independent ones.
_FAR = 5.0  #: A time further from the middle than so many robust standard deviations is pointed at.
FEW = 30  #: With fewer times most shapes fit.


def sentences(
    times: FloatArray,
    mean: Row,
    cv: Row | None,
    found: Sequence[Candidate],
    proposal: str,
    samples: int,
    has_file: bool,
) -> tuple[str, ...]:
    """Return what was measured, which shape is proposed, and what it says of the long times."""
    said = [_measured(times, mean, cv)]
    if proposal == "constant":
        return (*said, "All of them are the same: a constant time.")
    if not found:
        return (
            *said,
            f"{count_of(times.size, 'time')} can't tell a shape. The line takes a lognormal with their mean "
            'and spread, the usual shape of manual work, and says "estimated".',
        )
    if proposal == "empirical":
        return (*said, *_none(found, samples, has_file))
    one = next(candidate for candidate in found if candidate.fate == FITS)
    said.append(_proposed(one, found, samples))
    said.append(_tail(times, one))
    return tuple(said)


def _measured(times: FloatArray, mean: Row, cv: Row | None) -> str:
    spread = ""
    if cv is not None and cv.mean:
        bounds = span(cv, scale=100)
        spread = f", standard deviation {number(100 * cv.mean, 0)} % of that"
        spread += f" ({bounds})" if bounds else ""
    unit, size = unit_for(mean.mean or 0.0)
    return f"{count_of(times.size, 'time')}: {with_span(mean, scale=1 / size)} {unit} on average{spread}."


def _proposed(one: Candidate, found: Sequence[Candidate], samples: int) -> str:
    text = (
        f"Proposed: {one.kind}. Of {samples} samples drawn from it and fitted alike, "
        f"{100 * one.chance:.0f} % lie as far off as these times or further ({one.measure})"
    )
    level = [other.kind for other in found if other.fate == AS_WELL]
    failed = [other.kind for other in found if not other.fits]
    if level:
        text += f"; the data can't tell it from {listed(level, 'or')}"
    text += "."
    if failed:
        text += f" What surely does not fit: {listed(failed)}."
    return text


def _none(found: Sequence[Candidate], samples: int, has_file: bool) -> tuple[str, ...]:
    nearest = min(found, key=lambda one: one.aic)
    where = "their table in the scenario's folder or below" if has_file else "the times written out"
    return (
        f"No smooth shape fits: even of the nearest, {nearest.kind}, at most {100 * nearest.chance:.1g} % of "
        f"{samples} samples lie as far off ({nearest.measure}).",
        f"Proposed: the measured times themselves, with {where}. Two kinds of cases in one column are the "
        "usual reason, such as two variants, two methods, or work with a stop inside; apart, each may have a "
        "shape.",
    )


def _tail(times: FloatArray, one: Candidate) -> str:
    by_shape = _said(one.quantile(0.95))
    if times.size < FEW:
        return (
            f"With {times.size} times most shapes fit, and the long ones are hardly seen: one in twenty "
            f"lasts longer than {by_shape} by this shape."
        )
    return (
        f"One time in twenty lasts longer than {by_shape} by the shape and "
        f"{_said(float(np.quantile(times, 0.95)))} in the data: that is what overruns come from."
    )


def _said(seconds: float) -> str:
    """Return a time as people say it."""
    unit, size = unit_for(seconds)
    value = seconds / size
    return f"{number(value, 0 if value >= 100 else 1)} {unit}"


def cautions(times: FloatArray) -> tuple[str, ...]:
    """Return what to know about the times before they are used."""
    said = []
    if times.size >= 10:
        r = neighbour_correlation(times)
        if r is not None and r > max(_ALIKE, 2 / np.sqrt(times.size)):
            said.append(
                f"Times that follow each other are alike (correlation {r:.2f}): something drifted while they "
                "were taken, such as a person, a batch or a day. They say less than their number, and a "
                "shape draws them independently."
            )
    middle = float(np.median(times))
    spread = 1.4826 * float(np.median(np.abs(times - middle)))
    far = (
        np.sort(times[np.abs(times - middle) > _FAR * spread])
        if spread > 0 and times.size >= 10
        else times[:0]
    )
    if far.size:
        which = listed([_said(value) for value in far[-4:].tolist()])
        said.append(
            f"{which} {'lie' if far.size > 1 else 'lies'} far from the others"
            f"{f', as {far.size - 4} more do' if far.size > 4 else ''}: was a stop, a search or a mistake "
            "measured too? Failures and rework have their own place in a scenario, and would count twice."
        )
    if grid := grid_of(times):
        said.append(f"The times are written to {grid:g} s; samples for the fit were written alike.")
    said.append(
        "Times hold for the people, the method and the pace at which they were measured. A time study is no "
        "norm for anybody, and a faster pace is not in it (ISO 6385, ISO 11228-3)."
    )
    return tuple(said)
