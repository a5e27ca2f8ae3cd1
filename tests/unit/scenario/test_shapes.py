"""Times and chances: how they are written, what they mean, what is refused."""

import math

import numpy as np
import pytest
from scipy import stats

from linesim.scenario.shapes import Constant, Empirical, Exponential, Gamma, Lognormal, Shape
from tests.unit.scenario.lines import base, codes


def time_of(text: str) -> Shape:
    """Return the time that a TOML value describes."""
    time: Shape = base(f"station.A1.task.fit.time = {text}").station["A1"].task["fit"].time
    return time


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ('"48 s"', Constant),
        ('{ mean = "48 s" }', Constant),
        ('{ value = "48 s", confidence = "guess" }', Constant),
        ('{ shape = "constant", value = "48 s" }', Constant),
        ('{ mean = "48 s", cv = 0.1 }', Lognormal),
        ('{ shape = "gamma", mean = "48 s", cv = 0.1 }', Gamma),
        ('{ shape = "exponential", mean = "48 s" }', Exponential),
        ('{ shape = "empirical", values_s = [47, 49.0] }', Empirical),
    ],
)
def test_the_shape_follows_from_what_is_given(text: str, kind: type[Shape]) -> None:
    """Text and a mean alone are constant, a mean with a cv is lognormal, anything else says its shape."""
    time = time_of(text)
    assert type(time) is kind
    assert time.mean_s == 48


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        # J. of the normal cut at 0: mean + sd * pdf(-mean/sd) / sf(-mean/sd); recomputed by scipy's truncnorm
        ('{ shape = "normal", mean = "1 s", sd = "0.5 s" }', stats.truncnorm(-2, math.inf, 1, 0.5).mean()),
        ('{ shape = "normal", mean = "10 s", cv = 0.1 }', stats.truncnorm(-10, math.inf, 10, 1).mean()),
        ('{ shape = "normal", mean = "0 s", sd = "2 s" }', stats.halfnorm(0, 2).mean()),
        (
            '{ shape = "triangular", low = "40 s", mode = "50 s", high = "75 s" }',
            stats.triang(10 / 35, 40, 35).mean(),
        ),
        ('{ shape = "pert", low = "40 s", mode = "50 s", high = "75 s" }', 52.5),  # (40 + 4 * 50 + 75) / 6
        ('{ shape = "uniform", low = "40 s", high = "50 s" }', 45.0),
        ('{ shape = "erlang", mean = "1 min", stages = 4 }', 60.0),
        ('{ shape = "weibull", mean = "5 min", cv = 0.5 }', 300.0),
        ('{ shape = "weibull", scale = "100 s", power = 2.0 }', stats.weibull_min(2, scale=100).mean()),
    ],
)
def test_means(text: str, expected: float) -> None:
    """The mean of each shape is that of the distribution it names."""
    assert time_of(text).mean_s == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ('{ low = "4 s", mode = "5 s", high = "6 s" }', "missing-field"),
        ('{ shape = "triangular", low = "4 s", mode = "5 s" }', "missing-field"),
        ('{ shape = "triangular", low = "6 s", mode = "5 s", high = "7 s" }', "out-of-order"),
        ('{ shape = "pert", low = "6 s", mode = "8 s", high = "7 s" }', "out-of-order"),
        ('{ shape = "uniform", low = "6 s", high = "5 s" }', "out-of-order"),
        ('{ shape = "normal", mean = "6 s" }', "one-of"),
        ('{ shape = "weibull", mean = "6 s", power = 2.0 }', "one-of"),
        ('{ shape = "weibull", mean = "6 s" }', "one-of"),
        ('{ shape = "weibull", mean = "6 s", cv = 0.0001 }', "out-of-range"),
        ('{ mean = "0 s", cv = 0.1 }', "out-of-range"),
        ('{ shape = "exponential", mean = "0 s" }', "out-of-range"),
        ('{ mean = "6 s", cv = -0.1 }', "out-of-range"),
        ('{ shape = "erlang", mean = "6 s", stages = 0 }', "out-of-range"),
        ('{ shape = "erlang", mean = "6 s", stages = 2.5 }', "wrong-kind"),
        ('{ mean = "6 s", sigma = 1 }', "unknown-key"),
        ("{ mean = 6, cv = 0.1 }", "bare-number"),
        ('{ shape = 5, mean = "6 s" }', "unknown-shape"),
        ("[1, 2]", "bad-time"),
        ("true", "bad-time"),
        ('{ shape = "empirical", values_s = [-1] }', "out-of-range"),
        ('{ shape = "empirical" }', "missing-field"),
        ('{ mean = "6 s", confidence = "sure" }', "unknown-word"),
        ('{ mean = "6 s", range = [1.2, 0.8] }', "out-of-order"),
        ('{ mean = "6 s", range = [0.0, 0.8] }', "out-of-range"),
    ],
)
def test_what_is_no_time(text: str, code: str) -> None:
    """Each wrong way to write a time is one problem of its own kind."""
    assert codes(f"station.A1.task.fit.time = {text}") == [code]


def test_weights_may_stand_on_any_figure() -> None:
    """Times, chances and failures carry where they come from and how well they are known."""
    scenario = base(
        'station.A1.task.fit.time = { mean = "50 s", source = "study", confidence = "measured", range = '
        "[0.9, 1.2] }",
        'station.A1.task.fit.fault = { chance = { value = 0.02, confidence = "guess" }, tries = 2 }',
        'section.main.failure.belt = { every = "5 h", lasts = "3 min", confidence = "estimated" }',
    )
    task = scenario.station["A1"].task["fit"]
    assert (task.time.source, task.time.confidence, task.time.range) == ("study", "measured", (0.9, 1.2))
    assert task.fault["fault"].chance.confidence == "guess"
    assert scenario.section["main"].failure["belt"].confidence == "estimated"


def test_one_fault_or_several_by_name() -> None:
    """One fault stands without a name; several stand by theirs."""
    one = base("station.A1.task.fit.fault = { chance = 0.1, tries = 2 }").station["A1"].task["fit"]
    two = (
        base(
            "station.A1.task.fit.fault.scratch = { chance = 0.1, tries = 2 }",
            'station.A1.task.fit.fault.gap = { chance = 0.2, found = "B1", repair = "1 min" }',
        )
        .station["A1"]
        .task["fit"]
    )
    assert list(one.fault) == ["fault"]
    assert [(name, fault.chance.value) for name, fault in two.fault.items()] == [
        ("scratch", 0.1),
        ("gap", 0.2),
    ]


def test_people_of_a_robot_task() -> None:
    """A robot works alone unless a crew or people are named."""
    for more, people in (("", 0), (', crew = "team"', 1), (", people = 2", 2)):
        task = f'station.A1.task.weld = {{ robot = "R1", time = "9 s"{more} }}'
        assert base("robot.R1 = {}", task).station["A1"].task["weld"].people == people


def test_measured_times_are_equal_by_what_was_said() -> None:
    """Two shapes of the same measured times are one, also once times are drawn; others are not."""
    pairs = ((1.0, 2.0), (1.0, 2.0), (1.0, 3.0))
    one, same, other = (Empirical(file="t.csv", column="a", values_s=values) for values in pairs)
    for shape in (one, same, other):
        shape.quantile(np.array([0.5]))
    assert one == same and hash(one) == hash(same)
    assert one != other
