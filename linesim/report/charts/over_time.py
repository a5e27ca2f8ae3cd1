"""A run in order of time: single shifts, whether the start still shows, how the mean settles."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from linesim.answers.wording import change_by_sides, count_of, number
from linesim.questions.warmup.cuts import FINISHED_WITHIN, bias_of
from linesim.report.canvas import IS_WIDE, Pen, room_for
from linesim.report.figure import Figure, figure
from linesim.report.page_input import Told
from linesim.report.scale import Scale
from linesim.report.style import BLUE, INK, PALE, SMALL, Paint
from linesim.report.table import PageCell, estimated, numeric, plain_number, table
from linesim.runs.replication import Label
from linesim.runs.result import Result
from linesim.runs.rows import Row, nearest_rank, row_of
from linesim.stats.precision import welch_average

if TYPE_CHECKING:
    from matplotlib.figure import Figure as Drawing


RUN_CHART = "A run chart (W. A. Shewhart, Economic Control of Quality of Manufactured Product, 1931)"
_SETTLES = (
    "The mean so far with its confidence interval, replication by replication (S. Robinson, Simulation: The "
    "Practice of Model Development and Use, 2004)."
)
SMOOTHED = "smoothed by a moving average: P. D. Welch in The Computer Performance Modeling Handbook (1983)"
_RING, _RUN, _MEAN = Paint("#ffffff", BLUE), Paint("#ffffff", INK), Paint(BLUE, BLUE)
_STRIDE = 0.618034  #: Spreads the dots of a shift sideways, the same way each time.
FEWEST_SHIFTS = 4  #: With fewer nothing can be said about settling.
_MOST_MARKED = 60  #: Replications that are marked one by one.
_LEFT, _TOP = 46.0, 24.0  #: Where the plane of a drawing begins [px].


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
        f"{RUN_CHART}.",
        lambda width: _draw_shifts(width, found, (low, high), target),
    )  # fmt: skip


def _percentile(jobs: Sequence[int], percent: int) -> float:
    return float(nearest_rank(np.array([jobs], dtype=np.int64), percent)[0])


def _draw_shifts(
    width: int, found: tuple[OneShift, ...], band: tuple[float, float], target: float | None
) -> Drawing:
    every = [float(j) for shift in found for j in shift.jobs] + ([] if target is None else [target])
    tall, left = 240.0, 38.0
    plan = "" if target is None else f"plan {target:g}"
    right = width - max(room_for([plan], SMALL, bold=True) + 8, 8)
    rim = max(1.0, 0.08 * (max(every) - min(every)))
    scale = Scale(min(every) - rim, max(every) + rim, _TOP + tall, _TOP)
    pen = Pen(width, tall + 68)
    pen.tint(left, scale.at(band[1]), right - left, max(1.5, scale.at(band[0]) - scale.at(band[1])), PALE)
    pen.axis_left(scale, left, right, "jobs per shift (the axis does not begin at 0)")
    pitch = (right - left) / len(found)
    radius = 5.0 if pitch > 24 else 3.2
    for i, shift in enumerate(found):
        middle = left + (i + 0.5) * pitch
        reach = min(60.0, 0.7 * pitch) * (len(shift.jobs) > 1)
        xs = [middle + reach * ((k * _STRIDE) % 1.0 - 0.5) for k in range(len(shift.jobs))]
        pen.marks(xs, [scale.at(j) for j in shift.jobs], "o", radius, _RING)
        at, half = scale.at(shift.mean.mean or 0.0), min(40.0, 0.45 * pitch)
        pen.stroke((middle - half, middle + half), (at, at), 2.5)
        if pitch > 22 or i % max(1, round(22 / pitch)) == 0:
            pen.note(middle, _TOP + tall + 12, str(shift.number))
    pen.note((left + right) / 2, _TOP + tall + 29, "shift after the warm-up")
    if target is not None:
        at = scale.at(target)
        pen.line((left, right), (at, at), width=1.6, dashes=(5, 3))
        pen.words(right + 6, at, plan, size=SMALL, bold=True)
    return pen.figure


def smoothed(shifts: tuple[OneShift, ...]) -> tuple[float, ...]:
    """Return Welch's moving average over a window that grows with the number of shifts."""
    runs = [[float(shift.jobs[r]) for shift in shifts] for r in range(len(shifts[0].jobs))]
    window = max(1, (len(shifts) - 1) // 4)
    return tuple(float(value) for value in welch_average(runs, window))


def start_in_words(shifts: tuple[OneShift, ...], confidence: float) -> str:
    """Return whether the first of the measured shifts still bend the mean, as `linesim warmup` judges it."""
    table = np.array([shift.jobs for shift in shifts], dtype=np.float64).T
    found = bias_of(table, 0, 1, "jobs", confidence, FINISHED_WITHIN)
    if found is None or found.bias.low is None:
        return "One replication has no interval, so nothing tells whether they do."
    against = f"{change_by_sides(found.bias, 'more', 'fewer')} jobs a shift than the second half alone"
    return {
        "enough": "They do not: the mean of all is within 1 % of that of the second half.",
        "too little": f"They do: all shifts make {against}, so the warm-up is too short.",
        "can't tell": f"Whether they do the data can't tell: all shifts make {against}.",
    }[found.verdict]


def settling(told: Told) -> Figure | None:
    """Return the figure; None with too few whole shifts.

    Welch's drawing of the warm-up, over what is measured after it.
    """
    shifts = by_shift(told.result)
    if len(shifts) < FEWEST_SHIFTS:
        return None
    line = smoothed(shifts)
    says = (
        "Each dot is the mean of one shift over all replications, with its interval; the line smooths them. "
        "If the first dots lay apart from the rest, the warm-up would be too short. "
        f"{start_in_words(shifts, told.result.run.confidence)}"
    )
    return figure(
        "settling",
        "Jobs per shift, shift by shift after the warm-up",
        says,
        table(
            "Mean of each shift over replications",
            numeric("shift", "mean jobs", "interval", "smoothed"),
            [
                (
                    plain_number(shift.number),
                    *estimated(shift.mean.estimate),
                    PageCell(number(line[i], 1), line[i]) if i < len(line) else PageCell("–"),
                )
                for i, shift in enumerate(shifts)
            ],
        ),
        f"The mean over replications of each shift, {SMOOTHED}.",
        lambda width: _draw_settling(width, shifts, line),
    )


def _draw_settling(width: int, shifts: tuple[OneShift, ...], line: tuple[float, ...]) -> Drawing:
    right, tall = width - 10.0, 160.0
    ends = [end for shift in shifts for end in (shift.mean.low, shift.mean.mean, shift.mean.high)]
    scale = Scale.around(ends, _TOP + tall, _TOP, rim=0.06, marks=4)
    across = Scale(0.5, len(shifts) + 0.5, _LEFT, right, marks=10 if width > IS_WIDE else 5)
    pen = Pen(width, _TOP + tall + 44)
    pen.axis_left(scale, _LEFT, right, "jobs per shift (the axis does not begin at 0)")
    pen.line([across.at(i + 1) for i in range(len(line))], [scale.at(v) for v in line], colour=BLUE, width=2)
    for shift in shifts:
        at = across.at(shift.number)
        pen.interval(scale, shift.mean, at, upright=True)
        pen.marks((at,), (scale.at(shift.mean.mean or 0.0),), "o", 6, _MEAN)
    pen.counts_below(across, _TOP + tall, "shift after the warm-up")
    return pen.figure


class LookStep(NamedTuple):
    """After so many replications.

    Attributes:
        runs: How many.
        value: What the last of them gave.
        so_far: Mean of all of them, with its interval from two on.
    """

    runs: int
    value: float
    so_far: Row


def main_measure(result: Result) -> str:
    """Return the figure that stands for the run: jobs per shift, or per hour without whole shifts."""
    return "throughput" if result.row("jobs_per_shift").mean is None else "jobs_per_shift"


def steps(result: Result) -> tuple[LookStep, ...]:
    """Return how the main figure settles."""
    measure = main_measure(result)
    values = [value for value in result.values(measure) if value is not None]
    label = Label(measure, "segment", "", result.row(measure).unit)
    return tuple(
        LookStep(n, values[n - 1], row_of(label, values[:n], result.run.confidence))
        for n in range(1, len(values) + 1)
    )


def convergence(told: Told) -> Figure | None:
    """Return the figure; None for one replication, which settles nothing."""
    found = steps(told.result)
    if len(found) < 2:
        return None
    unit = "jobs per shift" if main_measure(told.result) == "jobs_per_shift" else "jobs per hour"
    last = found[-1].so_far
    percent = 100 * told.result.run.confidence
    says = (
        f"The line is the mean of {unit} after so many replications, the band its {percent:g} % interval; "
        "each ring is one replication by itself. "
    )
    if last.half_width and last.mean:
        says += f"After {last.replications} it is known to ±{number(100 * last.half_width / last.mean, 2)} %."
    return figure(
        "convergence",
        f"How the mean of {unit} settles",
        says,
        table(
            "Mean so far",
            numeric("replications", "value of the last", "mean so far", "interval"),
            [
                (
                    plain_number(step.runs),
                    PageCell(number(step.value, 2), step.value),
                    *estimated(step.so_far.estimate),
                )
                for step in found
            ],
        ),
        _SETTLES,
        lambda width: _draw_convergence(width, found, unit),
    )


def _draw_convergence(width: int, found: tuple[LookStep, ...], unit: str) -> Drawing:
    right, tall = width - 10.0, 200.0
    # The interval after two replications can be enormous; the drawing is for what comes after.
    kept = [step.so_far for step in found if step.so_far.low is not None][1 if len(found) > 4 else 0 :]
    ends = [*(step.value for step in found), *(end for row in kept for end in (row.low, row.high))]
    across = Scale(1, max(2, len(found)), _LEFT + 8, right - 8)
    scale = Scale.around(ends, _TOP + tall, _TOP)
    pen = Pen(width, _TOP + tall + 44)

    def inside(value: float | None) -> float:
        return scale.at(min(max(value or 0.0, scale.low), scale.high))

    with_band = [s for s in found if s.so_far.low is not None and s.so_far.high is not None]
    xs = [across.at(step.runs) for step in with_band]
    ups = [inside(step.so_far.high) for step in with_band]
    downs = [inside(step.so_far.low) for step in with_band]
    pen.area([*xs, *reversed(xs)], [*ups, *reversed(downs)], PALE)
    pen.axis_left(scale, _LEFT, right, f"{unit} (the axis does not begin at 0)")
    for ends_at in (ups, downs):
        pen.line(xs, ends_at, colour=BLUE, width=0.9, dashes=(3, 2))
    every = [across.at(s.runs) for s in found]
    pen.line(every, [scale.at(s.so_far.mean or 0.0) for s in found], colour=BLUE, width=2.4)
    if len(found) <= _MOST_MARKED:
        pen.marks(every, [scale.at(s.value) for s in found], "o", 4.5, _RUN)
    pen.counts_below(across, _TOP + tall, "replications")
    return pen.figure
