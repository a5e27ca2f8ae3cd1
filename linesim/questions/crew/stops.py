"""Which stops a change in staffing takes away: by station and cause, paired."""

from __future__ import annotations

from typing import NamedTuple

from linesim.plan.words import HANDED_ON
from linesim.runs.cases import CaseRuns
from linesim.runs.rows import Row, change_row
from linesim.stats import joint_confidence


class StopChange(NamedTuple):
    """How many minutes of stop a change takes away or brings.

    Attributes:
        case: The change.
        where, cause: Of which station or section, and why.
        before: Minutes a shift on the line as it is.
        change: Minutes a shift more, negative if it takes them away, with an interval that holds together
            with those of all other places and causes of this change.
    """

    case: str
    where: str
    cause: str
    before: float
    change: Row


def stops_changed(runs: CaseRuns, base: str, case: str, confidence: float) -> tuple[StopChange, ...]:
    """Return what changes at each place and cause, the minutes taken away first.

    Args:
        runs: The replications.
        base: Name of the line as it is.
        case: Name of the change.
        confidence: Of all intervals together.
    """
    numbers = runs.common((base, case))
    pairs = []
    known = {label[:3] for label in runs.found[base].labels}
    for label in runs.found[case].labels:
        if label.measure != "line_stop" or not label.cause or label.cause in HANDED_ON:
            continue
        if label[:3] not in known:
            continue
        before = runs.values(base, "line_stop", label.where, label.cause, numbers=numbers)
        after = runs.values(case, "line_stop", label.where, label.cause, numbers=numbers)
        if before.any() or after.any():
            pairs.append((label, before, after))
    alone = joint_confidence(confidence, max(1, len(pairs)))
    found = []
    for label, before, after in pairs:
        row = change_row(label, after, before, alone)
        found.append(StopChange(case, label.where, label.cause, float(before.mean()), row))
    return tuple(sorted(found, key=lambda stop: (stop.change.mean or 0.0, stop.where, stop.cause)))
