"""`buffers`: the study."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from linesim.errors import WrongQuestionError
from linesim.questions.answer import Answer
from linesim.questions.answer_table import AnswerTable
from linesim.questions.buffers.bench import SplitBench
from linesim.questions.buffers.cautions import cautions
from linesim.questions.buffers.curve import Curves, curves
from linesim.questions.buffers.fewest import Fewest, fewest_places
from linesim.questions.buffers.gaps import BufferGap, gaps_of
from linesim.questions.buffers.search import BestSplit, Promised, best_split
from linesim.questions.buffers.sentences import curve_sentences, fewest_sentences, split_sentences
from linesim.questions.buffers.splits import Split
from linesim.questions.buffers.tables import curve_tables, fewest_table, split_tables, where_table
from linesim.runs.main_measure import Measure, asked

if TYPE_CHECKING:
    from linesim.scenario import Scenario

TOLD = 10  #: Replications of a figure that is told, if the scenario has as many and nobody asks for others.
MOST = 60  #: Replications of one split at most, where nobody asks for more.
MATTERS = 0.005  #: Share of what the line makes that matters, where nobody says.


@dataclass(frozen=True, slots=True)
class BufferAnswer(Answer):
    """What places bring, and where they belong.

    Attributes:
        figure: The figure that counts.
        matters: The smallest difference that matters, in its unit.
        gaps: The buffers asked about.
        curves: The curve of each buffer; None if a split was asked for.
        best: The best split of a number of places; None if nobody asked.
        fewest: The fewest places that reach a share of the ceiling; None if nobody asked.
    """

    figure: Measure
    matters: float
    gaps: tuple[BufferGap, ...]
    curves: Curves | None
    best: BestSplit | None
    fewest: Fewest | None


def buffers(
    scenario: Scenario,
    *,
    places: int | None = None,
    share: float | None = None,
    only: Sequence[str] = (),
    measure: str | None = None,
    min_effect: float | None = None,
    worth: float = 0.0,
    every: bool = False,
    replications: int | None = None,
    max_replications: int | None = None,
    seed: int | None = None,
    confidence: float = 0.95,
    file: str = "",
    **how: Any,
) -> BufferAnswer:
    """Say what buffer places bring, or where a number of them belongs.

    Without ``places`` and ``share`` the curve of each buffer: what the line makes with fewer and more
    places, up to endless ones, and what each place adds.

    Args:
        scenario: The line.
        places: Places to split in the best way.
        share: Share of what endless buffers would give, between 0 and 1: the fewest places that reach it.
        only: Names of the buffers asked about; empty means all. The others stay as they are.
        measure: The figure that counts, such as ``"throughput"``; None means jobs per shift, or jobs per hour
            where the run holds no whole shift.
        min_effect: The smallest difference that matters, in the unit of the figure; None takes `MATTERS` of
            what the line makes.
        worth: What a place must add to pay, in the unit of the figure.
        every: Compare every split of the places, however many there are.
        replications: Of each figure that is told; None takes what the scenario says, at most `TOLD`.
        max_replications: Replications of one split at most; None takes `MOST`.
        seed: Seed of all draws; None takes what the scenario says.
        confidence: Confidence of the choice, and of all intervals together.
        file: Name of the scenario's file, for the answer to carry.
        how: How replications are run: ``workers``, ``progress`` and what else `run_cases` takes.

    Raises:
        WrongQuestionError: If there is no such buffer, or no such number of places.
        LineStuck: If the line as it is comes to a stand for good.

    Examples:
        >>> from linesim import load
        >>> buffers(load("line.toml"), places=9).sentences  # doctest: +SKIP
    """
    wanted = None if measure is None else asked(measure)
    gaps = gaps_of(scenario, only)
    _check(gaps, places, share, wanted)
    bench = SplitBench(scenario, gaps, figure=wanted, seed=seed, **how)
    made = bench.quick(bench.present)
    matters = round_near(MATTERS * made) if min_effect is None else min_effect
    count = min(scenario.run.replications, TOLD) if replications is None else replications
    found = _Found(bench, matters, confidence, count)
    if places is None and share is None:
        found.draw(worth)
    if places is not None:
        found.split(
            places, Promised(matters, 1 - confidence, max_replications or max(MOST, count)), every=every
        )
    if share is not None:
        found.spare(share)
    return BufferAnswer(
        study="buffers",
        sentences=tuple(found.sentences),
        tables_=tuple(found.tables),
        cautions=cautions(bench, with_curve=found.curves is not None),
        card=bench.runs.card(confidence, file=file),
        figure=bench.figure,
        matters=matters,
        gaps=gaps,
        curves=found.curves,
        best=found.best,
        fewest=found.fewest,
    )


class _Found:
    """What was found so far."""

    def __init__(self, bench: SplitBench, matters: float, confidence: float, count: int) -> None:
        self.bench, self.matters, self.confidence, self.count = bench, matters, confidence, count
        self.sentences: list[str] = []
        self.tables: list[AnswerTable] = [where_table(bench)]
        self.curves: Curves | None = None
        self.best: BestSplit | None = None
        self.fewest: Fewest | None = None

    def draw(self, worth: float) -> None:
        bench = self.bench
        self.curves = curves(
            bench, range(1, self.count + 1), matters=self.matters, worth=worth, confidence=self.confidence
        )
        self.sentences += curve_sentences(
            bench.gaps, self.curves, bench.figure, self.matters, self.confidence
        )
        self.tables += curve_tables(self.curves)

    def split(self, places: int, promised: Promised, *, every: bool) -> None:
        bench = self.bench
        self.best = best = best_split(bench, places, promised, every=every)
        numbers = bench.further(self.count)
        bench.ask([best.split, bench.present], numbers)
        level = bench.level(best.split, numbers, self.confidence)
        gain = None
        if best.split != bench.present:
            found = bench.gain(bench.present, best.split, numbers, self.confidence)
            gain = bench.row(found.interval, is_change=True)
        self.sentences += split_sentences(
            bench.gaps, best, level, gain, bench.present, bench.figure, self.confidence
        )
        self.tables += split_tables(bench, best, level, gain, numbers)

    def spare(self, share: float) -> None:
        bench = self.bench
        if not bench.figure.more_is_better:
            raise WrongQuestionError(
                f"there is no share of a ceiling of {bench.figure}; less of it is better."
            )
        self.fewest = found = fewest_places(bench, share, self.count, self.confidence)
        self.sentences += fewest_sentences(bench.gaps, found)
        self.tables.append(fewest_table(found))


def _check(
    gaps: tuple[BufferGap, ...], places: int | None, share: float | None, figure: Measure | None
) -> None:
    least: Split = tuple(gap.least for gap in gaps)
    wrong = []
    if places is not None and places < sum(least):
        wrong.append(
            f"{places} places are too few: where jobs rejoin the line there must be one, {sum(least)} in all."
        )
    if share is not None and not 0 < share < 1:
        wrong.append(f"the share must lie between 0 and 1, got {share:g}; write 0.98 for 98 %.")
    if figure is not None and not figure.more_is_better:
        wrong.append(
            f"places are chosen by a figure of which more is better, not by {figure}; write one such as "
            "throughput or jobs_per_shift."
        )
    if wrong:
        raise WrongQuestionError(wrong)


def round_near(amount: float) -> float:
    """Return an amount to one digit, as a difference that matters is told; small if it is none.

    Examples:
        >>> round_near(0.592), round_near(0.0289)
        (0.6, 0.03)
    """
    return float(f"{amount:.1g}") if amount > 0 else MATTERS
