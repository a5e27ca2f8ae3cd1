"""Lines whose stations step together: the slowest station sets every step.

Step = E[max of the stations' times] + move. Recomputed by quadrature and closed forms (harmonic numbers;
order statistics of the normal law as in H. L. Harter's tables of 1961, from memory). The takt is set to 1 ms:
only the work counts. A station works E[T]/E[step] of the time; its use is held against that, because a run of
long times makes fewer steps but works as much. Filling and emptying: sums of harmonic numbers.
"""

from collections.abc import Sequence
from math import fsum

import numpy as np
import pytest

from linesim.plan.words import S_WORKING
from linesim.theory import laws
from linesim.theory.laws import expected_largest
from tests.formulas import laws as more_laws
from tests.formulas.largest import indexed_makespan
from tests.statistical import assert_mean_agrees, assert_mean_differs
from tests.validation.lines import (
    TICKS,
    UNIT,
    Line,
    Raw,
    constant,
    drawn,
    erlang,
    exponential,
    listed,
    lognormal,
    normal,
    paced,
    seconds_of,
    share,
    tandem,
    triangular,
    uniform,
)

REPLICATIONS = 40
TAKT = 0.001  #: Shorter than any work [s].


def weibull(mean: float) -> Raw:
    """Return a Weibull time of shape 2, whose cv is 0.52272320."""
    return {"shape": "weibull", "mean": f"{mean} s", "cv": laws.weibull_cv(2)}


#: Law of mean about 1, the time in a scenario, expected largest of N. Recomputed: quadrature, closed forms.
TABLE: dict[str, tuple[laws.Law, Raw, dict[int, float]]] = {
    "exponential": (
        laws.exponential(1), exponential(UNIT),
        {
            2: 1.5, 3: 1.83333333, 4: 2.08333333, 5: 2.28333333, 6: 2.45, 10: 2.92896825, 20: 3.59773966,
        },  # harmonic numbers
    ),
    "uniform": (
        laws.uniform(0.5, 1.5), uniform(0.5 * UNIT, 1.5 * UNIT),
        {
            2: 1.16666667, 3: 1.25, 4: 1.3, 5: 1.33333333, 6: 1.35714286, 10: 1.40909091, 20: 1.45238095,
        },  # 0.5 + N/(N + 1)
    ),
    "normal": (
        laws.normal(1, 0.2), normal(UNIT, 0.2 * UNIT),
        {
            2: 1.11283792, 3: 1.16925688, 4: 1.20587507, 5: 1.23259289, 6: 1.25344127, 10: 1.30775055,
            20: 1.37349501,
        },  # 1 + 0.2 e_N
    ),
    "erlang-2": (
        laws.erlang(1, 2), erlang(UNIT, 2),
        {2: 1.375, 3: 1.60648148, 4: 1.77358218, 5: 1.90413606},
    ),
    "erlang-4": (laws.erlang(1, 4), erlang(UNIT, 4), {2: 1.27343750, 3: 1.43266834}),
    "lognormal": (
        laws.lognormal(1, 0.2), lognormal(UNIT, 0.2),
        {2: 1.11136923, 3: 1.17243038, 4: 1.21411174, 5: 1.24558073},
    ),
    "triangular": (
        more_laws.triangular(0.7, 1, 1.6), triangular(0.7 * UNIT, UNIT, 1.6 * UNIT), {2: 1.20666667},
    ),
    "weibull": (laws.weibull(1, 2), weibull(UNIT), {2: 1.29289322, 5: 1.64964848}),
}  # fmt: skip
CELLS = [(name, n) for name, (_, _, row) in TABLE.items() for n in row]


def effort(law: laws.Law, n: int) -> tuple[int, float]:
    """Return the steps of a replication and the smallest relative error to be seen."""
    base, most = (220, 0.055) if law.sd > 0.4 else (60, 0.03)
    return max(base // 5, 2 * base // n), min(0.009 * n, most)


def indexed(times: Sequence[Raw], length: float, transfer: float = 0.0) -> Raw:
    """Return stations that step together as soon as the slowest is done."""
    raw = paced(times, length=length, takt=transfer + TAKT, pacing="indexed", transfer=f"{transfer:g} s")
    raw["run"]["warm_up"] = f"{len(times) * 4 * UNIT:g} s"
    return raw


def use(times: Sequence[Raw], length: float, transfer: float = 0.0) -> list[float]:
    """Return the mean share of time that the stations work, one figure per replication."""
    line = Line(indexed(times, length, transfer))
    return [
        float(np.mean([share(ledger, s, S_WORKING) for s in range(len(times))]))
        for ledger in line.runs(REPLICATIONS)
    ]


@pytest.mark.parametrize(("name", "n"), CELLS)
def test_step_is_the_slowest_of_all(name: str, n: int) -> None:
    """N stations that step together work E[T]/E[max] of the time, seen to 1.8 to 5.5 %."""
    law, time, row = TABLE[name]
    step = expected_largest([law] * n)
    assert step == pytest.approx(row[n], abs=6e-9)
    steps, see = effort(law, n)
    exact = law.mean / step
    assert_mean_agrees(use([time] * n, steps * step * UNIT), exact, must_see=see * exact)


@pytest.mark.parametrize("name", ["exponential", "uniform", "normal", "erlang-2", "lognormal"])
def test_a_station_more_does_not_pass(name: str) -> None:
    """Three stations do not pass for two: the step is longer by more than would be seen."""
    law, time, row = TABLE[name]
    steps, see = effort(law, 2)
    exact = law.mean / row[2]
    assert_mean_differs(use([time] * 3, steps * row[3] * UNIT), exact, must_see=see * exact)


def test_a_free_line_does_not_pass() -> None:
    """Stations that hand on by themselves work more than stations that step together."""
    exact = 1 / 1.83333333
    line = Line(tandem([exponential(UNIT)] * 3, length=250 * UNIT, warm_up=20 * UNIT))
    found = [np.mean([share(ledger, s, S_WORKING) for s in range(3)]) for ledger in line.runs(REPLICATIONS)]
    assert_mean_differs(found, exact, must_see=0.03 * exact)


@pytest.mark.parametrize(("means", "printed"), [((1, 2), 2.33333333), ((1, 2, 3), 3.92878788)])
def test_unequal_stations(means: tuple[int, ...], printed: float) -> None:
    """Exponential stations of means 1, 2 (and 3) step every 2.3333 (3.9288), by inclusion-exclusion."""
    step = expected_largest([laws.exponential(m) for m in means])
    assert step == pytest.approx(printed, abs=6e-9)
    exact = fsum(means) / len(means) / step
    times = [exponential(m * UNIT) for m in means]
    assert_mean_agrees(use(times, 250 * step * UNIT), exact, must_see=0.03 * exact)


def test_the_move_comes_on_top() -> None:
    """A move of half a mean time lengthens each step by exactly that much."""
    step = expected_largest([laws.uniform(0.5, 1.5)] * 3)
    exact = 1 / (step + 0.5)
    found = use([TABLE["uniform"][1]] * 3, 60 * 1.75 * UNIT, 0.5 * UNIT)
    assert_mean_agrees(found, exact, must_see=0.02 * exact)
    assert_mean_differs(found, 1 / step, must_see=0.02 * exact)


@pytest.mark.parametrize("name", TABLE)
def test_every_step_is_the_largest_time_drawn(name: str) -> None:
    """Mark by mark, the step is the largest of the times then in work, to the tick."""
    n = 4
    line = Line(indexed([TABLE[name][1]] * n, 60 * UNIT))
    events, _ = line.log()
    marks = np.rint(np.array(seconds_of(events, "mark")) * TICKS).astype(int)
    steps = np.diff(marks)
    assert len(steps) > 20
    times = drawn(line, len(steps))
    for k, step in enumerate(steps.tolist()):
        assert step == max(times[k - s][s] for s in range(n) if k - s >= 0)


@pytest.mark.parametrize(("jobs", "n", "printed"), [(10, 3, 19.66666667), (20, 5, 49.36666667)])
def test_filling_and_emptying(jobs: int, n: int, printed: float) -> None:
    """Jobs that fill and empty the line take 2 sum H_m + (n - N + 1) H_N on average, not n H_N."""
    exact = indexed_makespan(laws.exponential(1), jobs, n)
    assert exact == pytest.approx(printed, abs=6e-9)

    def harmonic(m: int) -> float:
        return fsum(1 / i for i in range(1, m + 1))

    assert exact == pytest.approx(
        2 * fsum(harmonic(m) for m in range(1, n)) + (jobs - n + 1) * harmonic(n), abs=1e-9
    )
    raw = indexed([exponential(UNIT)] * n, 10 * exact * UNIT)
    raw["run"]["warm_up"] = "0 s"
    # Jobs without work follow, and then one that holds the line: an empty line would step every takt.
    listed(raw, ["work"] * jobs + ["blank"] * (n - 1) + ["plug"])
    for s in range(n):
        plug = constant(1e6 * UNIT if s == 0 else 0.0)
        raw["station"][f"S{s}"]["task"]["work"]["time_for"] = {"blank": constant(0.0), "plug": plug}
    line = Line(raw)
    ends = [seconds_of(line.log(r)[0], "line-off")[jobs - 1] / UNIT for r in range(1, 151)]
    assert_mean_agrees(ends, exact, must_see=0.14 * exact)
    assert_mean_differs(ends, (jobs + n - 1) * harmonic(n), must_see=0.14 * exact)
