"""Binary heaps in a table of entries: the timers, and what each conveyor meets."""

from __future__ import annotations

from linesim.engine.job_records import Entry
from linesim.engine.tables import rule

_FIRST, _RANK = 32, 59  #: bits of an entry's order from which on its first index and its rank stand
_MOST_FIRST = (1 << _RANK - _FIRST) - 1


@rule
def order_of(rank: int, first: int, second: int) -> int:
    """Return what sorts as (rank, first index, second index) does."""
    return rank << _RANK | first << _FIRST | second


@rule
def rank_of(order: int) -> int:
    """Return the rank in an order."""
    return order >> _RANK


@rule
def first_of(order: int) -> int:
    """Return the first index in an order."""
    return order >> _FIRST & _MOST_FIRST


@rule
def comes_before(at: int, order: int, serial: int, other: Entry) -> bool:
    """Return whether an entry that would read so comes before another."""
    if at != other.at:
        return at < other.at
    if order != other.order:
        return order < other.order
    return serial < other.serial


@rule
def write(entry: Entry, at: int, order: int, serial: int, what: int) -> None:
    """Write an entry."""
    entry.at = at
    entry.order = order
    entry.serial = serial
    entry.what = what


@rule
def rise(table: list[Entry], base: int, k: int, at: int, order: int, serial: int, what: int) -> None:
    """Write an entry as the ``k``-th of the heap that begins at ``base``, or as far above as it belongs."""
    while k > 0:
        above = table[base + (k - 1 >> 1)]
        if not comes_before(at, order, serial, above):
            break
        write(table[base + k], above.at, above.order, above.serial, above.what)
        k = k - 1 >> 1
    write(table[base + k], at, order, serial, what)


@rule
def push(table: list[Entry], base: int, n: int, at: int, order: int, serial: int, what: int) -> None:
    """Add an entry as the ``n``-th of the heap that begins at ``base``."""
    rise(table, base, n - 1, at, order, serial, what)


@rule
def pop(table: list[Entry], base: int, n: int) -> None:
    """Take the first of ``n`` entries off: what comes next moves up, and the last to where a place is left.

    The last belongs far down nearly always, so it is compared with few on the way up instead of all on the
    way down.
    """
    last = table[base + n - 1]
    k, below = 0, 1
    while below < n - 1:
        less = table[base + below]
        if below + 1 < n - 1:
            other = table[base + below + 1]
            if comes_before(other.at, other.order, other.serial, less):
                below += 1
                less = other
        write(table[base + k], less.at, less.order, less.serial, less.what)
        k = below
        below = 2 * k + 1
    rise(table, base, k, last.at, last.order, last.serial, last.what)
