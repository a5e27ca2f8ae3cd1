"""One replication by either drive, and by both, which must agree to the tick."""

import re
from dataclasses import fields
from functools import cache
from typing import Any

import numpy as np
import pytest

from linesim.draws.draws import Draws
from linesim.engine.run import run_line
from linesim.errors import LineStuck
from linesim.ledger.ledger import Event, Ledger
from linesim.plan.plan import Plan
from linesim.runs.drive import drive_for

Told = tuple[Ledger, tuple[Event, ...]]


@cache
def fast() -> str:
    """Return the drive for tests that run many lines: the compiled one where that can be had."""
    return drive_for(None)


def one_drive(plan: Plan, seed: int, replication: int, *, with_events: bool = True, **how: Any) -> Told:
    """Return the ledger and the events of one replication."""
    events: list[Event] = []
    ledger = run_line(plan, Draws(plan, seed, replication), events if with_events else None, **how)
    return ledger, tuple(events)


def both_drives(plan: Plan, seed: int = 1, replication: int = 1, *, with_events: bool = True) -> Told:
    """Return what SimPy says of one replication, checked at each instant; compiled it is the same."""
    how: dict[str, Any] = {"with_events": with_events}
    try:
        told = one_drive(plan, seed, replication, checked=True, **how)
    except LineStuck as stuck:
        if fast() == "compiled":
            with pytest.raises(LineStuck, match=re.escape(str(stuck))):
                one_drive(plan, seed, replication, drive="compiled", **how)
        raise
    if fast() == "compiled":
        ledger, events = one_drive(plan, seed, replication, drive="compiled", **how)
        assert events == told[1]
        assert plain(ledger) == plain(told[0])
    return told


def plain(ledger: Ledger) -> dict[str, Any]:
    """Return a ledger as numbers, lists and tuples, which can be compared with ==."""

    def bare(value: Any) -> Any:
        if isinstance(value, np.ndarray):
            return value.tolist()
        if isinstance(value, tuple):
            return tuple(bare(item) for item in value)
        return value

    return {field.name: bare(getattr(ledger, field.name)) for field in fields(ledger)}
