"""No simulated line makes more than its ceiling, and lines that nothing disturbs reach it."""

from pathlib import Path

import pytest

from linesim import load
from linesim.capacity.ceiling import limits
from linesim.capacity.loads import Loads
from linesim.plan.build import build
from linesim.runs.simulation import simulate
from tests.conftest import ROOT

SCENARIOS = tuple(
    path
    for folder in ("features", "textbook")
    for path in sorted((ROOT / "scenarios" / folder).glob("*.toml"))
)

#: How far luck may carry a short run past a ceiling that is made of mean times and mean shares.
LUCK = 0.04


@pytest.mark.parametrize("path", SCENARIOS, ids=lambda path: path.stem)
def test_a_run_stays_below_its_ceiling(path: Path) -> None:
    """Throughput of a replication is at most the tightest limit, up to the luck of a short run."""
    scenario = load(path)
    found = limits(Loads(build(scenario)))
    made = simulate(scenario, replications=1).row("throughput").mean
    assert made is not None and found
    assert made <= found[0].jobs_per_hour * (1 + LUCK)


@pytest.mark.parametrize(
    ("path", "what"),
    [
        ("features/packages.toml", "takt"),
        ("textbook/eleven-tasks.toml", "takt"),
        ("features/carriers.toml", "carrier"),
    ],
)
def test_a_line_that_nothing_disturbs_reaches_its_ceiling(scenarios: Path, path: str, what: str) -> None:
    """Where only the takt or the number of carriers limits, the line makes exactly that."""
    scenario = load(scenarios / path)
    tightest = limits(Loads(build(scenario)))[0]
    assert tightest.what == what
    made = simulate(scenario, replications=1).row("throughput").mean
    assert made == pytest.approx(tightest.jobs_per_hour, rel=0.005)
