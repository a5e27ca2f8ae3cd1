"""What a fit says in plain sentences."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from linesim.answers.values import Estimate
from linesim.answers.wording import count_of, interval_text, listed, mean_text, number, text
from linesim.plan.tables import FloatArray
from linesim.questions.fit.candidates import AS_WELL, ShapeCandidate, grid_of
from linesim.questions.fit.fitted import ALL, WITHOUT, Fitted, far_off, unit_for
from linesim.stats.precision import alike_neighbours

_MOST_NAMED = 6  #: Names that a sentence lists.
FEW = 30  #: With fewer times most shapes fit.


def sentences(
    fits: Sequence[Fitted], chosen: Sequence[Fitted], samples: int, *, has_file: bool
) -> tuple[str, ...]:
    """Return what was measured, which shapes are proposed, and what times far from the others do to them."""
    said = (
        _of_one(chosen[0], samples, has_file=has_file)
        if len(chosen) == 1
        else _of_many(chosen, has_file=has_file)
    )
    for one in fits:
        if one.outliers == WITHOUT:
            whole = next(other for other in fits if other.task == one.task and other.outliers == ALL)
            said.append(_with_and_without(whole, one, is_kept=whole in chosen, is_alone=len(chosen) == 1))
    return tuple(said)


def _of_one(one: Fitted, samples: int, *, has_file: bool) -> list[str]:
    said = [_measured(one.times_s, one.mean, one.cv)]
    if one.shape == "constant":
        return [*said, "All of them are the same: a constant time."]
    if not one.shapes:
        return [
            *said,
            f"{count_of(one.times_s.size, 'time')} can't tell a shape. The line takes a lognormal with their "
            'mean and spread, the usual shape of manual work, and says "estimated".',
        ]
    if one.shape == "empirical":
        return [*said, *_none(one.shapes, samples, has_file=has_file)]
    return [*said, _proposed(one.shapes[0], one.shapes, samples), _tail(one.times_s, one.shapes[0])]


def _of_many(chosen: Sequence[Fitted], *, has_file: bool) -> list[str]:
    total = sum(one.times_s.size for one in chosen)
    said = [f"{count_of(len(chosen), 'task')}, {count_of(total, 'time')}; each task is fitted by itself."]
    kinds = {one.shape for one in chosen if one.chance is not None}
    for kind in sorted(kinds, key=lambda kind: -sum(one.shape == kind for one in chosen)):
        mine = [one.task for one in chosen if one.shape == kind and one.chance is not None]
        said.append(f"Proposed: {kind} for {_names(mine)}.")
    if constant := [one.task for one in chosen if one.shape == "constant"]:
        said.append(f"Always the same: {_names(constant)}.")
    if none := [one.task for one in chosen if one.shape == "empirical"]:
        where = "in their table" if has_file else "written out"
        said.append(
            f"No smooth shape fits {_names(none)}: the measured times themselves, {where}. Two kinds of "
            "cases in one task are the usual reason; apart, each may have a shape."
        )
    if few := [one.task for one in chosen if one.is_estimate]:
        said.append(
            f"Too few times to tell a shape: {_names(few)}. Their lines take a lognormal with mean and "
            'spread of the times, and say "estimated".'
        )
    return said


def _names(names: Sequence[str]) -> str:
    more = len(names) - _MOST_NAMED
    return f"{', '.join(names[:_MOST_NAMED])} and {more} more" if more > 0 else listed(names)


def _measured(times: FloatArray, mean: Estimate, cv: Estimate | None) -> str:
    spread = ""
    if cv is not None and cv.mean:
        bounds = interval_text(cv)
        spread = f", standard deviation {mean_text(cv)} % of that{f' ({bounds})' if bounds else ''}"
    return f"{count_of(times.size, 'time')}: {_with_unit(mean)} on average{spread}."


def _with_unit(mean: Estimate) -> str:
    unit, size = unit_for(mean.mean or 0.0)
    return f"{text(mean.scaled(1 / size, unit))} {unit}"


def _proposed(one: ShapeCandidate, found: Sequence[ShapeCandidate], samples: int) -> str:
    said = (
        f"Proposed: {one.kind}. Of {samples} samples drawn from it and fitted alike, "
        f"{100 * one.chance:.0f} % lie as far off as these times or further ({one.measure})"
    )
    level = [other.kind for other in found if other.fate == AS_WELL]
    failed = [other.kind for other in found if not other.fits]
    if level:
        said += f"; the data can't tell it from {listed(level, 'or')}"
    said += "."
    if failed:
        said += f" What surely does not fit: {listed(failed)}."
    return said


def _none(found: Sequence[ShapeCandidate], samples: int, *, has_file: bool) -> tuple[str, str]:
    nearest = min(found, key=lambda one: one.aic)
    where = "their table in the scenario's folder or below" if has_file else "the times written out"
    return (
        f"No smooth shape fits: even of the nearest, {nearest.kind}, at most {100 * nearest.chance:.1g} % of "
        f"{samples} samples lie as far off ({nearest.measure}).",
        f"Proposed: the measured times themselves, with {where}. Two kinds of cases in one column are the "
        "usual reason, such as two variants, two methods, or work with a stop inside; apart, each may have a "
        "shape.",
    )


def _tail(times: FloatArray, one: ShapeCandidate) -> str:
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


def _with_and_without(whole: Fitted, rest: Fitted, *, is_kept: bool, is_alone: bool) -> str:
    """Return which times lie far from the others, what they change, and what becomes of them."""
    places = far_off(whole.times_s)
    far = sorted(zip(whole.times_s[places].tolist(), (whole.element.cycles[k] for k in places), strict=True))
    called = [f"cycle {cycle}" if cycle.isdigit() else cycle for _, cycle in far]
    named = [f"{_said(far[k][0])}{f' ({called[k]})' if called[k] else ''}" for k in range(len(far))][-4:]
    more = f", as {len(far) - 4} more do" if len(far) > 4 else ""
    of = "" if is_alone else f"{whole.task}: "
    they, them, counts, lies = (
        ("they", "them", "count", "lie") if len(far) > 1 else ("it", "it", "counts", "lies")
    )
    kept = f"{they} {counts} in the line (--outliers leave-out takes {them} out)"
    gone = f"{they} {'are' if len(far) > 1 else 'is'} left out of the line (--outliers keep counts {them})"
    shape = "" if whole.shape == rest.shape else f", and the shape is {rest.shape} instead of {whole.shape}"
    return (
        f"{of}{listed(named)} {lies} far from the others{more}: with {them} the mean is "
        f"{_with_unit(whole.mean)}, without {_with_unit(rest.mean)}{shape}; {kept if is_kept else gone}."
    )


def cautions(chosen: Sequence[Fitted]) -> tuple[str, ...]:
    """Return what to know about the times before they are used."""
    said = []
    is_alone = len(chosen) == 1
    for one in chosen:
        times = one.times_s
        r = alike_neighbours(times) if times.size >= 10 else None
        if r is not None:
            of = "" if is_alone else f" of {one.task}"
            said.append(
                f"Times{of} that follow each other are alike (correlation {r:.2f}): something drifted while "
                "they were taken, such as a person, a batch or a day. They say less than their number, and a "
                "shape draws them independently."
            )
    if any(far_off(one.times_s).size for one in chosen):
        said.append(
            "Times far from the others: was a stop, a search or a mistake measured too? Failures and rework "
            "have their own place in a scenario, and would count twice."
        )
    grids = {grid for one in chosen if (grid := grid_of(one.times_s))}
    if grids:
        said.append(
            f"The times are written to {listed([f'{grid:g} s' for grid in sorted(grids)], 'or')}; samples "
            "for the fit were written alike."
        )
    said.append(
        "Times hold for the people, the method and the pace at which they were measured. A time study is no "
        "norm for anybody, and a faster pace is not in it (ISO 6385, ISO 11228-3)."
    )
    return tuple(said)
