"""What a mix is judged by: output, stops that begin on the line itself, and overload of all stations."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from linesim.answers.measure import OUTPUT, RATE, Measure
from linesim.answers.values import Change, Estimate
from linesim.plan.tables import FloatArray
from linesim.runs.case_runner import paired
from linesim.runs.cases import CaseRuns
from linesim.stats import mean_interval

STOPS = Measure("own_stop")  #: Minutes of stops that begin on the line itself, over all sections.
OVERLOAD = Measure("overload")  #: Seconds of work left at the limits, over all stations.


@dataclass(frozen=True, slots=True)
class MixFigures:
    """The figures of every case.

    Attributes:
        runs: The replications.
        confidence: With which figures of one kind that are compared hold together.
    """

    runs: CaseRuns
    confidence: float

    @property
    def output(self) -> Measure:
        """Jobs per shift, or jobs per hour where the run holds no whole shift."""
        return OUTPUT if self.runs.row(self.runs.names[0], *OUTPUT).mean is not None else RATE

    def unit(self, measure: Measure) -> str:
        """Return the unit of one of the three."""
        return {OUTPUT: "jobs", RATE: "jobs/h", STOPS: "min/shift", OVERLOAD: "s/job"}[measure]

    def values(self, name: str, measure: Measure) -> FloatArray:
        """Return one of the three in each replication; overload [s a job] is summed over the stations."""
        if measure != OVERLOAD:
            return self.runs.values(name, *measure)
        labels = [label for label in self.runs.found[name].labels if label.measure == OVERLOAD.measure]
        table = np.array([self.runs.values(name, *label[:3]) for label in labels])
        summed: FloatArray = np.nan_to_num(table).sum(axis=0) if labels else np.zeros(len(self.runs.numbers))
        return summed

    def level(self, name: str, measure: Measure, confidence: float) -> Estimate:
        """Return one of the three with an interval that has this confidence by itself."""
        return Estimate.of(mean_interval(self.values(name, measure), confidence), self.unit(measure))

    def change(self, before: str, after: str, measure: Measure, comparisons: int) -> Change:
        """Return how much more of it one case has than another, all comparisons holding together."""
        return paired(
            self.values(before, measure), self.values(after, measure), measure, self.unit(measure),
            self.confidence, comparisons,
        )  # fmt: skip
