"""Two drives, one set of rules: interpreted under SimPy's clock, and compiled with a heap of timers."""

import pytest

from linesim.draws.draws import Draws
from linesim.engine.run import run_line
from linesim.ledger.events import Event
from linesim.plan.build import build
from linesim.scenario import load
from tests.golden.test_ledgers import LEDGERS, told
from tests.house.tree import ROOT

pytest.importorskip("numba")


@pytest.mark.parametrize("name", LEDGERS)
def test_both_drives_fill_the_same_ledger(name: str) -> None:
    """On every line of the golden ledgers both drives give the same ledger and the same events, in order."""
    plan = build(load(ROOT / "scenarios" / f"{name}.toml", list(LEDGERS[name])))
    texts, logs = [], []
    for drive in ("simpy", "compiled"):
        events: list[Event] = []
        ledger = run_line(plan, Draws(plan, 1, 1), events, drive=drive)
        unwatched = run_line(plan, Draws(plan, 1, 1), drive=drive)
        assert told(plan, unwatched, events) == told(plan, ledger, events)
        texts.append(told(plan, ledger, events))
        logs.append(events)
    assert logs[0] == logs[1]
    assert texts[0] == texts[1]
