"""How the main figure settles as replications are added."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from linesim.answers.wording import number
from linesim.report.canvas import Pen
from linesim.report.figure import Figure, figure
from linesim.report.page_input import Told
from linesim.report.scale import Scale
from linesim.report.style import BLUE, INK, PALE, SMALL, SOFT, Paint
from linesim.report.table import PageCell, estimated, numeric, plain_number, table
from linesim.runs.replication import Label
from linesim.runs.result import Result
from linesim.runs.rows import Row, row_of

if TYPE_CHECKING:
    from matplotlib.figure import Figure as Drawing

METHOD = (
    "The mean so far with its confidence interval, replication by replication (S. Robinson, Simulation: The "
    "Practice of Model Development and Use, 2004)."
)
_VALUE = Paint("#ffffff", INK)
_MOST_MARKED = 60


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
        METHOD,
        lambda width: _draw(width, found, unit),
    )


def _draw(width: int, found: tuple[LookStep, ...], unit: str) -> Drawing:
    left, right, top, tall = 46.0, width - 10.0, 24.0, 200.0
    values = [step.value for step in found]
    # The interval after two replications can be enormous; the drawing is for what comes after.
    kept = [step.so_far for step in found if step.so_far.low is not None][1 if len(found) > 4 else 0 :]
    lows = [row.low for row in kept if row.low is not None]
    highs = [row.high for row in kept if row.high is not None]
    bottom, high = min(*values, *lows), max(*values, *highs)
    rim = 0.05 * (high - bottom) or 0.5
    across = Scale(1, max(2, len(found)), left + 8, right - 8)
    scale = Scale(bottom - rim, high + rim, top + tall, top)
    pen = Pen(width, top + tall + 44)

    def inside(value: float) -> float:
        return scale.at(min(max(value, scale.low), scale.high))

    with_band = [s for s in found if s.so_far.low is not None and s.so_far.high is not None]
    xs = [across.at(step.runs) for step in with_band]
    ups = [inside(step.so_far.high or 0.0) for step in with_band]
    downs = [inside(step.so_far.low or 0.0) for step in with_band]
    pen.area([*xs, *reversed(xs)], [*ups, *reversed(downs)], PALE)
    pen.axis_left(scale, left, right, f"{unit} (the axis does not begin at 0)")
    for ends in (ups, downs):
        pen.line(xs, ends, colour=BLUE, width=0.9, dashes=(3, 2))
    pen.line(
        [across.at(s.runs) for s in found],
        [scale.at(s.so_far.mean or 0.0) for s in found],
        colour=BLUE,
        width=2.4,
    )
    if len(found) <= _MOST_MARKED:
        pen.marks([across.at(s.runs) for s in found], [scale.at(s.value) for s in found], "o", 4.5, _VALUE)
    for value, _ in across.ticks():
        if value.is_integer():
            pen.words(
                across.at(value), top + tall + 12, f"{value:.0f}", side="center", size=SMALL, colour=SOFT
            )
    pen.words((left + right) / 2, top + tall + 29, "replications", side="center", size=SMALL, colour=SOFT)
    return pen.figure
