"""Times made longer or shorter by a factor: every shape keeps its form and every draw moves by the factor."""

from __future__ import annotations

import numpy as np
import pytest

from linesim.plan.build import build
from linesim.questions.changes import rounded, scaled_task, scaled_time
from linesim.scenario import load_text

SHAPES = (
    '"48 s"',
    '{ value = "48 s", shape = "constant" }',
    '{ mean = "0.8 min", cv = 0.2 }',
    '{ shape = "normal", mean = "48 s", cv = 0.2 }',
    '{ shape = "normal", mean = "48 s", sd = "10 s" }',
    '{ shape = "triangular", low = "40 s", mode = "50 s", high = "75 s" }',
    '{ shape = "pert", low = "40 s", mode = "50 s", high = "75 s" }',
    '{ shape = "uniform", low = "40 s", high = "75 s" }',
    '{ shape = "exponential", mean = "48 s" }',
    '{ shape = "erlang", mean = "48 s", stages = 3 }',
    '{ shape = "gamma", mean = "48 s", cv = 0.4 }',
    '{ shape = "weibull", mean = "48 s", cv = 0.4 }',
    '{ shape = "weibull", scale = "48 s", power = 2.0 }',
    '{ shape = "empirical", values_s = [40.0, 44.5, 61.25] }',
)
LINE = """\
takt = "60 s"
flow = ["cell"]
[run]
length = "1 h"
[model.plain]
[model.rich]
[section.cell]
pacing   = "free"
stations = ["K1"]
[station.K1.task.press]
people   = 0
time     = {time}
time_for = {{ rich = {time} }}
"""


@pytest.mark.parametrize("time", SHAPES)
@pytest.mark.parametrize("factor", [1 / 1.05, 1.3])
def test_every_quantile_moves_by_the_factor(time: str, factor: float) -> None:
    """Whatever the shape, each quantile of the scaled time is the factor times the old one."""
    line = load_text(LINE.format(time=time))
    path = ("station", "K1", "task", "press")
    scaled = line.replace(dict(scaled_task(path, line.station["K1"].task["press"], factor)))
    u = np.linspace(0.001, 0.999, 101)
    shapes, others = build(line).shapes, build(scaled).shapes
    assert len(shapes) == len(others) >= 1
    for before, after in zip(shapes, others, strict=True):
        np.testing.assert_allclose(after.quantile(u), factor * before.quantile(u), rtol=1e-7)


def test_only_times_are_written() -> None:
    """A coefficient of variation has no unit and stays; the mean alone is set."""
    line = load_text(LINE.format(time=SHAPES[2]))
    task = line.station["K1"].task["press"]
    assert list(scaled_time(("a", "b"), task.time, 2.0)) == [(("a", "b", "mean"), "1.6 min")]


def test_figures_stay_short() -> None:
    """A scaled figure has nine digits at most, far below a thousandth of a second."""
    assert rounded(48 / 1.05) == 45.7142857
