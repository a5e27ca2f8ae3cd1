"""Binary heaps in a table of entries: the timers, and what each conveyor meets."""

from __future__ import annotations

from linesim.engine.job_records import Entry
from linesim.engine.tables import rule


@rule
def comes_before(a: Entry, b: Entry) -> bool:
    """Return whether entry ``a`` comes before ``b``."""
    return is_before_entry(a.at, a.rank, a.first, a.second, a.serial, b)


@rule
def is_before_entry(at: int, rank: int, first: int, second: int, serial: int, b: Entry) -> bool:
    """Return whether an entry that would read so comes before ``b``."""
    if at != b.at:
        return at < b.at
    if rank != b.rank:
        return rank < b.rank
    if first != b.first:
        return first < b.first
    if second != b.second:
        return second < b.second
    return serial < b.serial


@rule
def copy(of: Entry, to: Entry) -> None:
    """Write what an entry says into another."""
    to.at = of.at
    to.rank = of.rank
    to.first = of.first
    to.second = of.second
    to.serial = of.serial
    to.what = of.what


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
    while k > 0:
        above = (k - 1) >> 1
        if not is_before_entry(at, rank, first, second, serial, table[base + above]):
            break
        copy(table[base + above], table[base + k])
        k = above
    entry = table[base + k]
    entry.at = at
    entry.rank = rank
    entry.first = first
    entry.second = second
    entry.serial = serial
    entry.what = what


@rule
def pop(table: list[Entry], base: int, n: int) -> None:
    """Take the first of ``n`` entries off: the last moves up to where it belongs."""
    n -= 1
    last = table[base + n]
    k = 0
    while True:
        below = 2 * k + 1
        if below >= n:
            break
        if below + 1 < n and comes_before(table[base + below + 1], table[base + below]):
            below += 1
        if not comes_before(table[base + below], last):
            break
        copy(table[base + below], table[base + k])
        k = below
    copy(last, table[base + k])
