"""Figures of a mix that are sums of rows: stops that begin on the line itself, overload of all stations."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from linesim.plan.arrays import FloatArray
from linesim.runs.cases import CaseRuns
from linesim.runs.main_measure import OUTPUT, RATE, Measure
from linesim.runs.replication import Label

STOPS = "own_stop"  #: Minutes of stops that begin on the line itself, over all sections.
OVERLOAD = "overload"  #: Seconds of work left at the limits, over all stations.


def output_of(runs: CaseRuns) -> Measure:
    """Return jobs per shift, or jobs per hour where the run holds no whole shift."""
    return OUTPUT if runs.row(runs.names[0], *OUTPUT).mean is not None else RATE


def own_stops(runs: CaseRuns, name: str) -> FloatArray:
    """Return the minutes a shift of stops that begin on the line itself, one a replication."""
    return runs.values(name, STOPS)


def overload(runs: CaseRuns, name: str) -> FloatArray:
    """Return the work left at the limits [s a job], summed over the stations, one a replication."""
    return _sum(runs, name, lambda label: label.measure == "overload")


def output(runs: CaseRuns, name: str) -> FloatArray:
    """Return jobs per shift, or per hour where no shift is whole, one a replication."""
    return runs.values(name, *output_of(runs))


def labels(runs: CaseRuns) -> dict[str, Label]:
    """Return how the figures of a mix are called: output, stops, overload."""
    figure = output_of(runs)
    return {
        "output": Label(*figure, "jobs" if figure == OUTPUT else "jobs/h"),
        "stops": Label(STOPS, "segment", "", "min/shift"),
        "overload": Label(OVERLOAD, "segment", "", "s/job"),
    }


def _sum(runs: CaseRuns, name: str, wanted: Callable[[Label], bool]) -> FloatArray:
    found = runs.found[name]
    columns = [k for k, label in enumerate(found.labels) if wanted(label)]
    given = {replication.number: replication.values for replication in found.finished}
    rows = [[given[number][k] or 0.0 for k in columns] for number in runs.numbers]
    return np.array([sum(row) for row in rows], dtype=np.float64)
