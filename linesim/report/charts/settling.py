"""Whether the start of a run still shows: the mean of each shift in turn."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from linesim.answers.wording import change_by_sides, number
from linesim.questions.warmup.series import FINISHED_WITHIN, bias_of
from linesim.report.canvas import Pen
from linesim.report.charts.shifts import OneShift, by_shift
from linesim.report.figure import Figure, figure
from linesim.report.page_input import Told
from linesim.report.scale import Scale
from linesim.report.style import BLUE, SMALL, SOFT, Paint
from linesim.report.table import PageCell, estimated, numeric, plain_number, table
from linesim.stats import welch_average

if TYPE_CHECKING:
    from matplotlib.figure import Figure as Drawing

METHOD = (
    "The mean over replications of each shift, smoothed by a moving average: P. D. Welch in The Computer "
    "Performance Modeling Handbook (1983)."
)
FEWEST_SHIFTS = 4  #: With fewer nothing can be said about settling.
_MEAN = Paint(BLUE, BLUE)


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
        METHOD,
        lambda width: _draw(width, shifts, line),
    )


def _draw(width: int, shifts: tuple[OneShift, ...], line: tuple[float, ...]) -> Drawing:
    left, right, top, tall = 46.0, width - 10.0, 24.0, 160.0
    lows = [shift.mean.low if shift.mean.low is not None else shift.mean.mean or 0.0 for shift in shifts]
    highs = [shift.mean.high if shift.mean.high is not None else shift.mean.mean or 0.0 for shift in shifts]
    rim = 0.06 * (max(highs) - min(lows)) or 0.5
    scale = Scale(min(lows) - rim, max(highs) + rim, top + tall, top, marks=4)
    across = Scale(0.5, len(shifts) + 0.5, left, right, marks=10 if width > 500 else 5)
    pen = Pen(width, top + tall + 44)
    pen.axis_left(scale, left, right, "jobs per shift (the axis does not begin at 0)")
    pen.line([across.at(i + 1) for i in range(len(line))], [scale.at(v) for v in line], colour=BLUE, width=2)
    for shift, low, high in zip(shifts, lows, highs, strict=True):
        at = across.at(shift.number)
        if high > low:
            pen.whisker(scale.at(high), scale.at(low), at, upright=True)
        pen.marks((at,), (scale.at(shift.mean.mean or 0.0),), "o", 6, _MEAN)
    for value, _ in across.ticks():
        if value.is_integer():
            pen.words(
                across.at(value), top + tall + 12, f"{value:.0f}", side="center", size=SMALL, colour=SOFT
            )
    pen.words(
        (left + right) / 2, top + tall + 29, "shift after the warm-up", side="center", size=SMALL, colour=SOFT
    )
    return pen.figure
