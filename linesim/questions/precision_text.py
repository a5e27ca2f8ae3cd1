"""How sure a run is, in words."""

from __future__ import annotations

from linesim.answers.wording import count_of, number
from linesim.runs.result import Result

FEW = 10  #: Below so many replications an interval rests on little.
CAUTION = (
    "A planning estimate: as good as the times, chances and rules it was given. It is no proof that people "
    "can keep the pace, and no safety, ergonomics or acceptance assessment."
)
LUCK_ALONE = (
    "The interval says how far luck can move a mean, not how wrong an input may be; the range of a single "
    "shift is wider."
)


def rests_on(result: Result) -> str:
    """Return what the figures rest on, as a sentence."""
    run = result.run
    length = f"{run.length_s / 3600:.4g} h on the clock, each after {run.warm_up_s / 3600:.4g} h of warm-up"
    shifts = sum(len(replication.shifts) for replication in result.replications)
    return (
        f"{count_of(len(run.numbers), 'replication')} of {length}, seed {run.seed}; "
        f"{count_of(shifts, 'whole shift')} in all."
    )


def precision_in_words(result: Result) -> str:
    """Return how well output is known, as a sentence."""
    run, n = result.run, len(result.run.numbers)
    if n < 2:
        return (
            "One replication has no interval: it says what can happen, not what to expect. Run at least 10."
        )
    row = result.row("jobs_per_shift" if result.row("jobs_per_shift").mean else "throughput")
    said = f"Ranges in brackets hold the true mean with {run.confidence * 100:g} % confidence"
    if row.half_width == 0:
        said += "; output is the same in every replication"
    elif row.mean and row.half_width is not None:
        said += f"; output is known to ±{number(100 * row.half_width / row.mean, 2)} %"
    if n < FEW:
        said += f". {n} replications are few: take at least {FEW} before deciding anything"
    return said + "."


def lost_in_words(result: Result) -> str:
    """Return which replications are missing, as a sentence; empty if none is."""
    if not result.run.lost:
        return ""
    numbers = ", ".join(map(str, result.run.lost))
    return f"Replications {numbers} are missing: their worker process died each time."


def sharpness_in_words(result: Result) -> str:
    """Return whether the wanted precision was reached, as a sentence; empty if none was asked for."""
    if result.convergence is None:
        return ""
    said = result.convergence.sentence
    return said[0].upper() + said[1:]
