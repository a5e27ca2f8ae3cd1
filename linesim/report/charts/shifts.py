"""What single shifts make: every shift of every replication as a dot, against the plan."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from linesim.answers.wording import count_of, number
from linesim.report.canvas import Pen, room_for
from linesim.report.figure import Figure, figure
from linesim.report.page_input import Told
from linesim.report.scale import Scale
from linesim.report.style import BLUE, INK, PALE, SMALL, SOFT, Paint
from linesim.report.table import PageCell, estimated, numeric, plain_number, table
from linesim.runs.replication import Label
from linesim.runs.result import Result
from linesim.runs.rows import Row, nearest_rank, row_of

if TYPE_CHECKING:
    from matplotlib.figure import Figure as Drawing

METHOD = "A run chart (W. A. Shewhart, Economic Control of Quality of Manufactured Product, 1931)."
_DOT = Paint("#ffffff", BLUE)
_STRIDE = 0.618034  #: Spreads the dots of a shift sideways, the same way each time.


class OneShift(NamedTuple):
    """The k-th whole shift of the runs.

    Attributes:
        number: Which, counted from 1 after the warm-up.
        jobs: Jobs it made, one figure a replication.
        mean: Their mean, with its interval.
        met: Share that make the plan; None without one.
    """

    number: int
    jobs: tuple[int, ...]
    mean: Row
    met: float | None


def by_shift(result: Result) -> tuple[OneShift, ...]:
    """Return the shifts of all replications, the k-th of each together."""
    n = min((len(r.shifts) for r in result.replications), default=0)
    found = []
    for k in range(n):
        jobs = tuple(r.shifts[k].jobs for r in result.replications)
        mean = row_of(Label("jobs_per_shift", f"shift {k + 1}", "", "jobs"), jobs, result.run.confidence)
        target = result.run.target
        met = None if target is None else sum(j >= target for j in jobs) / len(jobs)
        found.append(OneShift(k + 1, jobs, mean, met))
    return tuple(found)


def shift_chart(told: Told) -> Figure | None:
    """Return the figure; None where the run holds no whole shift.

    A run chart (Shewhart): time to the right, the plan as a line, the usual range as a band.
    """
    result = told.result
    found = by_shift(result)
    if not found:
        return None
    low, high = result.row("jobs_per_shift_p10").mean, result.row("jobs_per_shift_p90").mean
    assert low is not None and high is not None
    target = result.run.target
    says = (
        f"Each dot is one shift of one of {count_of(len(result.run.numbers), 'replication')}; the strokes "
        f"are means. Eight shifts in ten lie in the grey band, from {low:.0f} to {high:.0f} jobs."
    )
    if target is not None:
        met = sum(j >= target for shift in found for j in shift.jobs)
        n = sum(len(shift.jobs) for shift in found)
        says += f" The plan of {target:g} is met in {met} of {n}."
    return figure(
        "shifts",
        "Jobs made in single shifts",
        says,
        table(
            "Jobs per shift, by shift after the warm-up",
            [*numeric("shift", "mean", "interval", "fewest", "1 in 10 below", "9 in 10 within", "most",
                      *([] if target is None else ["make the plan, %"]))],
            [
                (
                    plain_number(shift.number), *estimated(shift.mean.estimate),
                    plain_number(min(shift.jobs)),
                    plain_number(_percentile(shift.jobs, 10)), plain_number(_percentile(shift.jobs, 90)),
                    plain_number(max(shift.jobs)),
                    *([] if shift.met is None else [PageCell(number(100 * shift.met, 0), shift.met)]),
                )
                for shift in found
            ],
        ),
        METHOD,
        lambda width: _draw(width, found, (low, high), target),
    )  # fmt: skip


def _percentile(jobs: Sequence[int], percent: int) -> float:
    import numpy as np

    return float(nearest_rank(np.array([jobs], dtype=np.int64), percent)[0])


def _draw(
    width: int, found: tuple[OneShift, ...], band: tuple[float, float], target: float | None
) -> Drawing:
    every = [j for shift in found for j in shift.jobs]
    bottom = min(*every, *([] if target is None else [target]))
    top = max(*every, *([] if target is None else [target]))
    rim = max(1.0, 0.08 * (top - bottom))
    tall = 240.0
    plan = "" if target is None else f"plan {target:g}"
    right = width - max(room_for([plan], SMALL, bold=True) + 8, 8)
    scale = Scale(bottom - rim, top + rim, 24 + tall, 24)
    pen = Pen(width, tall + 68)
    left = 38.0
    pen.tint(left, scale.at(band[1]), right - left, max(1.5, scale.at(band[0]) - scale.at(band[1])), PALE)
    pen.axis_left(scale, left, right, "jobs per shift (the axis does not begin at 0)")
    pitch = (right - left) / len(found)
    radius = 5.0 if pitch > 24 else 3.2
    for i, shift in enumerate(found):
        middle = left + (i + 0.5) * pitch
        reach = min(60.0, 0.7 * pitch) * (len(shift.jobs) > 1)
        xs = [middle + reach * ((k * _STRIDE) % 1.0 - 0.5) for k in range(len(shift.jobs))]
        pen.marks(xs, [scale.at(j) for j in shift.jobs], "o", radius, _DOT)
        assert shift.mean.mean is not None
        at = scale.at(shift.mean.mean)
        half = min(40.0, 0.45 * pitch)
        pen.line((middle - half, middle + half), (at, at), colour="#ffffff", width=4.5)
        pen.line((middle - half, middle + half), (at, at), colour=INK, width=2.5)
        if pitch > 22 or i % max(1, round(22 / pitch)) == 0:
            pen.words(middle, 24 + tall + 12, str(shift.number), side="center", size=SMALL, colour=SOFT)
    pen.words(
        (left + right) / 2, 24 + tall + 29, "shift after the warm-up", side="center", size=SMALL, colour=SOFT
    )
    if target is not None:
        at = scale.at(target)
        pen.line((left, right), (at, at), width=1.6, dashes=(5, 3))
        pen.words(right + 6, at, plan, size=SMALL, bold=True)
    return pen.figure
