"""A closed moving station for two kinds of job: displacement and work left beyond its border.

Rules and sources as in test_displacement. Numbers recomputed: the chain of levels.
"""

from collections.abc import Sequence

import numpy as np
import pytest

from linesim.draws.draws import Draws
from linesim.theory.departures import closed_station
from tests.formulas.drift import displacement_trace
from tests.statistical import assert_mean_agrees, assert_mean_differs
from tests.validation.lines import (
    TICKS,
    Line,
    Raw,
    by_job,
    constant,
    paced,
)

REPLICATIONS = 40
TAKT = 60.0

#: Share of heavy jobs, work of heavy and light jobs, station length, mean displacement, overload per job.
#: Recomputed: chain of levels; for steps of 10 s also by the closed form.
CLOSED = [
    (0.5, 70, 50, 60, 0, 5),
    (0.5, 70, 50, 70, 5, 2.5),
    (0.5, 70, 50, 80, 10, 1.66666667),
    (0.5, 70, 50, 90, 15, 1.25),
    (0.4, 70, 50, 80, 7.36842105, 0.84210526),
    (1 / 3, 70, 55, 75, 6.73913043, 1.15942029),
]


def closed(share: float, heavy: float, light: float, length: float, jobs: int) -> Raw:
    """Return an operator in a closed station for two kinds of job at random; finishers further down."""
    raw = paced([constant(light), None, None], length=jobs * TAKT)
    raw["station"]["S0"] |= {"late": (length - TAKT) / TAKT, "on_limit": "pass", "open_to": "S2"}
    raw["station"]["S0"]["task"]["work"] |= {"people": 1, "time_for": {"heavy": constant(heavy)}}
    raw["model"] = {"heavy": {"share": share}, "light": {"share": 1 - share}}
    raw["crew"] = {"one": {"people": 1, "covers": ["S0"]}, "finishers": {"people": 1, "covers": ["S2"]}}
    return raw


@pytest.mark.parametrize(("share", "heavy", "light", "length", "displacement", "left"), CLOSED)
def test_closed_station(
    share: float, heavy: float, light: float, length: float, displacement: float, left: float
) -> None:
    """At a closed station displacement and overload are those of the chain of levels."""
    exact = closed_station([(heavy, share), (light, 1 - share)], TAKT, length)
    assert exact.displacement == pytest.approx(displacement, abs=6e-9)
    assert exact.overload == pytest.approx(left, abs=6e-9)
    if heavy - TAKT == TAKT - light:
        m, odds = round((length - TAKT) / 10), share / (1 - share)
        full = odds**m / sum(odds**k for k in range(m + 1))
        assert 10 * share * full == pytest.approx(left, abs=6e-9)
    line = Line(closed(share, heavy, light, length, 300))
    s = line.station("S0")
    means, over = [], []
    for replication in range(1, REPLICATIONS + 1):
        events, ledger = line.log(replication)
        came, began = by_job(events, "enter", s), by_job(events, "task start", s)
        means.append(np.mean([began[j] - came[j] for j in began if j >= 30]))
        over.append(ledger.overload[s] / TICKS / len(began))
    see = 0.15 * (length - TAKT) + 0.2 if displacement else 0.1
    assert_mean_agrees(means, displacement, must_see=see)
    assert_mean_agrees(over, left, must_see=0.32 * left)
    if displacement:
        shorter = closed_station([(heavy, share), (light, 1 - share)], TAKT, length - 10)
        assert_mean_differs(means, shorter.displacement, must_see=see)
        assert_mean_differs(over, shorter.overload, must_see=0.32 * left)


def test_closed_station_job_by_job() -> None:
    """Every job of a random sequence starts where the recursion says, to the tick."""
    line = Line(closed(0.4, 70, 50, 80, 300))
    events, _ = line.log()
    s = line.station("S0")
    came, began = by_job(events, "enter", s), by_job(events, "task start", s)
    heavy = line.plan.orders.model_names.index("heavy")
    draws = Draws(line.plan, 1, 1)
    kinds: Sequence[float] = [
        70.0 if (order := draws.order(j)) is not None and order.model == heavy else 50.0
        for j in sorted(began)
    ]
    assert displacement_trace(kinds, TAKT, 80).starts == tuple(began[j] - came[j] for j in sorted(began))
