"""The bench of a question about buffers: the line with any places, run when asked, on the same draws."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from linesim.answers.decision import CaseDecision
from linesim.answers.measure import Measure
from linesim.answers.table import Column, Table
from linesim.answers.values import Change, Estimate
from linesim.answers.wording import listed
from linesim.errors import LinesimError
from linesim.plan.tables import FloatArray
from linesim.questions.buffers.splits import (
    ENDLESS,
    BufferGap,
    Promise,
    Split,
    capacity,
    price_kept,
    promises,
)
from linesim.questions.decision import decision_between, money_between
from linesim.runs.case_runner import Runner, estimate_of, paired, unit_of
from linesim.runs.cases import Case, CaseRuns
from linesim.runs.select import main_figure
from linesim.scenario.origins import Place

PRESENT = "present"  #: Name of the case that is the scenario as it is.
Worth = Mapping[str, Change]  #: Net money and its parts, see `linesim.questions.decision`.
QUICK = 4  #: Replications of a split on the way; the last decision takes more.


class SplitBench:
    """Runs splits of places over the buffers of a line.

    Attributes:
        scenario: The line as it is.
        gaps: The buffers asked about.
        runner: What runs them, and everything that was run.
        measure: What counts; more of it is better.
        confidence: Of all intervals of a kind together.
        unit, currency: Unit of the measure; the word or sign of the money if it is one.
    """

    def __init__(
        self, runner: Runner, gaps: Sequence[BufferGap], measure: Measure | None, confidence: float
    ) -> None:
        base = runner.runs.cases[0]
        self.scenario, self.gaps, self.runner = base.scenario, tuple(gaps), runner
        self.least: Split = tuple(gap.least for gap in gaps)
        self.present: Split = tuple(gap.places for gap in gaps)
        self.endless: Split = tuple(ENDLESS for _ in gaps)
        self._cases: dict[Split, Case] = {self.present: base}
        self.measure, self.confidence = main_figure(self.runs, measure), confidence
        self.unit = unit_of(self.runs, self.measure)
        self.currency = self.measure.currency(self.unit)

    @property
    def runs(self) -> CaseRuns:
        """Everything that was run so far."""
        return self.runner.runs

    @property
    def stuck(self) -> dict[Split, str]:
        """Splits with which the line came to a stand for good, and why."""
        why = self.runner.stuck
        return {split: why[case.name] for split, case in self._cases.items() if case.name in why}

    def name(self, split: Split) -> str:
        """Return what the case of a split is called."""
        if split == self.present:
            return PRESENT
        each = zip(self.gaps, split, strict=True)
        return ", ".join(f"{gap.buffer} {places_in_words(n)}" for gap, n in each)

    def in_words(self, split: Split) -> str:
        """Return places with the names of their buffers, such as ``3 at lane and 1 at bank``."""
        return listed([f"{n} at {gap.buffer}" for gap, n in zip(self.gaps, split, strict=True)])

    def ask(self, splits: Sequence[Split], numbers: Sequence[int]) -> None:
        """Run replications of splits; what was run before is not run again.

        Raises:
            LineStuck: If the line as it is comes to a stand for good.
        """
        self.runner.ask([self._case(split) for split in dict.fromkeys(splits)], numbers)

    def _case(self, split: Split) -> Case:
        if split not in self._cases:
            changes: dict[Place, Any] = {}
            new: dict[Place, Any] = {}
            for gap, places in zip(self.gaps, split, strict=True):
                if places != gap.places:
                    changes |= capacity(self.scenario, gap.buffer, places)
                    is_there = gap.buffer in self.scenario.cost.equipment
                    if places == ENDLESS:
                        (changes if is_there else new).update(price_kept(self.scenario, gap.buffer))
            self._cases[split] = Case.changed(self.name(split), self.scenario, changes, add=new)
        return self._cases[split]

    def is_stuck(self, split: Split) -> bool:
        """Return whether the line came to a stand for good with a split."""
        return self.name(split) in self.runner.stuck

    def value(self, split: Split, numbers: Sequence[int]) -> FloatArray:
        """Return the measure in each replication of a split, 0 where it came to a stand.

        Raises:
            LinesimError: If a replication was lost or does not give it.
        """
        self.ask([split], numbers)
        if self.is_stuck(split):
            return np.zeros(len(numbers))
        name = self.name(split)
        if missing := set(numbers) - set(self.runs.numbers_of(name)):
            raise LinesimError(
                f"replication {min(missing)} of {name} is lost: its worker process died whenever it ran"
            )
        values = self.runs.values(name, *self.measure, numbers=numbers)
        if np.isnan(values).any():
            raise LinesimError(f"not every replication gives {self.measure}; measure a longer run")
        return values

    def level(self, split: Split, numbers: Sequence[int]) -> Estimate:
        """Return what a split makes, 0 where it came to a stand; its interval is for it alone."""
        self.value(split, numbers)
        if self.is_stuck(split):
            how = "none: it comes to a stand"
            return Estimate(0.0, 0.0, 0.0, 0.0, 0.0, 0, how, self.unit, self.confidence)
        return estimate_of(self.runs.take(numbers), self.name(split), self.measure, self.confidence)

    def gain(self, start: Split, end: Split, numbers: Sequence[int], comparisons: int = 1) -> Change:
        """Return how much more one split makes than another over common draws, among so many comparisons."""
        before, after = self.value(start, numbers), self.value(end, numbers)
        return paired(before, after, self.measure, self.unit, self.confidence, comparisons)

    def money(self, splits: Mapping[str, Split], numbers: Sequence[int]) -> dict[str, Worth]:
        """Return what splits are worth against the present one, by name; see `money_between`."""
        runs, count = self.runs.take(numbers), len(splits)
        found = {
            name: money_between(runs, PRESENT, self.name(split), self.confidence, count)
            for name, split in splits.items()
            if not self.is_stuck(split)
        }
        return {name: worth for name, worth in found.items() if worth}

    def decision(self, words: Mapping[str, Split], numbers: Sequence[int]) -> CaseDecision:
        """Return the decision between the present places and splits that can be had.

        Args:
            words: The splits, by what each is called.
            numbers: Replications of all of them.
        """
        said = {
            self.name(split): text
            for text, split in words.items()
            if split != self.present and ENDLESS not in split and not self.is_stuck(split)
        }
        self.ask([self.present], numbers)
        runs = self.runs.only([PRESENT, *said]).take(numbers)
        return decision_between(runs, list(said), self.measure, self.confidence, words=said)

    def further(self, count: int) -> tuple[int, ...]:
        """Return numbers of replications that no split has seen yet, so that they took part in no choice."""
        return self.runner.further(count)

    def table(self, splits: Sequence[Split], numbers: Sequence[int]) -> FloatArray:
        """Return the measure of several splits, shape ``(replications, splits)``."""
        self.ask(splits, numbers)
        return np.column_stack([self.value(split, numbers) for split in splits])

    def quick(self, split: Split) -> float:
        """Return the mean of a few replications, the same for every split."""
        return float(self.value(split, range(1, QUICK + 1)).mean())

    def promises(self, split: Split) -> tuple[Promise, ...]:
        """Return how much each buffer is in the way."""
        if self.is_stuck(split):
            return tuple(Promise(0.0, 0.0) for _ in self.gaps)
        return promises(self.runs, self.name(split), self.gaps)

    def pays(self, split: Split) -> tuple[float, ...]:
        """Return how much a place more at each buffer is likely to pay; only the order counts."""
        return tuple(promise.of_a_place for promise in self.promises(split))


def places_in_words(places: int) -> str:
    """Return a number of places for a reader."""
    return "endless" if places == ENDLESS else str(places)


def split_text(split: Split) -> str:
    """Return a split as one cell, in line order."""
    return "-".join(map(places_in_words, split))


def where_table(bench: SplitBench) -> Table:
    """Return how much each buffer is in the way on the line as it is."""
    rows = [
        {
            "buffer": gap.buffer, "places": gap.places, "before": gap.before, "after": gap.after,
            "blocked_share": promise.blocked, "starved_share": promise.starved,
            **{
                f"{state}_share": bench.runs.row(PRESENT, f"buffer_{state}", gap.buffer).mean
                for state in ("full", "empty")
            },
        }
        for gap, promise in zip(bench.gaps, bench.promises(bench.present), strict=True)
    ]  # fmt: skip
    columns = (
        Column("buffer"), Column("before", head="before it"), Column("after", head="after it"),
        Column("places", "count"), Column("blocked_share", "share", head="no room"),
        Column("starved_share", "share", head="no job"), Column("full_share", "share", head="full"),
        Column("empty_share", "share", head="empty"),
    )  # fmt: skip
    says = "How often the station before has no room, and the one after no job."
    return Table.of("where", columns, rows, says)
