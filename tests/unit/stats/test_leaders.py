"""Which of several is the highest: the true one is kept as often as promised, the rest is told apart."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from linesim.stats import could_be_highest

STUDIES = 2000
Chosen = Callable[[np.ndarray], tuple[int, ...]]


def kept(means: list[float], noise: float, n: int, seed: int, chosen: Chosen = could_be_highest) -> float:
    """Return the share of invented studies in which the true highest is kept."""
    luck = np.random.Generator(np.random.Philox(seed))
    common = luck.standard_normal((STUDIES, n, 1))
    tables = np.array(means) + common + noise * luck.standard_normal((STUDIES, n, len(means)))
    best = int(np.argmax(means))
    return float(np.mean([best in chosen(table) for table in tables]))


@pytest.mark.parametrize("n", [3, 10])
def test_the_true_highest_is_kept_as_promised(n: int) -> None:
    """With all means alike but one a hair higher, the true highest is kept in at least 95 % of studies.

    Of 2,000 studies at exactly 0.95 fewer than 0.928 come once in 100,000 (binomial, four and a half sd).
    """
    means = [5.0, 5.0, 5.0, 5.000001]
    assert kept(means, 0.5, n, seed=3) >= 0.928
    assert kept(means, 0.5, n, seed=3, chosen=lambda table: could_be_highest(table)[:1]) < 0.4


def test_far_ones_drop_out_and_equal_ones_stay() -> None:
    """One far behind drops out, two that take turns both stay, the higher mean first."""
    assert could_be_highest([[1.0, 5.0, 5.1], [1.2, 5.2, 5.1], [0.9, 4.9, 5.0]]) == (2, 1)
    assert could_be_highest([[2.0, 1.0]] * 3) == (0,)
    assert could_be_highest([[1.0, 1.0]] * 3) == (0, 1)


def test_common_luck_does_not_blur_the_order() -> None:
    """A small but steady lead counts, however much both move together."""
    table = [[v, v + 0.1] for v in (1.0, 9.0, 4.0, 7.0)]
    assert could_be_highest(table) == (1,)


def test_one_replication_tells_nothing_apart() -> None:
    """With one replication all could be the highest; no table is refused."""
    assert could_be_highest([[1.0, 3.0, 2.0]]) == (1, 2, 0)
    assert could_be_highest([[1.0], [2.0]]) == (0,)
    with pytest.raises(ValueError, match="table"):
        could_be_highest([1.0, 2.0])
    with pytest.raises(ValueError, match="finite"):
        could_be_highest([[1.0, float("nan")]])


def test_two_replications_tell_what_they_can() -> None:
    """The quantile of one degree of freedom at 0.95 is 6.314 (every table): 10.05 on average is told from 0.

    Ahead by 10 and 10.1, the second is surely higher: 0.05 of standard error reaches 0.32. Ahead by 1 and
    19, it is not: 9 of standard error reach 57.
    """
    assert could_be_highest([[0.0, 10.0], [0.0, 10.1]]) == (1,)
    assert could_be_highest([[0.0, 1.0], [0.0, 19.0]]) == (1, 0)
    assert could_be_highest([[0.0, 10.0]]) == (1, 0)
