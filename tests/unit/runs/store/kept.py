"""Replications that no line has made, for the tests of the store."""

from pathlib import Path

from linesim.runs.replication import Label, Replication, Shift
from linesim.runs.store import Store

LABELS = (
    Label("throughput", "segment", "", "jobs/h"),
    Label("line_stop", "Küche", "parts", "min/shift"),
    Label("calls", "A", "", "1/100 jobs"),
)
PRINT = "ab" * 32  #: Fingerprint of a scenario.
LARGEST_SEED = 2**64 - 1


def replication(number: int, *, shift: float = 0.0) -> Replication:
    """Return a replication whose figures need every digit, one of them not given."""
    values = (number / 3 + shift, None, 1e-300 * number)
    return Replication(number, values, (Shift(7, (0.1 * number, 0.0), 2), Shift(0, (1 / 7, 2.5), 0)))


def opened(folder: Path) -> Store:
    """Return the store of a folder, for the figures of a program that never changes."""
    return Store(folder, program="a program")
