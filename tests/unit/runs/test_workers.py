"""Worker processes share the work, survive each other's deaths and report one failure, always the same."""

import os
from pathlib import Path

import pytest

from linesim.errors import LineStuck
from linesim.runs.replication import Replication
from linesim.runs.spread import Errand
from linesim.runs.workers import usable_cores
from tests.unit.runs.errands import run_in_workers


def collected(plan: str, n: int, workers: int = 2) -> tuple[dict[int, Replication], list[int]]:
    """Run ``n`` replications in processes; return what was delivered and the numbers that were given up."""
    found: dict[int, Replication] = {}

    def deliver(job: Errand, replication: Replication) -> None:
        assert job.number not in found, "delivered twice"
        found[job.number] = replication

    jobs = [Errand(0, number) for number in range(1, n + 1)]
    lost = run_in_workers([plan.encode()], jobs, workers, deliver)
    return found, [job.number for job in lost]


def test_every_replication_comes_once_with_its_own_figures() -> None:
    """Twenty replications in two processes: each delivered once, none lost, figures of its own number."""
    found, lost = collected("", 20)
    assert not lost
    assert {n: r.values for n, r in found.items()} == {n: (float(n), 7.0) for n in range(1, 21)}


def test_work_is_shared(tmp_path: Path) -> None:
    """The replications run in other processes than this one."""
    found, _ = collected(f"mark {tmp_path}", 8)
    workers = {path.name.split("-")[1] for path in tmp_path.iterdir()}
    assert len(found) == len(list(tmp_path.iterdir())) == 8
    assert str(os.getpid()) not in workers


def test_a_worker_that_dies_once_loses_nothing(tmp_path: Path) -> None:
    """After one death every replication is there, the one that was in work as well."""
    found, lost = collected(f"once 5 {tmp_path / 'died'}", 12)
    assert (tmp_path / "died").exists()
    assert not lost and sorted(found) == list(range(1, 13))


def test_a_replication_that_kills_its_worker_is_given_up_and_the_others_finish() -> None:
    """Replication 3 kills every worker it meets: it alone is lost, whoever worked beside it."""
    found, lost = collected("die 3", 10)
    assert lost == [3]
    assert sorted(found) == [1, 2, *range(4, 11)]


def test_two_poisonous_replications_are_given_up_side_by_side() -> None:
    """Replications 1 and 2 start together and both kill: both are lost, the rest is there."""
    found, lost = collected("die 1 2", 5)
    assert lost == [1, 2]
    assert sorted(found) == [3, 4, 5]


@pytest.mark.parametrize("workers", [1, 2, 3])
def test_the_first_failure_is_reported_whatever_the_number_of_workers(workers: int) -> None:
    """Of replications 4 and 9, which both cannot go on, it is always 4 that is told."""
    with pytest.raises(LineStuck) as stuck:
        collected("stuck 9 4", 12, workers)
    assert stuck.value.at == 4


def test_everything_before_the_failure_is_delivered() -> None:
    """What lies before the failing replication is handed over and could be kept."""
    seen: list[int] = []
    jobs = [Errand(0, number) for number in range(1, 9)]
    with pytest.raises(LineStuck):
        run_in_workers([b"stuck 6"], jobs, 2, lambda job, _: seen.append(job.number))
    assert {1, 2, 3, 4, 5} <= set(seen) and 6 not in seen


def test_plans_do_not_mix() -> None:
    """Jobs of two plans come back under their own plan."""
    seen: set[tuple[int, float]] = set()
    jobs = [Errand(plan, number) for plan in (0, 1) for number in (1, 2, 3)]
    run_in_workers([b"", b"slow"], jobs, 2, lambda job, one: seen.add((job.plan, one.values[0] or 0.0)))
    assert seen == {(job.plan, float(job.number)) for job in jobs}


def test_usable_cores_is_at_least_one() -> None:
    """There is always a processor to run on."""
    assert usable_cores() >= 1
