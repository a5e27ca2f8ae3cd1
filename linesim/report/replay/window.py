"""Which part of a replication a page shows."""

from __future__ import annotations

from typing import NamedTuple

from linesim.errors import LinesimError
from linesim.ledger.shifts import shift_windows
from linesim.plan.plan import Plan
from linesim.ticks import Duration, seconds


class Window(NamedTuple):
    """A span of the run.

    Attributes:
        start, end: First and last tick, counted from the start of the run.
        shifts: Start and end of each whole shift of the run after its warm-up.
    """

    start: int
    end: int
    shifts: tuple[tuple[int, int], ...]


class WindowError(LinesimError):
    """The span that is asked for does not lie in the run."""

    status = 2


def window_of(
    plan: Plan, begin: Duration | None = None, length: Duration | None = None, *, at_start: bool = False
) -> Window:
    """Return the span of the run that a page shows.

    Args:
        plan: The line.
        begin: Where it begins, counted from the end of the warm-up; None for right there. Whole shifts are
            those of the run's calendar.
        length: How long it is; None for one shift, or what is left of a shorter run. A whole number of
            shifts from the start of a shift ends with a shift.
        at_start: Whether it begins with the run, warm-up and all, where ``begin`` does not say.

    Raises:
        WindowError: If it begins or ends outside the run, or has no length.
    """
    shifts = tuple(shift_windows(plan))
    first, last = plan.run.warm_up, plan.run.warm_up + plan.run.length
    skipped = _whole_shifts(begin)
    if begin is None:
        start = 0 if at_start else first
    elif skipped and skipped < len(shifts):
        start = shifts[skipped][0]
    else:
        start = first + begin.ticks
    if not start < last:
        raise WindowError(
            f"--from: {begin} after the warm-up lies beyond the run, which is {_hours(last - first)} long"
        )
    end = _end(start, shifts, length, last)
    if end == start:
        raise WindowError("--for: a page of no length shows nothing; write a time such as 2 h")
    if end > last:
        raise WindowError(
            f"--for: {length} from there ends {_hours(end - last)} after the run, which is "
            f"{_hours(last - first)} long after its warm-up"
        )
    return Window(start, end, shifts)


def _end(start: int, shifts: tuple[tuple[int, int], ...], length: Duration | None, last: int) -> int:
    n_shifts = 1 if length is None else _whole_shifts(length)
    at = next((i for i, (begin, _) in enumerate(shifts) if begin == start), None)
    if n_shifts and at is not None and at + n_shifts <= len(shifts):
        return shifts[at + n_shifts - 1][1]
    if length is not None:
        return start + length.ticks
    lengths = [end - begin for begin, end in shifts]
    return min(last, start + (lengths[0] if lengths else last - start))


def _whole_shifts(length: Duration | None) -> int:
    """Return how many whole shifts a length is, 0 if it is something else."""
    if length is None or length.unit != "shift" or length.amount != int(length.amount):
        return 0
    return int(length.amount)


def _hours(ticks: int) -> str:
    return f"{seconds(ticks) / 3600:.4g} h"
