"""What must hold of every line holds of the shipped ones."""

from pathlib import Path

import pytest

from linesim.scenario import load
from tests.invariants import accounts, happenings
from tests.lines import run_scenario
from tests.luck import Luck

SCENARIOS = Path(__file__).resolve().parents[2] / "scenarios"
SHIPPED = sorted(SCENARIOS.glob("*/*.toml"))

#: Two hours are enough to see everything, and short enough to look at every event.
SHORT = ('run.warm_up = "10 min"', 'run.length = "2 h"')


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: f"{path.parent.name}/{path.stem}")
def test_shipped_line(path: Path) -> None:
    """Sums close, and nobody is in two places, on the first two hours of every shipped scenario."""
    ran = run_scenario(load(path, SHORT))
    accounts.check_sums(ran.plan, ran.ledger)
    accounts.check_counts(ran)
    accounts.check_calls(ran)
    accounts.check_little(ran)
    accounts.check_states_from_events(ran)
    for check in happenings.checks():
        check(ran)
    happenings.check_work(ran, Luck(ran.plan, 1, 1))
