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

from linesim.stats.intervals import student_quantile
from linesim.theory.tandem import line_throughput
from tests.formulas.departures import departure_times
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


#: The rest of the table. The engine obeys the recursion job by job (test_departures), whatever the line.
REST = {
    2: {4: 0.85714286, 6: 0.88888889, 8: 0.90909091, 10: 0.92307692},
    3: {4: 0.80748591, 6: 0.84899066, 8: 0.87573448, 10: 0.89441855},
    4: {4: 0.78177602, 6: 0.82802794, 8: 0.85804086, 10: 0.87911477},
    5: {0: 0.48579812, 2: 0.68048948, 3: 0.72994794, 4: 0.76593386, 6: 0.81500275, 8: 0.84698683,
        10: 0.86951689},
    6: {0: 0.46671326, 1: 0.59182578, 3: 0.71790830},
}  # fmt: skip


def rates_by_recursion(machines: int, places: int, lines: int, jobs: int) -> np.ndarray:
    """Return jobs per unit of time of lines that obey the recursion, a tenth of the jobs to warm up."""
    work = np.random.default_rng(1).exponential(size=(lines, jobs, machines))
    left = departure_times(work, places=places)[..., -1]
    return np.asarray((jobs - 1 - jobs // 10) / (left[:, -1] - left[:, jobs // 10]))


@pytest.mark.parametrize("machines", REST)
def test_the_recursion_has_the_rates_of_the_chain(machines: int) -> None:
    """Longer lines and more places than the engine is run with: the recursion makes the printed rates."""
    fewer = None
    for places, printed in REST[machines].items():
        found = rates_by_recursion(machines, places, 100, 4000)
        assert_mean_agrees(found, printed, must_see=0.01 * printed)
        if fewer is not None:
            assert_mean_differs(found, fewer, must_see=0.01 * printed)
        fewer = printed


def test_luck_of_one_run_of_five_thousand_jobs() -> None:
    """Jobs per unit of time of three machines, 5,000 jobs a run, scatter by 0.0054: the figure to plan with.

    So 20 runs of 20,000 jobs give 0.0013 to either side, 95 %.
    """
    found = rates_by_recursion(3, 0, 1000, 5556)  # a tenth of them to warm up
    spread = (found - found.mean()) ** 2 * 1000 / 999
    assert_mean_agrees(spread, 0.0054**2, must_see=0.35 * 0.0054**2)
    assert_mean_differs(spread, 0.0070**2, must_see=0.35 * 0.0054**2)
    assert student_quantile(0.975, 19) * 0.0054 / 2 / np.sqrt(20) == pytest.approx(0.0013, abs=5e-5)


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
