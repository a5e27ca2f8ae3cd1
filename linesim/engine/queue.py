"""Binary heaps in a table of entries: the timers, and what each conveyor meets."""

from __future__ import annotations

from linesim.engine.job_records import Entry
from linesim.engine.tables import rule


@rule
def comes_before(a: Entry, b: Entry) -> bool:
    """Return whether entry ``a`` comes before ``b``."""
    if a.at != b.at:
        return a.at < b.at
    if a.rank != b.rank:
        return a.rank < b.rank
    if a.first != b.first:
        return a.first < b.first
    if a.second != b.second:
        return a.second < b.second
    return a.serial < b.serial


@rule
def swap(a: Entry, b: Entry) -> None:
    """Exchange two entries."""
    a.at, b.at = b.at, a.at
    a.rank, b.rank = b.rank, a.rank
    a.first, b.first = b.first, a.first
    a.second, b.second = b.second, a.second
    a.serial, b.serial = b.serial, a.serial
    a.what, b.what = b.what, a.what


@rule
def push(
    table: list[Entry],
    base: int,
    n: int,
    at: int,
    rank: int,
    first: int,
    second: int,
    serial: int,
    what: int,
) -> None:
    """Add an entry as the ``n``-th of the heap that begins at ``base``."""
    k = n - 1
    entry = table[base + k]
    entry.at = at
    entry.rank = rank
    entry.first = first
    entry.second = second
    entry.serial = serial
    entry.what = what
    while k > 0:
        above = (k - 1) >> 1
        if not comes_before(table[base + k], table[base + above]):
            return
        swap(table[base + k], table[base + above])
        k = above


@rule
def pop(table: list[Entry], base: int, n: int) -> None:
    """Take the first of ``n`` entries off; it is left behind the others."""
    n -= 1
    swap(table[base], table[base + n])
    k = 0
    while True:
        below = 2 * k + 1
        if below >= n:
            return
        if below + 1 < n and comes_before(table[base + below + 1], table[base + below]):
            below += 1
        if not comes_before(table[base + below], table[base + k]):
            return
        swap(table[base + below], table[base + k])
        k = below
