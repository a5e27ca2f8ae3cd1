"""What is counted, not timed."""

from __future__ import annotations

from dataclasses import dataclass, field, fields
from typing import Any

import numpy as np

from linesim.plan.plan import Plan
from linesim.plan.words import RESPONSE_STEPS_S


@dataclass(slots=True)
class Counts:
    """Running counts; the names that `Ledger` also has mean the same there."""

    station_jobs: list[int]
    overruns: list[int]
    overload: list[int]
    unfinished: list[int]
    calls: list[int]
    calls_answered: list[int]
    call_response: list[int]
    calls_stopped: list[int]
    bay_jobs: list[int]
    bay_seen: list[int]
    bay_good: list[int]
    bay_carried_on: list[int]
    faults_made: list[int]
    faults_found: list[int]
    faults_escaped: list[int]
    faults_not_put_right: list[int]
    units_in: list[int]
    units_merged: list[int]
    jobs_in: int = 0
    jobs_out: int = 0
    jobs_scrapped: int = 0
    first_time: int = 0
    reworked: int = 0
    escaped: int = 0
    out_of_sequence: int = 0
    lead_time: int = 0
    call_within: list[list[int]] = field(default_factory=list)
    bay_put_right: int = 0  #: jobs that bays put right, for the figures per shift

    @classmethod
    def of(cls, plan: Plan) -> Counts:
        """Return the counts of a line of which nothing has been counted yet."""
        names = plan.names
        stations, bays, faults, feeders = (
            len(names.station), len(names.bay), len(names.fault), len(names.feeder)
        )  # fmt: skip
        sizes = [stations] * 8 + [bays] * 4 + [faults] * 4 + [feeders] * 2
        lists: Any = [[0] * size for size in sizes]
        counts = cls(*lists)
        counts.call_within = [[0] * len(RESPONSE_STEPS_S) for _ in range(stations)]
        return counts

    def as_arrays(self) -> dict[str, Any]:
        """Return the counts under the names of `Ledger`, lists as arrays."""
        values = {f.name: getattr(self, f.name) for f in fields(self) if f.name != "bay_put_right"}
        return {
            name: np.array(value, dtype=np.int64) if isinstance(value, list) else value
            for name, value in values.items()
        }
