"""The cost of a study is known before anything of it is run."""

from pathlib import Path

import pytest

from linesim.answers.card import Goal
from linesim.runs.cases import Case, run_cases
from linesim.runs.cost import CostOnly, RunCost
from linesim.runs.store import Store
from tests.unit.runs.shop import line

CASES = (Case("base", line()), Case("more", line("buffer.lane.capacity = 3")))


def cost(**how: object) -> RunCost:
    """Return what the two cases would cost."""
    with pytest.raises(CostOnly) as found:
        run_cases(CASES, only_cost=True, **how)  # type: ignore[arg-type]
    return found.value.cost


def test_cases_and_replications_are_counted() -> None:
    """Two cases of five replications are ten; one was run to time it."""
    found = cost(replications=5)
    assert (found.cases, found.replications, found.stored, found.is_timed_now) == (2, 10, 0, True)
    assert 0 < found.each < 5


def test_stored_replications_cost_nothing(tmp_path: Path) -> None:
    """What is stored is counted, and its time taken; an estimate itself keeps nothing."""
    with Store(tmp_path) as store:
        run_cases(CASES, replications=3, store=store)
        found = cost(replications=5, store=store)
        assert (found.replications, found.stored, found.is_timed_now) == (10, 6, False)
        assert store.count() == 6
        assert run_cases(CASES, replications=3, store=store, only_cost=True).numbers == (1, 2, 3)


def test_a_goal_costs_at_most_its_cap() -> None:
    """With a precision it takes three of each case at least and the cap at most, and the sentences say so."""
    found = cost(goal=Goal(0.01, cap=50))
    assert (found.least, found.replications) == (6, 100)
    assert found.sentences[0] == "To run: 6 to 100 replications, as the figures decide."


def test_time_follows_from_rounds_of_the_workers() -> None:
    """Ten replications of 3 s: 30 s alone; with four workers three rounds and a start."""
    assert RunCost(1, 10, 0, 3.0, True, 1).seconds == 30.0
    assert RunCost(1, 10, 0, 3.0, True, 4).seconds == 3 * 3.0 + 2.0
    assert RunCost(1, 10, 9, 3.0, True, 4).seconds == 3.0
    assert RunCost(1, 10, 10, 3.0, True, 4).seconds == 0.0


def test_a_study_in_steps_has_a_range() -> None:
    """Where figures decide what is run next, the time of the fewest and of the most is told."""
    found = RunCost(3, 30, 10, 2.0, False, 1).between(30, 110)
    assert (found.least_seconds, found.seconds) == (40.0, 200.0)
    assert found.sentences == (
        "To run: 30 to 110 replications, as the figures decide, 10 of them stored.",
        "A replication takes 2 s (from stored ones); with 1 worker that is about 40 s to 3.3 min.",
    )
    assert found.between(50, 50).least is None


def test_the_cost_is_said_in_words() -> None:
    """Counts, time of one and time of all, rounded as people say them."""
    assert RunCost(12, 240, 38, 2.7, False, 2).sentences == (
        "To run: 240 replications of 12 cases, 38 of them stored.",
        "A replication takes 2.7 s (from stored ones); with 2 workers that is about 4.6 min.",
    )
