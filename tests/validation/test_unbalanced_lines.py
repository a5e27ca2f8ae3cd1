"""Exponential lines with unequal machines: the bowl, reversed lines, a published best design.

Bowl: F. S. Hillier and R. W. Boling, Management Science 12 (1966) 651-658 (citation from memory). Numbers
recomputed from the Markov chain. The gains are below 1 %, so alternatives see the same draws and their paired
differences are looked at; figures are told by the machines' use (see `speeds`).
"""

from collections.abc import Sequence
from functools import cache

import numpy as np
import pytest

from linesim.theory.tandem import line_throughput
from tests.formulas.bottlenecks import speed_gains
from tests.statistical import assert_difference_agrees, assert_mean_agrees, assert_mean_differs
from tests.validation.lines import UNIT, exponential, rates, speeds, tandem

REPLICATIONS = 40
Times = tuple[float, ...]


def line(mean_times: Sequence[float], places: Sequence[int], length: float = 1000):
    """Return a saturated exponential line."""
    times = [exponential(UNIT * w) for w in mean_times]
    return tandem(times, places, length=length * UNIT, warm_up=50 * UNIT)


@cache
def made(mean_times: Times, places: tuple[int, ...], length: float = 1000) -> tuple[float, ...]:
    """Return the throughput of a line as told by its machines' use, one figure per replication."""
    gains = speed_gains(mean_times, places)
    return tuple(speeds(line(mean_times, places, length), mean_times, gains, REPLICATIONS))


#: Mean times, places, jobs per unit of time. Recomputed: Markov chain.
PRINTED = {
    ((1, 1, 1), (0, 0)): 0.56410256,
    ((1.08555, 0.8289, 1.08555), (0, 0)): 0.56718186,
    ((1.05, 0.90, 1.05), (0, 0)): 0.56664286,
    ((0.9, 1.2, 0.9), (0, 0)): 0.55326063,
    ((0.8, 1.0, 1.2), (0, 0)): 0.55544447,
    ((1.1, 0.8, 1.1), (0, 0)): 0.56709162,
    ((1.0592, 0.8816, 1.0592), (1, 1)): 0.67375845,
    ((0.9, 1.0, 1.1), (1, 1)): 0.66568142,
    ((0.8, 1.2, 1.0), (1, 2)): 0.67897843,
    ((1.0, 1.2, 0.8), (2, 1)): 0.67897843,  # the same line reversed
    ((1.2, 1, 1, 1), (2, 2, 2)): 0.66512808,
}


@pytest.mark.parametrize(("mean_times", "places"), PRINTED)
def test_printed_throughputs(mean_times: Times, places: tuple[int, ...]) -> None:
    """The chain gives the printed throughput of every line of the table."""
    assert line_throughput(mean_times, places) == pytest.approx(PRINTED[mean_times, places], abs=5e-9)


@pytest.mark.parametrize(
    ("mean_times", "places", "wrong"),
    [
        ((0.9, 1.0, 1.1), (1, 1), (0, 0)),
        ((0.8, 1.2, 1.0), (1, 2), (0, 1)),
        ((1.0, 1.2, 0.8), (2, 1), (1, 0)),
        ((1.2, 1, 1, 1), (2, 2, 2), (1, 1, 1)),
    ],
)
def test_unbalanced_line(mean_times: Times, places: tuple[int, ...], wrong: tuple[int, ...]) -> None:
    """An unbalanced line has its exact throughput to 2 %; with the machine place counted it does not."""
    exact = line_throughput(mean_times, places)
    assert_mean_agrees(made(mean_times, places, 500), exact, must_see=0.02 * exact)
    assert_mean_differs(made(mean_times, wrong, 500), exact, must_see=0.02 * exact)


BALANCED = (1, 1, 1)


@pytest.mark.parametrize(
    ("mean_times", "places", "printed"),
    [
        ((1.08555, 0.8289, 1.08555), (0, 0), 0.56718186 - 0.56410256),  # the bowl, gain 0.546 %
        ((0.9, 1.2, 0.9), (0, 0), 0.55326063 - 0.56410256),  # the bowl upside down
        ((0.8, 1.0, 1.2), (0, 0), 0.55544447 - 0.56410256),
        ((1.0592, 0.8816, 1.0592), (1, 1), 0.67375845 - 0.67046616),  # the bowl with places, gain 0.491 %
    ],
)
def test_gain_over_the_balanced_line(mean_times: Times, places: tuple[int, ...], printed: float) -> None:
    """Over common draws the gain over the balanced line is the exact one; no gain would be seen."""
    exact = line_throughput(mean_times, places) - line_throughput(BALANCED, places)
    assert exact == pytest.approx(printed, abs=1e-8)
    other, base = made(mean_times, places), made(BALANCED, places)
    assert_difference_agrees(other, base, exact, must_see=abs(exact))
    assert_mean_differs(np.subtract(other, base), 0.0, must_see=abs(exact))


def test_the_bowl_drowns_without_common_draws() -> None:
    """Against a balanced line with other draws the gain of the bowl cannot be told: the test is blind."""
    bowl = made((1.08555, 0.8289, 1.08555), (0, 0))
    other = rates(line(BALANCED, (0, 0)), REPLICATIONS, seed=2)
    with pytest.raises(AssertionError, match="blind"):
        assert_difference_agrees(bowl, other, 0.00307930, must_see=0.00307930)


def test_published_best_design_and_its_convention() -> None:
    """Rates 6, 7, 7 with 12 and 8 places make 5.776 jobs if the machine's place counts: 11 and 7 between.

    J. Pichitlamken and B. L. Nelson, ACM TOMACS 13 (2003) 155-179, after Buzacott and Shanthikumar 1993
    (citations from memory); 5.776122 recomputed. With 12 and 8 places between the machines the same design
    makes 0.0415 more, which common draws show.
    """
    mean_times = (1 / 6, 1 / 7, 1 / 7)
    exact = line_throughput(mean_times, (11, 7))
    assert exact == pytest.approx(5.776122, abs=5e-7)
    assert line_throughput((1 / 7, 1 / 7, 1 / 6), (7, 11)) == pytest.approx(
        exact, abs=1e-9
    )  # its mirror image
    assert line_throughput((1 / 7, 1 / 7, 1 / 6), (6, 12)) == pytest.approx(5.771488, abs=5e-7)  # runner-up
    more = line_throughput(mean_times, (12, 8)) - exact
    counted, between = made(mean_times, (11, 7), 100), made(mean_times, (12, 8), 100)
    assert_mean_agrees(counted, exact, must_see=0.02 * exact)
    assert_difference_agrees(between, counted, more, must_see=0.04)
    assert_mean_differs(np.subtract(between, counted), 0.0, must_see=0.04)
    assert_mean_differs(made(mean_times, (1, 1), 100), exact, must_see=0.02 * exact)
