"""The closed ledger."""

from dataclasses import FrozenInstanceError

import pytest

from tests.lines import run_tables, tandem


def test_a_closed_ledger_stays_as_it_is() -> None:
    """Nobody writes into the ledger of a run that is over."""
    ledger = run_tables(tandem([(1,)], (), length=5)).ledger
    with pytest.raises(FrozenInstanceError):
        ledger.jobs_out = 2  # type: ignore[misc]
