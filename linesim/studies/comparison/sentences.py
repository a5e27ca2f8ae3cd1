"""What a comparison says in plain sentences."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

import numpy as np

from linesim.stats import joint_confidence, replications_for
from linesim.studies.asked import Asked
from linesim.studies.cases import CaseRuns
from linesim.studies.changes import Change
from linesim.studies.comparison.pairing import fair_difference, saving_in_words
from linesim.studies.comparison.rows import DifferenceRow
from linesim.studies.figures import count_of, decimals, listed, number
from linesim.studies.verdicts import in_words, sign_of

_MATTERS = 0.01  #: Share of the base that is taken as worth telling where the data can't tell.
_MOST_BESIDES = 3  #: What else moved, that is said for each case.
_MOST_BESIDE_BEST = 4  #: Cases that are named beside the best, if their names are short:
_MOST_LETTERS = 120  #: Longer names are only counted, or nobody reads the sentence.
_MOST_CASES = 4  #: With more cases only the table says what else moved.


def sentences(
    runs: CaseRuns,
    figure: Asked,
    rows: Sequence[DifferenceRow],
    changes: Sequence[tuple[str, tuple[Change, ...]]],
    confidence: float,
) -> tuple[str, ...]:
    """Return the answer of a comparison, the verdict on each case first."""
    said: list[str] = []
    others = runs.names[1:]
    for name in others:
        row = next(row for row in rows if row.case == name and row.figure == figure)
        same = not dict(changes)[name]
        said.append(f"{name}: nothing differs from the base." if same else _verdict(runs, row))
        if not same:
            said += [text for text in (_pairing(runs, row), _more_needed(runs, row)) if text]
            if len(others) <= _MOST_CASES:
                said += _besides(name, figure, rows)
    if len(others) > 1 and len(runs.numbers) > 1:
        each = 100 * joint_confidence(confidence, len(others))
        said.append(
            f"These {len(others)} comparisons hold together with {100 * confidence:g} % confidence, each by "
            f"itself with {each:.4g} %."
        )
        said.append(best_of(runs, figure, confidence))
    return tuple(said)


def _verdict(runs: CaseRuns, row: DifferenceRow) -> str:
    scale, base = row.figure.scale, runs.names[0]
    half = None if row.low is None or row.high is None else (row.high - row.low) / 2 * scale
    places = decimals(row.base_mean * scale, half)
    unit = " %" if row.figure.is_share else ""
    levels = (
        f"{number(row.case_mean * scale, places)} instead of {number(row.base_mean * scale, places)}{unit}"
    )
    text = in_words(row.as_row, row.figure)
    if row.low == row.high == 0:
        return f"{row.case} against {base}: no difference in {row.figure.label} in any replication."
    if text.startswith("can't tell"):
        return f"{row.case} against {base}: {text}."
    return f"{row.case} against {base}: {text}, {levels}."


def _pairing(runs: CaseRuns, row: DifferenceRow) -> str:
    ours, theirs = _pairs(runs, runs.names[0], row.case, row.figure)
    return saving_in_words(fair_difference(ours, theirs, row.confidence))


def _more_needed(runs: CaseRuns, row: DifferenceRow) -> str:
    """Return, where the data can't tell, what they exclude and what would tell."""
    if row.low is None or row.high is None or sign_of(row.as_row) or row.low == row.high:
        return ""
    matters = abs(row.base_mean) * _MATTERS
    if not matters:
        return ""
    ours, theirs = _pairs(runs, runs.names[0], row.case, row.figure)
    needed = replications_for(ours - theirs, matters, row.confidence)
    share = f"{100 * _MATTERS:.0f} %"
    if needed <= row.replications:
        return f"A difference of {share} would have shown with these {row.replications} replications."
    return (
        f"A difference of {share} would show with about {needed} replications instead of {row.replications}."
    )


def _besides(name: str, figure: Asked, rows: Sequence[DifferenceRow]) -> list[str]:
    """Return the first few of the other headline figures that surely moved."""
    family = next((row.comparisons for row in rows if row.figure != figure), 0)
    moved = [
        row
        for row in rows
        if row.case == name and row.comparisons == family and row.figure != figure and sign_of(row.as_row)
    ]
    # Output in another unit says nothing new.
    kept = [row for row in moved if row.measure not in ("throughput", "jobs_per_shift")]
    kept.sort(key=lambda row: -abs(row.difference) / (row.half_width or 1e-300))
    if not kept:
        return []
    return [f"Besides: {listed([in_words(row.as_row, row.figure) for row in kept[:_MOST_BESIDES]])}."]


def best_of(runs: CaseRuns, figure: Asked, confidence: float, *, names: Sequence[str] | None = None) -> str:
    """Return which case is best, and from which others it cannot be told.

    All pairs hold together with the confidence, so that choosing the best by its mean does no harm.

    Args:
        runs: The replications.
        figure: The figure that decides.
        confidence: Of all pairs together.
        names: Among which cases; None means all.
    """
    names = runs.names if names is None else tuple(names)
    table = {name: runs.values(name, *figure) for name in names}
    sign = 1 if figure.more_is_better else -1
    mean = {name: sign * float(np.nanmean(values)) for name, values in table.items()}
    first = max(names, key=lambda name: (mean[name], -names.index(name)))
    pairs = len(list(itertools.combinations(names, 2)))
    alone = joint_confidence(confidence, pairs)
    level = []
    for name in names:
        if name == first:
            continue
        both = ~(np.isnan(table[first]) | np.isnan(table[name]))
        low = fair_difference(sign * table[first][both], sign * table[name][both], alone).interval.low
        if low is None or low <= 0:
            level.append(name)
    head = f"By {figure.label}, {first!r} is the best of {len(names)} cases"
    if not level:
        return f"{head}, and all others are surely behind."
    named = [repr(name) for name in level[:_MOST_BESIDE_BEST]]
    told = listed(named) + (f" and {len(level) - len(named)} more" if len(level) > len(named) else "")
    if len(told) > _MOST_LETTERS:
        told = count_of(len(level), "other")
    return f"{head}; the data can't tell it from {told}."


def _pairs(runs: CaseRuns, base: str, case: str, figure: Asked) -> tuple[np.ndarray, np.ndarray]:
    numbers = runs.common((base, case))
    ours = runs.values(case, *figure, numbers=numbers)
    theirs = runs.values(base, *figure, numbers=numbers)
    both = ~(np.isnan(ours) | np.isnan(theirs))
    return ours[both], theirs[both]
