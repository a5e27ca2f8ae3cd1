"""Choosing the best of several: the same answer as on a full table, with fewer replications."""

from collections.abc import Callable, Sequence

import numpy as np
import pytest
from scipy import stats as scipy_stats

from linesim.plan.tables import FloatArray
from linesim.runs.select import Choice, Look, choose
from tests.unit.runs.select.elimination import eliminate

Asked = list[tuple[tuple[int, ...], tuple[int, ...]]]


def reading(table: FloatArray, asked: Asked | None = None) -> Look:
    """Return a look that reads replication ``n`` of candidate ``i`` from ``table[n - 1, i]``."""

    def look(which: Sequence[int], numbers: Sequence[int]) -> FloatArray:
        if asked is not None:
            asked.append((tuple(which), tuple(numbers)))
        return np.array([[table[n - 1, i] for i in which] for n in numbers])

    return look


def noisy(seed: int, means: Sequence[float], rows: int = 2000, common: float = 1.0) -> FloatArray:
    """Return figures of candidates that share part of their luck."""
    luck = np.random.default_rng(seed)
    shared = common * luck.normal(size=(rows, 1))
    return np.asarray(np.array(means) + shared + luck.normal(size=(rows, len(means))))


@pytest.mark.parametrize("seed", range(8))
def test_the_choice_is_that_of_the_full_table(seed: int) -> None:
    """Running only those still in the running drops the same candidates after the same replications."""
    table = noisy(seed, [0.0, 0.3, 0.5, 0.45, -1.0])
    whole = eliminate(table, 0.3, confidence=0.9, first=8)
    choice = choose(reading(table), 5, matters=0.3, error=0.1, first=8)
    assert choice.best == whole.best
    assert choice.dropped_after == whole.dropped_after
    assert choice.used == whole.used
    assert choice.most == whole.run


def test_those_dropped_are_run_no_more() -> None:
    """A candidate far behind is run ten times; only the close ones go on, in numbers never asked twice."""
    table, asked = noisy(3, [0.0, 0.1, -50.0]), Asked()
    choice = choose(reading(table, asked), 3, matters=0.2)
    assert choice.dropped_after[2] == 10
    assert asked[0] == ((0, 1, 2), tuple(range(1, 11)))
    assert all(2 not in which for which, _ in asked[1:])
    numbers = [n for _, numbers in asked for n in numbers]
    assert numbers == sorted(set(numbers))


def test_twins_are_level_and_the_first_is_chosen() -> None:
    """Of two equal candidates the first is chosen, and the other is said to be level with it."""
    table = noisy(1, [1.0, 0.0])[:, [0, 0, 1]]
    choice = choose(reading(table), 3, matters=0.5)
    assert choice.best == 0
    assert choice.level == (1,)
    assert choice.is_made


def test_too_few_replications_leave_several() -> None:
    """Where the replications allowed do not decide, several are left and nothing is promised."""
    choice = choose(reading(noisy(2, [0.0, 0.01, 0.02])), 3, matters=0.01, most=12)
    assert not choice.is_made
    assert choice.left == (0, 1, 2)
    assert choice.used == 12 < choice.most
    assert choice.best in choice.left


def test_one_candidate_needs_no_replication() -> None:
    """A single candidate is chosen unseen."""

    def blind(_which: Sequence[int], _numbers: Sequence[int]) -> FloatArray:
        raise AssertionError("nothing had to be run")

    assert choose(blind, 1, matters=1.0) == Choice(0, (0,), (None,), (), 0, 0, 0.05, 1.0)


@pytest.mark.parametrize(
    ("bad", "says"),
    [
        ({"candidates": 0}, "candidates >= 1"),
        ({"first": 1}, "first >= 2"),
        ({"matters": 0.0}, "matters > 0"),
    ],
)
def test_what_cannot_be_asked_is_refused(bad: dict[str, float], says: str) -> None:
    """Arguments outside their limits are named."""
    asked: dict[str, float] = {"candidates": 2, "matters": 0.1, **bad}
    with pytest.raises(ValueError, match=says):
        choose(reading(noisy(1, [0, 1])), **asked)  # type: ignore[arg-type]


def test_a_figure_that_is_no_number_is_refused() -> None:
    """A missing figure must not pass for the worst."""
    table = noisy(1, [0.0, 1.0])
    table[4, 1] = np.nan
    with pytest.raises(ValueError, match="10 x 2 numbers"):
        choose(reading(table), 2, matters=0.1)


def wrong_of(rule: Callable[[FloatArray], int], problems: int, lead: float) -> int:
    """Return how often ``rule`` misses the best of five, which leads the four others by ``lead``."""
    means = [0.0, 0.0, lead, 0.0, 0.0]
    return sum(rule(noisy(seed, means, rows=400)) != 2 for seed in range(problems))


def test_the_promise_is_kept() -> None:
    """With the best in the lead by what matters, at most one choice in five is wrong, as was promised.

    300 problems; the bound is the number of misses that a rule which errs just so often exceeds with a
    chance of 1e-5. Taking the highest mean of the two first replications errs far more often.
    """
    problems, error, lead = 300, 0.2, 0.6
    most = int(scipy_stats.binom.isf(1e-5, problems, error))
    kept = wrong_of(
        lambda table: choose(reading(table), 5, matters=lead, error=error, first=8).best, problems, lead
    )
    careless = wrong_of(lambda table: int(table[:2].mean(axis=0).argmax()), problems, lead)
    assert kept <= most < careless
