"""Same scenario, same seed: the same bytes, whoever runs them, in whatever order and company."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from linesim import load
from linesim.plan.build import build
from linesim.runs.replicate import replicate
from linesim.runs.simulation import simulate
from linesim.scenario import Scenario
from tests.commands.calls import LINE, environment
from tests.drives import fast


@pytest.fixture(scope="module")
def scenario(tmp_path_factory: pytest.TempPathFactory) -> Scenario:
    """Return a small scenario with luck in its times, options and faults."""
    path = tmp_path_factory.mktemp("line") / "line.toml"
    path.write_text(LINE, encoding="utf-8")
    return load(path)


@pytest.mark.parametrize(("workers", "drive"), [(2, "simpy"), (2, fast()), (5, fast())])
def test_any_number_of_workers_gives_the_same_bytes(scenario: Scenario, workers: int, drive: str) -> None:
    """The JSON of one process, of several, and of several threads are equal, byte for byte."""
    assert simulate(scenario, workers=workers, drive=drive).to_json() == simulate(scenario).to_json()


def test_replication_k_alone_is_the_kth_of_many(scenario: Scenario) -> None:
    """Replication 7 run by itself is the seventh of ten."""
    plan = build(scenario)
    many = replicate(plan, range(1, 11), seed=3)
    alone = replicate(plan, [7], seed=3)
    assert alone.labels == many.labels
    assert alone.finished == (many.finished[6],)


def test_the_order_of_numbers_means_nothing(scenario: Scenario) -> None:
    """Asked for backwards and twice over, the same replications come out."""
    plan = build(scenario)
    assert replicate(plan, [3, 2, 1, 2], seed=3) == replicate(plan, [1, 2, 3], seed=3)


def test_another_seed_gives_another_run(scenario: Scenario) -> None:
    """The seed matters: with another one the figures differ (so the tests above compare something)."""
    one, two = (simulate(scenario, seed=seed, replications=2) for seed in (1, 2))
    assert one.values("throughput") != two.values("throughput")
    assert len(set(simulate(scenario, seed=1, replications=5).values("lead_time"))) == 5


def test_a_second_process_gives_the_same_bytes(scenario: Scenario, tmp_path: Path) -> None:
    """Two programs with other hash seeds, time zones and languages print the same."""
    path = tmp_path / "line.toml"
    path.write_text(LINE, encoding="utf-8")
    said = [
        subprocess.run(
            [sys.executable, "-m", "linesim", "run", str(path), "--json", "--workers", str(workers)],
            env=environment({"PYTHONHASHSEED": seed, "TZ": zone, "LC_ALL": "C.UTF-8"}),
            capture_output=True,
            check=True,
            timeout=60,
        ).stdout
        for seed, zone, workers in (("1", "UTC", 1), ("2", "Asia/Tokyo", 2))
    ]
    assert said[0] == said[1]


def test_more_replications_leave_the_first_ones_alone(scenario: Scenario) -> None:
    """The first three of five are the three of three."""
    plan = build(scenario)
    assert replicate(plan, range(1, 6), seed=9).finished[:3] == replicate(plan, range(1, 4), seed=9).finished


def test_results_hold_no_clock_host_or_folder(scenario: Scenario) -> None:
    """Nothing in the JSON tells when, where or by how many workers it was made."""
    text = simulate(scenario, replications=2, workers=2, file="line.toml").to_json()
    assert os.getcwd() not in text
    assert "workers" not in text and os.uname().nodename not in text
