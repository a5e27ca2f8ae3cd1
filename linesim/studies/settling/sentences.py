"""What the start of a run says in plain sentences."""

from __future__ import annotations

import math
from collections.abc import Mapping

from linesim.measures.clock import TICKS_PER_HOUR
from linesim.plan.plan import Plan
from linesim.studies.figures import count_of, listed, number
from linesim.studies.settling.cuts import SeriesCut
from linesim.studies.settling.series import said_of
from linesim.studies.sure import FEW


def sentences(
    plan: Plan, cuts: Mapping[str, SeriesCut], interval: int, n: int, leaves: int | None, line: str
) -> tuple[str, ...]:
    """Return the suggestion or the refusal, what the file does now, and what it matters.

    Args:
        plan: The line.
        cuts: Where each series that decides has settled.
        interval: Length of an interval [ticks of working time].
        n: Number of intervals.
        leaves: Clock time to leave out [ticks]; None if it is refused.
        line: The line of TOML that does it.
    """
    said = [_refusal(cuts) if leaves is None else _suggestion(cuts, interval, line)]
    said += [_now(plan, leaves), _bias(cuts)]
    said.append(
        f"Looked at: {n} intervals of {_hours(interval)} of working time, from the first moment on, the "
        "file's own warm-up included."
    )
    return tuple(text for text in said if text)


def cautions(cuts: Mapping[str, SeriesCut], interval: int, replications: int) -> tuple[str, ...]:
    """Return what to know before a start is cut off, or left in.

    Args:
        cuts: Where each series that decides has settled.
        interval: Length of an interval [ticks of working time].
        replications: How many the mean is taken over.
    """
    if replications >= FEW:
        return ()
    lows = [cut.alone_low for cut in cuts.values() if cut.alone_low is not None]
    highs = [cut.alone_high for cut in cuts.values() if cut.alone_high is not None]
    alone = ""
    if highs and min(lows) < max(highs):
        alone = (
            f": each alone would cut from {_hours(min(lows) * interval)} to {_hours(max(highs) * interval)}"
        )
    return (
        f"{count_of(replications, 'replication')} leave much to luck{alone}; {FEW} or more tell better. Too "
        "long a warm-up costs only computing time, too short a one bends every figure.",
    )


def in_shifts(plan: Plan, clock: int) -> str:
    """Return a clock time rounded up to whole shifts, as text of a duration.

    Whole shifts, so that what is measured begins with a shift as the plant's own figures do.
    """
    shifts = math.ceil(clock / plan.run.shift - 1e-9)
    return f"{shifts} shift{'' if shifts == 1 else 's'}"


def _suggestion(cuts: Mapping[str, SeriesCut], interval: int, line: str) -> str:
    longest = max(cut.cut or 0 for cut in cuts.values())
    if not longest:
        return f"No series shows a start that differs from the rest: nothing need be left out ({line})."
    last = [said_of(name) for name, cut in cuts.items() if cut.cut == longest]
    return (
        f"The line has settled after {_hours(longest * interval)} of working time, {listed(last)} last; "
        f"leave that out, in whole shifts: {line}."
    )


def _refusal(cuts: Mapping[str, SeriesCut]) -> str:
    late = [said_of(name) for name, cut in cuts.items() if cut.cut is None]
    return (
        f"No suggestion: {listed(late)} are still on the way in the last half of the run. Make run.length "
        "at least twice as long and look again; to cut there would be to guess."
    )


def _now(plan: Plan, leaves: int | None) -> str:
    now, whole = plan.run.warm_up, plan.run.warm_up + plan.run.length
    said = f"The file leaves out {_hours(now)} of the clock's {_hours(whole)}"
    if now > whole / 2:
        return f"{said}, more than half of the run: make run.length longer."
    if leaves is None:
        return f"{said}."
    return f"{said}, which is {'enough' if now >= leaves else 'too little'}."


def _bias(cuts: Mapping[str, SeriesCut]) -> str:
    """Return what the start does to the mean of the finished jobs, if it does anything."""
    cut = cuts["finished"]
    if not cut.cut or cut.kept_mean is None:
        return ""
    moved = cut.whole_mean - cut.kept_mean
    return (
        f"With its start left in, the run would show {number(abs(moved), 2)} jobs an hour too "
        f"{'many' if moved > 0 else 'few'} ({number(cut.whole_mean, 2)} instead of "
        f"{number(cut.kept_mean, 2)})."
    )


def _hours(ticks: int) -> str:
    hours = ticks / TICKS_PER_HOUR
    return f"{hours:.3g} h" if hours >= 1 else f"{60 * hours:.4g} min"
