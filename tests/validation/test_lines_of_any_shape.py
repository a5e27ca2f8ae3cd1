"""Saturated lines whose times are not exponential: two machines of any law, Erlang lines.

Two machines without a place start together each time, so they make 1/E[max(T1, T2)] (closed forms and
quadrature). Erlang lines: H. T. Papadopoulos, C. Heavey, M. E. J. O'Kelly, Computers in Industry 13 (1990)
317-335 (title page seen); numbers recomputed from the Markov chain of the stages.
"""

from functools import cache
from math import pi, sqrt

import numpy as np
import pytest

from linesim.theory.laws import Law, two_machine_throughput
from linesim.theory.laws import erlang as erlang_law
from linesim.theory.laws import normal as normal_law
from linesim.theory.laws import uniform as uniform_law
from linesim.theory.tandem import line_throughput
from tests.statistical import assert_mean_agrees, assert_mean_differs
from tests.validation.lines import UNIT, Line, Raw, erlang, normal, rates, shares, tandem, uniform

REPLICATIONS = 40


@pytest.mark.parametrize(
    ("law", "time", "slower", "printed"),
    [
        (uniform_law(0.5, 1.5), uniform(0.5 * UNIT, 1.5 * UNIT), uniform(0.51 * UNIT, 1.53 * UNIT), 6 / 7),
        (
            normal_law(1, 0.2), normal(UNIT, 0.2 * UNIT), normal(1.02 * UNIT, 0.204 * UNIT),
            1 / (1 + 0.2 / sqrt(pi)),  # 0.89860346
        ),
        (erlang_law(1, 2), erlang(UNIT, 2), erlang(1.02 * UNIT, 2), 8 / 11),
    ],
    ids=["uniform", "normal", "erlang-2"],
)  # fmt: skip
def test_two_machines_of_any_law(law: Law, time: Raw, slower: Raw, printed: float) -> None:
    """Two machines make 1/E[max]; machines that are 2 % slower do not pass, at 1.5 %."""
    exact = two_machine_throughput(law, law)
    assert exact == pytest.approx(printed, abs=5e-9)
    jobs = 350 if law.sd < 0.4 else 2000

    def made(time: Raw) -> list[float]:
        return rates(tandem([time] * 2, length=jobs * UNIT, warm_up=10 * UNIT), REPLICATIONS)

    assert_mean_agrees(made(time), exact, must_see=0.015 * exact)
    assert_mean_differs(made(slower), exact, must_see=0.015 * exact)


#: Machines, stages, places in each gap, jobs per unit of time. Recomputed: Markov chain of the stages.
PRINTED = {
    (2, 2, 0): 0.72727273,
    (2, 2, 1): 0.82142857,
    (2, 2, 2): 0.86821705,
    (2, 3, 0): 0.76190476,
    (2, 3, 1): 0.85869565,
    (2, 3, 2): 0.90064734,
    (2, 4, 0): 0.78527607,
    (2, 4, 1): 0.88217701,
    (2, 4, 2): 0.91986185,
    (3, 2, 0): 0.64040850,
    (3, 2, 1): 0.76130725,
    (3, 2, 2): 0.82188615,
    (3, 4, 0): 0.71399941,
    (4, 2, 0): 0.59770686,
}


@cache
def works(machines: int, stages: int, places: int) -> list[float]:
    """Return the mean share of time that the machines work, one figure per replication."""
    line = Line(tandem([erlang(UNIT, stages)] * machines, places, length=360 * UNIT, warm_up=30 * UNIT))
    return [float(np.mean([row[0] for row in shares(ledger)])) for ledger in line.runs(REPLICATIONS)]


@pytest.mark.parametrize(("machines", "stages", "places"), PRINTED)
def test_erlang_line(machines: int, stages: int, places: int) -> None:
    """The machines of a balanced Erlang line work the exact share of time; an error of 2 % would be seen."""
    exact = line_throughput([1.0] * machines, places, stages=stages)
    assert exact == pytest.approx(PRINTED[machines, stages, places], abs=5e-9)
    assert_mean_agrees(works(machines, stages, places), exact, must_see=0.02 * exact)


@pytest.mark.parametrize(("machines", "stages", "places"), [line for line in PRINTED if line[2]])
def test_erlang_line_with_the_machine_place_counted(machines: int, stages: int, places: int) -> None:
    """A line with one place less, as if the place on the machine counted, does not pass."""
    exact = line_throughput([1.0] * machines, places, stages=stages)
    assert_mean_differs(works(machines, stages, places - 1), exact, must_see=0.02 * exact)


@pytest.mark.parametrize(("machines", "stages"), [(2, 3), (2, 4), (3, 4)])
def test_erlang_line_with_other_stages(machines: int, stages: int) -> None:
    """A line whose times have another spread at the same mean does not pass."""
    exact = line_throughput([1.0] * machines, 0, stages=stages)
    assert_mean_differs(works(machines, 2, 0), exact, must_see=0.02 * exact)
