"""Saturated lines of exponential machines, blocking after service, against their Markov chains.

F. S. Hillier and R. W. Boling, Operations Research 15 (1967) 286-303; three machines without places:
G. C. Hunt, Operations Research 4 (1956) 674-683 (both citations from memory). Every number recomputed: the
chain's balance equations solved with linear algebra, fractions by exact elimination.

Two figures are held against the exact throughput: finished jobs per unit of time, and the mean share of time
that the machines work (times of mean 1, so the same number), whose luck is smaller because a run with long
times makes fewer jobs but works as much.
"""

from fractions import Fraction
from functools import cache

import numpy as np
import pytest

from linesim.theory.tandem import line_throughput
from tests.statistical import assert_mean_agrees, assert_mean_differs
from tests.validation.lines import UNIT, Line, constant, exponential, rate, rates, shares, tandem

REPLICATIONS = 50

#: Machines, places in each gap, jobs per unit of time. Recomputed: Markov chain.
PRINTED = {
    (2, 0): 0.66666667,  # (b + 2)/(b + 3)
    (2, 1): 0.75,
    (2, 2): 0.8,
    (2, 3): 0.83333333,
    (3, 0): 0.56410256,  # 22/39
    (3, 1): 0.67046616,  # 8529/12721
    (3, 2): 0.73401667,
    (3, 3): 0.77671153,
    (4, 0): 0.51477549,  # 4024/7817
    (4, 1): 0.63115269,
    (4, 2): None,  # not in the table; from the chain alone
    (4, 3): 0.74770951,
}


@cache
def ran(machines: int, places: int) -> tuple[list[float], list[float]]:
    """Return jobs per unit of time and mean share of working time, one figure per replication."""
    line = Line(tandem([exponential(UNIT)] * machines, places, length=600 * UNIT, warm_up=40 * UNIT))
    made, works = [], []
    for ledger in line.runs(REPLICATIONS):
        made.append(rate(ledger))
        works.append(float(np.mean([row[0] for row in shares(ledger)])))
    return made, works


@pytest.mark.parametrize(("machines", "places"), PRINTED)
def test_balanced_line(machines: int, places: int) -> None:
    """A balanced exponential line has the throughput of its chain, seen to 5 % in jobs and 2 % in work."""
    exact = line_throughput([1.0] * machines, places)
    printed = PRINTED[machines, places]
    assert printed is None or exact == pytest.approx(printed, abs=5e-9)
    made, works = ran(machines, places)
    assert_mean_agrees(made, exact, must_see=0.05 * exact)
    assert_mean_agrees(works, exact, must_see=0.02 * exact)


@pytest.mark.parametrize(("machines", "places"), [line for line in PRINTED if line[1]])
def test_balanced_line_with_the_machine_place_counted(machines: int, places: int) -> None:
    """A line that counts the place on the machine as a place fails, and so does one place too many."""
    for wrong, right in ((places - 1, places), (places, places - 1)):
        exact = line_throughput([1.0] * machines, right)
        assert_mean_differs(ran(machines, wrong)[1], exact, must_see=0.02 * exact)


def test_exact_fractions() -> None:
    """The chain gives 22/39, 4024/7817, 8529/12721, and (b + 2)/(b + 3) for two machines."""
    for mean_times, places, fraction in (
        ([1.0] * 3, 0, Fraction(22, 39)),
        ([1.0] * 4, 0, Fraction(4024, 7817)),
        ([1.0] * 3, 1, Fraction(8529, 12721)),
        *(([1.0] * 2, b, Fraction(b + 2, b + 3)) for b in range(12)),
    ):
        assert line_throughput(mean_times, places) == pytest.approx(float(fraction), abs=1e-12)


@pytest.mark.parametrize(
    ("rate_1", "rate_2", "places", "printed"),
    [(1.0, 2.0, 0, 0.85714286), (1.0, 1.25, 3, 0.91118050)],  # closed form below; recomputed: Markov chain
)
def test_two_unequal_machines(rate_1: float, rate_2: float, places: int, printed: float) -> None:
    """Two machines make mu2 (1 - 1/(1 + r + ... + r^(b+2))) with r = mu1/mu2; other places fail."""
    r = rate_1 / rate_2
    exact = rate_2 * (1 - 1 / sum(r**k for k in range(places + 3)))
    assert exact == pytest.approx(printed, abs=5e-9)
    assert line_throughput([1 / rate_1, 1 / rate_2], places) == pytest.approx(exact, abs=1e-10)

    def works(b: int) -> list[float]:
        times = [exponential(UNIT / rate_1), exponential(UNIT / rate_2)]
        line = Line(tandem(times, b, length=900 * UNIT, warm_up=40 * UNIT))
        parts = [shares(ledger) for ledger in line.runs(REPLICATIONS)]
        return [(first[0] * rate_1 + second[0] * rate_2) / 2 for first, second in parts]

    assert_mean_agrees(works(places), exact, must_see=0.02 * exact)
    assert_mean_differs(works(1 if places == 0 else 0), exact, must_see=0.02 * exact)


def test_parts_are_made_as_often_as_the_work_says() -> None:
    """With constant times of 1 the saturated line makes exactly one job per unit of time, places or not."""
    for places in (0, 2):
        line = tandem([constant(UNIT)] * 4, places, length=100 * UNIT, warm_up=10 * UNIT)
        assert rates(line, 1) == [1.0]
