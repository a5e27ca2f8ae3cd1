"""Many machines give the bytes of one, and a worker that is killed costs no figure."""

import pickle
import sqlite3
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import psutil
import pytest

from linesim.plan.build import build
from linesim.questions.warmup.series import NOTES, run_series
from linesim.runs.blocks import BlockResult
from linesim.runs.cluster import ClusterError, places_of, spread_over_cluster
from linesim.runs.replication import Replication
from linesim.runs.spread import Errand, WorkSpread
from linesim.runs.store_file import NAME
from linesim.scenario import load_text
from tests.commands.calls import LINE, program
from tests.commands.started import started
from tests.repeatability.machines import Machines, machines
from tests.unit.runs.errands import count

REPLICATIONS = 20


@pytest.fixture(scope="module")
def cluster(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Machines]:
    """Return a cluster of two workers; the test that kills one comes last."""
    with machines(tmp_path_factory.mktemp("cluster"), workers=2) as found:
        yield found


def collected(plan: str, address: str, n: int) -> tuple[dict[int, Replication], list[int]]:
    """Run ``n`` made-up replications on a cluster; return what came back and what was given up."""
    found: dict[int, Replication] = {}

    def hand_over(jobs: tuple[Errand, ...], result: BlockResult) -> None:
        for job, replication in zip(jobs, result.replications, strict=True):
            assert job.number not in found, "handed over twice"
            found[job.number] = replication

    jobs = [Errand(0, number) for number in range(1, n + 1)]
    spread = WorkSpread([plan.encode()], jobs, seed=7, hand_over=hand_over)
    lost = spread_over_cluster(spread, address, work=count)
    return found, [job.number for job in lost]


def test_every_replication_comes_once(cluster: Machines) -> None:
    """Fifty replications on two workers: each handed over once, with its own figures."""
    found, lost = collected("", cluster.address, 50)
    assert not lost
    assert {n: r.values for n, r in found.items()} == {n: (float(n), 7.0) for n in range(1, 51)}


def test_work_is_shared_in_blocks(cluster: Machines, tmp_path: Path) -> None:
    """Both workers take part, and quick replications travel many at a time."""
    blocks: list[int] = []
    jobs = [Errand(0, number) for number in range(1, 201)]
    spread = WorkSpread(
        [f"mark {tmp_path}".encode()], jobs, seed=7, hand_over=lambda done, _: blocks.append(len(done))
    )
    assert spread_over_cluster(spread, cluster.address, work=count) == ()
    at_work = {int(path.name.split("-")[1]) for path in tmp_path.iterdir()}
    assert at_work == {worker.pid for worker in cluster.workers}
    assert sum(blocks) == 200 and max(blocks) >= 10


def test_what_else_is_noted_down_comes_back_too(cluster: Machines) -> None:
    """The series of a warm-up are noted down on another machine as they are here."""
    plan = build(load_text(LINE))
    found: list[BlockResult] = []
    spread = WorkSpread(
        [pickle.dumps(plan)],
        [Errand(0, 3)],
        seed=5,
        hand_over=lambda _, one: found.append(one),
        notes=[NOTES],
    )
    assert spread_over_cluster(spread, cluster.address) == ()
    assert [(one.labels, one.replications[0]) for one in found] == [run_series(plan, 5, 3)]


def test_a_study_is_the_same_after_a_worker_was_killed(cluster: Machines, tmp_path: Path) -> None:
    """A comparison shared by two workers, one killed in mid-study, writes the bytes of a local one."""
    line = tmp_path / "line.toml"
    line.write_text(LINE, encoding="utf-8")
    words = ["compare", str(line), "--try", "buffer.lane.capacity = 3", "--set", 'run.length = "20 h"']
    words += ["--replications", str(REPLICATIONS), "--quiet"]
    shared, local = tmp_path / "shared", tmp_path / "local"
    command = [sys.executable, "-m", "linesim", *words, "--cluster", cluster.address, "--out", str(shared)]
    with started(command) as run:
        kept = wait_until_some_are_kept(shared, run)
        cluster.workers[0].kill()
        out, err = run.communicate(timeout=100)
    assert (run.returncode, err) == (0, "")
    assert 0 < kept < 2 * REPLICATIONS, "the worker was not killed in mid-study"
    alone = program(*words, "--workers", "1", "--out", local)
    assert (alone.status, alone.out) == (0, out)
    for path in local.iterdir():
        if path.name != NAME:
            assert (shared / path.name).read_bytes() == path.read_bytes(), path.name


def wait_until_some_are_kept(folder: Path, run: subprocess.Popen[str]) -> int:
    """Return how many replications are kept, as soon as there are a few."""
    end = time.monotonic() + 60
    while time.monotonic() < end and run.poll() is None:
        if (folder / NAME).exists():
            connection = sqlite3.connect(folder / NAME)
            tables = connection.execute(
                "SELECT name FROM sqlite_master WHERE name = 'replication'"
            ).fetchall()
            kept = connection.execute("SELECT COUNT(*) FROM replication").fetchone()[0] if tables else 0
            connection.close()
            if kept >= 3:
                return int(kept)
        time.sleep(0.01)
    raise AssertionError(f"nothing was kept: {run.communicate()}")


def test_what_kills_every_worker_is_given_up(tmp_path: Path) -> None:
    """With workers that are started again, replication 3 alone is lost, and all others come back."""
    with machines(tmp_path, workers=1, restart=True) as found:
        came, lost = collected("die 3", found.address, 6)
        assert lost == [3]
        assert sorted(came) == [1, 2, 4, 5, 6]
        guards = [psutil.Process(worker.pid) for worker in found.workers]
        children = [child for guard in guards for child in guard.children(recursive=True)]
    assert psutil.wait_procs(children, timeout=5)[1] == []


def test_without_workers_a_study_waits_a_while_and_says_so(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A scheduler without workers: the user is told, then the study ends with how to start some."""
    monkeypatch.setattr("linesim.runs.cluster.WORKER_SECONDS", 1)
    monkeypatch.setattr("linesim.runs.cluster.LOOK_SECONDS", 0.2)
    said: list[str] = []
    with machines(tmp_path, workers=0) as found:
        assert places_of(found.address) == 0
        spread = WorkSpread([b""], [Errand(0, 1)], seed=7, hand_over=lambda *_: None)
        with pytest.raises(ClusterError, match=f"start some: dask worker {found.address}"):
            spread_over_cluster(spread, found.address, notice=said.append, work=count)
        assert said == [f"no worker at {found.address}; waiting for one"]


def test_a_scheduler_that_is_gone_is_told(tmp_path: Path) -> None:
    """When the scheduler dies in mid-study, what came before is kept and the message says what to do."""
    with machines(tmp_path, workers=1) as found:
        came: list[Errand] = []

        def hand_over(jobs: tuple[Errand, ...], _: BlockResult) -> None:
            came.extend(jobs)
            found.scheduler.kill()

        jobs = [Errand(0, number) for number in range(1, 60)]
        spread = WorkSpread([b"slow"], jobs, seed=7, hand_over=hand_over)
        with pytest.raises(ClusterError, match="give the same command again once it is back"):
            spread_over_cluster(spread, found.address, work=count)
    assert 1 <= len(came) < 59
