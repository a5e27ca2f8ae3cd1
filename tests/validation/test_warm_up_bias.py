"""`warmup` on a queue that starts empty: the bias of too short a warm-up is the exact one.

Jobs come at random to one exponential station, mean gap 1.25 and mean work 1; so many are inside on average
from empty to a moment as the chain of the number inside says (uniformisation, exact but for a cut at 200).
"""

from functools import cache

import numpy as np
import pytest
from scipy.linalg import expm

from linesim.answers.table import Row
from linesim.answers.values import Change
from linesim.questions.warmup import warmup
from linesim.scenario import from_dict
from linesim.theory.stations import many_stations
from tests.validation.lines import exponential, queue

MINUTE = 60.0  #: A unit of time [s]: the takt, and the mean work.
GAP = 1.25
FALSE_ALARM = 1e-5


def mean_inside(gap: float, begin: float, end: float, states: int = 200) -> float:
    """Return the mean number inside an M/M/1 queue between two moments, averaged over them; empty at 0."""
    rates = np.zeros((states + 1, states + 1))
    for n in range(states):
        rates[n, n + 1], rates[n + 1, n] = 1 / gap, 1.0
    rates -= np.diag(rates.sum(axis=1))
    step = 0.25
    after = expm(rates * step)
    chance = np.eye(1, states + 1)[0]
    levels = []
    for _ in range(round(end / step) + 1):
        levels.append(float(chance @ np.arange(states + 1)))
        chance = chance @ after
    kept = np.array(levels[round(begin / step) :])
    return float((kept[:-1] + kept[1:]).mean() / 2)


def test_the_chain_ends_where_the_queue_settles() -> None:
    """Long after an empty start so many are inside as in the settled queue: load over one less load."""
    settled = many_stations(1 / GAP, 1.0).inside
    assert settled == pytest.approx(4)
    assert mean_inside(GAP, 3000, 3010) == pytest.approx(settled, abs=1e-3)


@cache
def asked(warm_up: float, length: float, replications: int) -> Row:
    """Ask about the queue with a warm-up [min] and a length [min]; return what is said of jobs inside."""
    times = [exponential(MINUTE)]
    raw = queue(exponential(GAP * MINUTE), times, length=length * MINUTE, warm_up=warm_up * MINUTE)
    raw["run"]["shift"] = "20 min"
    answer = warmup(from_dict(raw), replications=replications, confidence=1 - 2 * FALSE_ALARM)
    return answer.table("bias").row("inside")


def bias_of(row: Row) -> Change:
    """Return by how much the warm-up of the file is off."""
    found = row["bias"]
    assert isinstance(found, Change)
    return found


def test_the_bias_of_no_warm_up_is_the_exact_one() -> None:
    """100 minutes from empty against their last 40: the interval holds the exact bias and not 0."""
    row = asked(0, 100, 400)
    found = bias_of(row)
    exact = mean_inside(GAP, 0, 100) - mean_inside(GAP, 60, 100)
    assert (row["warm_up_h"], row["late_h"]) == (0, 1)
    assert found.low is not None and found.high is not None
    assert found.low <= exact <= found.high < 0
    assert found.high - found.low < 2 * abs(exact), "blind"
    assert row["verdict"] == "too little"


def test_the_bias_of_a_busier_queue_does_not_pass() -> None:
    """At full load far more is missing at the start, and the interval leaves that out."""
    found = bias_of(asked(0, 100, 400))
    busy = mean_inside(1.0, 0, 100) - mean_inside(1.0, 60, 100)
    assert found.low is not None and busy < found.low


def test_a_long_warm_up_is_not_called_too_little() -> None:
    """After 400 minutes nothing of the start is left: the study says can't tell, or enough."""
    assert asked(400, 100, 100)["verdict"] != "too little"
