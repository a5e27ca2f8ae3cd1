"""The bench of a question about buffers: the line with any places, run when asked, on the same draws."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from linesim.errors import LinesimError, LineStuck
from linesim.measures.definitions import DEFINITIONS
from linesim.plan.arrays import FloatArray
from linesim.questions.buffers.gaps import ENDLESS, BufferGap, Promise, capacity, promises
from linesim.questions.buffers.splits import Split
from linesim.runs.cases import Case, CaseRuns, run_cases
from linesim.runs.main_measure import Measure, main_figure
from linesim.runs.replication import Label
from linesim.runs.rows import Row, row_from
from linesim.stats import Difference, Interval, fair_difference, mean_interval

if TYPE_CHECKING:
    from linesim.scenario import Scenario

PRESENT = "present"  #: Name of the case that is the scenario as it is.
QUICK = 4  #: Replications of a split on the way; the last decision takes more.


class SplitBench:
    """Runs splits of places over the buffers of a line.

    Attributes:
        scenario: The line as it is.
        gaps: The buffers asked about.
        figure: The figure that counts; more of it is better.
        runs: Everything that was run so far.
        stuck: Splits with which the line came to a stand for good, and why.
    """

    def __init__(
        self,
        scenario: Scenario,
        gaps: Sequence[BufferGap],
        *,
        figure: Measure | None = None,
        seed: int | None = None,
        **how: Any,
    ) -> None:
        """Run a few replications of the line as it is; ``how`` goes to `run_cases`."""
        self.scenario, self.gaps = scenario, tuple(gaps)
        self.least: Split = tuple(gap.least for gap in gaps)
        self.present: Split = tuple(gap.places for gap in gaps)
        self.stuck: dict[Split, str] = {}
        base = Case(PRESENT, scenario)
        self.runs: CaseRuns = run_cases([base], numbers=range(1, QUICK + 1), seed=seed, **how)
        self.figure = main_figure(self.runs, figure)

    def name(self, split: Split) -> str:
        """Return what the case of a split is called."""
        if split == self.present:
            return PRESENT
        return ", ".join(
            f"{gap.buffer} {places_in_words(n)}" for gap, n in zip(self.gaps, split, strict=True)
        )

    def ask(self, splits: Sequence[Split], numbers: Sequence[int]) -> None:
        """Run replications of splits; what was run before is not run again.

        Raises:
            LineStuck: If the line as it is comes to a stand for good.
        """
        fresh = [split for split in dict.fromkeys(splits) if split not in self.stuck]
        if not fresh:
            return
        try:
            self.runs = self.runs.add([self._case(split) for split in fresh], numbers)
        except LineStuck:
            for split in fresh:  # one of them; the others are worth having
                self._ask_alone(split, numbers)

    def _ask_alone(self, split: Split, numbers: Sequence[int]) -> None:
        try:
            self.runs = self.runs.add([self._case(split)], numbers)
        except LineStuck as error:
            if split == self.present:
                raise
            self.stuck[split] = str(error)

    def _case(self, split: Split) -> Case:
        if split == self.present:
            return Case(PRESENT, self.scenario)
        changes = dict(
            setting
            for gap, places in zip(self.gaps, split, strict=True)
            if places != gap.places
            for setting in capacity(self.scenario, gap.buffer, places).items()
        )
        return Case.changed(self.name(split), self.scenario, changes)

    def value(self, split: Split, numbers: Sequence[int]) -> FloatArray:
        """Return the figure of each replication of a split, 0 where it came to a stand.

        Raises:
            LinesimError: If a replication was lost or gives no such figure.
        """
        self.ask([split], numbers)
        if split in self.stuck:
            return np.zeros(len(numbers))
        name = self.name(split)
        if missing := set(numbers) - set(self.runs.numbers_of(name)):
            raise LinesimError(
                f"replication {min(missing)} of {name} is lost: its worker process died whenever it ran"
            )
        values = self.runs.values(name, *self.figure, numbers=numbers)
        if np.isnan(values).any():
            raise LinesimError(f"not every replication gives {self.figure}; measure a longer run")
        return values

    @property
    def label(self) -> Label:
        """What the figure is called."""
        return Label(*self.figure, DEFINITIONS[self.figure.measure].unit)

    def row(self, found: Interval, *, is_change: bool) -> Row:
        """Return a level of the figure or a difference of two splits as a row of a table of measures."""
        return row_from(self.label, found, is_change=is_change)

    def level(self, split: Split, numbers: Sequence[int], confidence: float) -> Row:
        """Return what a split makes, with its interval."""
        return self.row(mean_interval(self.value(split, numbers), confidence), is_change=False)

    def gain(self, start: Split, end: Split, numbers: Sequence[int], confidence: float) -> Difference:
        """Return how much better one split is than another, over common draws."""
        return fair_difference(self.value(end, numbers), self.value(start, numbers), confidence)

    def further(self, count: int) -> tuple[int, ...]:
        """Return numbers of replications that no split has seen yet, so that they took part in no choice."""
        used = max(number for name in self.runs.names for number in self.runs.numbers_of(name))
        return tuple(range(used + 1, used + 1 + count))

    def table(self, splits: Sequence[Split], numbers: Sequence[int]) -> FloatArray:
        """Return the figures of several splits, shape ``(replications, splits)``."""
        self.ask(splits, numbers)
        return np.column_stack([self.value(split, numbers) for split in splits])

    def quick(self, split: Split) -> float:
        """Return the mean of a few replications, the same for every split."""
        return float(self.value(split, range(1, QUICK + 1)).mean())

    def promises(self, split: Split) -> tuple[Promise, ...]:
        """Return how much each buffer is in the way."""
        if split in self.stuck:
            return tuple(Promise(0.0, 0.0) for _ in self.gaps)
        return promises(self.runs, self.name(split), self.gaps)

    def pays(self, split: Split) -> tuple[float, ...]:
        """Return how much a place more at each buffer is likely to pay; only the order counts."""
        return tuple(promise.of_a_place for promise in self.promises(split))

    @property
    def asked(self) -> int:
        """How many replications were run."""
        return sum(len(found.finished) for found in self.runs.found.values())


def places_in_words(places: int) -> str:
    """Return a number of places for a reader."""
    return "endless" if places == ENDLESS else str(places)
