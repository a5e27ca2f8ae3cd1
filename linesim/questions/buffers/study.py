"""`buffers`: what buffer places bring, and where they belong."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, NamedTuple, TypeVar

from linesim.answers.document import Chart, Document, Part, View
from linesim.answers.measure import Measure
from linesim.answers.table import BESIDE, BESIDE_CHANGE, Column, Table
from linesim.answers.values import Change, Estimate
from linesim.errors import WrongQuestionError
from linesim.questions.buffers import BuffersQuestion
from linesim.questions.buffers.bench import (
    PRESENT,
    QUICK,
    SplitBench,
    places_in_words,
    split_in_words,
    split_text,
    where_table,
)
from linesim.questions.buffers.curve import curves, limits_of, points_at_most
from linesim.questions.buffers.search import (
    ALL_UP_TO,
    MORE_FOR_SURE,
    TOGETHER,
    BestSplit,
    Promised,
    best_split,
    fewest_places,
)
from linesim.questions.buffers.sentences import BufferSentences, Worth, cautions
from linesim.questions.buffers.splits import Split, count_splits, gaps_of
from linesim.questions.money import money_columns, money_row, money_views
from linesim.runs.select import FIRST
from linesim.stats import mean_interval

if TYPE_CHECKING:
    from linesim.answers.decision import CaseDecision
    from linesim.runs.cost import RunCost
    from linesim.scenario import Scenario

TOLD = 10  #: Replications of a figure that is told, if the scenario has as many and nobody asks for others.
MOST = 60  #: Replications of one split at most, where nobody asks for more.
MATTERS = 0.005  #: Share of what the line makes that matters, where nobody says.
WALKED = 6  #: Times all moves of a place that the walk to a split looks at, as a rule at most.
MOST_SPLITS = 12  #: Splits that get a line on a terminal.

Name = TypeVar("Name")


class SplitFound(NamedTuple):
    """One part of an answer: what is said, its tables, and how they are read.

    Attributes:
        sentences: What is said.
        tables: The tables.
        parts: How they are read.
        money: What changes against the present places are worth, by their names.
        decision: What one may choose between.
    """

    sentences: tuple[str, ...]
    tables: tuple[Table, ...]
    parts: tuple[Part, ...]
    money: Mapping[str, Worth]
    decision: CaseDecision


@dataclass(frozen=True, slots=True)
class _Told:
    """What the line makes with a split.

    Attributes:
        measure: What it is asked by.
        places: The split.
        fate: What became of it: the best, level with it, not better ...
        makes: What the line makes.
        gain: How much more than with the present places; None where that is not told.
        dropped_after: After how many replications it was out of the choice; None if it was not.
    """

    measure: Measure
    places: Split
    fate: str
    makes: Estimate
    gain: Change | None = None
    dropped_after: int | None = None

    @property
    def split(self) -> str:
        """The places of all buffers as text."""
        return split_text(self.places)

    @property
    def unit(self) -> str:
        """Unit of what it makes."""
        return self.makes.unit


def study(asked: BuffersQuestion, scenario: Scenario) -> Document:
    """Return what places bring: the curve of each buffer, the best split, or the fewest places that do."""
    wanted, gaps = asked.wanted, gaps_of(scenario, asked.only)
    _check(asked, tuple(gap.least for gap in gaps))
    bench = SplitBench(scenario, gaps, measure=wanted, seed=asked.seed, **asked.how)
    made = bench.quick(bench.present)
    matters = round_near(MATTERS * made) if asked.min_effect is None else asked.min_effect
    count = _count(asked, scenario)
    found: list[SplitFound] = []
    if asked.places is None and asked.share is None:
        found.append(_curves(bench, asked, matters, count))
    if asked.places is not None:
        found.append(_split(bench, asked, matters, count))
    if asked.share is not None:
        found.append(_fewest(bench, asked, count))
    where = where_table(bench)
    where_view = View(
        "where", "Where would a place pay? Share of the time now, %", where.columns,
        note="A place pays where both happen, no room before it and no job after it: it keeps a job of the "
        "one moment for the other.",
    )  # fmt: skip
    worth = {name: money for one in found for name, money in one.money.items()}
    money = _money_table(worth)
    tables = (where, *(table for one in found for table in one.tables), money)
    return Document(
        study="buffers",
        sentences=tuple(text for one in found for text in one.sentences),
        tables_=tables,
        parts=(*(part for one in found for part in one.parts), *money_views(money), where_view),
        cautions=cautions(bench, with_curve=asked.places is None and asked.share is None),
        card=bench.runs.card(asked.confidence, file=asked.file),
        asked=asked.echo(),
        decision=found[0].decision,
    )


def steps(asked: BuffersQuestion, scenario: Scenario, first: RunCost) -> RunCost:
    """Return what all steps cost, as a rule: the limits alone, and everything that may be looked at."""
    gaps, count = gaps_of(scenario, asked.only), _count(asked, scenario)
    least = most = QUICK
    if asked.places is None and asked.share is None:
        limits = len(limits_of(tuple(gap.places for gap in gaps), tuple(gap.least for gap in gaps)))
        least, most = limits * count, limits * max(QUICK, count) + sum(map(points_at_most, gaps)) * count
    if asked.places is not None:
        splits, moves = (
            count_splits(asked.places, tuple(gap.least for gap in gaps)),
            len(gaps) * (len(gaps) - 1),
        )
        is_whole = asked.every or splits <= ALL_UP_TO
        compared, walked = (splits, 0) if is_whole else (1 + moves, WALKED * moves)
        cap = asked.max_replications or max(MOST, count)
        least += count + (compared * min(FIRST, cap) if splits > 1 else 0)
        most += 2 * count + compared * cap + min(splits, walked) * QUICK
    if asked.share is not None:
        places = sum(gap.places for gap in gaps)
        least += QUICK + 2 * count
        most += TOGETHER * (places + 10) * QUICK + (MORE_FOR_SURE + 4) * count
    return first.between(least, most)


def _count(asked: BuffersQuestion, scenario: Scenario) -> int:
    return min(scenario.run.replications, TOLD) if asked.replications is None else asked.replications


def _check(asked: BuffersQuestion, least: Split) -> None:
    wrong, measure = [], asked.wanted
    if asked.places is not None and asked.places < sum(least):
        wrong.append(
            f"{asked.places} places are too few: where jobs rejoin the line there must be one, {sum(least)} "
            "in all."
        )
    if measure is not None and not measure.more_is_better:
        wrong.append(
            f"places are chosen by a measure of which more is better, not by {measure}; write one such as "
            "throughput or jobs_per_shift."
        )
    if measure is not None and measure.measure == "net_money" and asked.share is not None:
        wrong.append("there is no share of the most net money, which may be less than nothing; use --places.")
    if wrong:
        raise WrongQuestionError(wrong)


def round_near(amount: float) -> float:
    """Return an amount to one digit, as a difference that matters is told; small if it is none.

    Examples:
        >>> round_near(0.592), round_near(0.0289)
        (0.6, 0.03)
    """
    return float(f"{amount:.1g}") if amount > 0 else MATTERS


_MEASURE = (Column("measure", "measure"), Column("unit"))


def _curves(bench: SplitBench, asked: BuffersQuestion, matters: float, count: int) -> SplitFound:
    """Return the curve of each buffer."""
    found = curves(
        bench, range(1, count + 1), matters=matters, worth=asked.worth, confidence=asked.confidence
    )
    worth = _worth(bench, found.built, found.numbers, asked.confidence)
    say = BufferSentences(bench, asked.confidence)
    level = Column("level", "estimate", head="makes", flat="mean low high n=replications")
    adds = Column("adds", "change", head="a place adds", flat=BESIDE,
                  faces=("mean", "interval"))  # fmt: skip
    curve = Table.of(
        "curve",
        (Column("buffer"), Column("places"), Column("now", head=""), Column("split"), *_MEASURE, level, adds,
         Column("verdict", head="")),
        found.points, "What the line makes with so many places at a buffer.", keys=("buffer", "places"),
    )  # fmt: skip
    gain = Column(
        "gain", "change", flat="mean=gain low high n=replications correlation saving method comparisons"
    )
    per_place = Column(
        "per_place", "change", flat="mean=gain_per_place low=per_place_low high=per_place_high n=per_place_n"
    )
    rows = [
        {"buffer": step.buffer, "from_places": step.start, "to_places": step.end, "places_added": step.places,
         "measure": step.measure, "unit": step.unit, "gain": step.gain, "per_place": step.per_place,
         "verdict": step.verdict}
        for step in found.steps
    ]  # fmt: skip
    steps = Table.of(
        "steps",
        (Column("buffer"), Column("from_places"), Column("to_places"), Column("places_added", "count"),
         *_MEASURE, gain, per_place, Column("verdict")),
        rows, "What places add, paired over common draws.", keys=("buffer", "from_places", "to_places"),
    )  # fmt: skip
    return SplitFound(
        say.curves(found, matters, worth), (curve, steps), tuple(_curve_parts(bench, curve, steps)),
        {f"{buffer} {places}": money for (buffer, places), money in worth.items()},
        bench.decision(
            {split: f"{buffer}: {places_in_words(n)} places" for (buffer, n), split in found.built.items()},
            found.numbers, asked.confidence,
        ),
    )  # fmt: skip


def _curve_parts(bench: SplitBench, curve: Table, steps: Table) -> list[Part]:
    label = bench.measure.label
    view = View(
        "curve", f"{label} by places",
        curve.pick("buffer", "places", "now", "level", "adds", "verdict"),
        curve.places(lambda row: bool(row["buffer"])), by="buffer",
        note="'makes' holds for each line alone, what places add for all of them together. From the last "
        "number of places to endless ones the gain is that of all of them.",
    )  # fmt: skip
    says = (
        "One drawing a buffer, the others as they are. The black dot is the line as it is; endless means "
        "that the buffer is never full. The interval of a dot is for it alone: what a place adds is known "
        "much more sharply, from the differences below."
    )
    each = View(
        "steps", f"What one place more adds: {label}",
        steps.pick("buffer", "from_places", "to_places", "per_place"),
        steps.places(lambda row: row["per_place"] is not None), only_page=True,
    )  # fmt: skip
    return [
        Chart("curves", "curves", says, view, "level", "{places}", label),
        Chart(
            "forest", "steps",
            "One row a step from fewer to more places, per place added, paired over common draws; all hold "
            "together.",
            each, "per_place", "{buffer}: {from_places} → {to_places}", f"more {label}, per place",
            is_ordered=True,
        ),
    ]  # fmt: skip


def _worth(
    bench: SplitBench, splits: Mapping[Name, Split], numbers: Sequence[int], confidence: float
) -> dict[Name, Worth]:
    """Return what splits are worth against the present one, each under its name; empty without prices."""
    found = {name: bench.money(split, numbers, confidence, len(splits)) for name, split in splits.items()}
    return {name: money for name, money in found.items() if money}


def _split(bench: SplitBench, asked: BuffersQuestion, matters: float, count: int) -> SplitFound:
    """Return the best split of a number of places, told from replications that took no part in the choice."""
    assert asked.places is not None
    promised = Promised(matters, 1 - asked.confidence, asked.max_replications or max(MOST, count))
    best = best_split(bench, asked.places, promised, every=asked.every)
    numbers = bench.further(count)
    bench.ask([best.split, bench.present], numbers)
    made = _Told(bench.measure, best.split, "best", bench.level(best.split, numbers, asked.confidence))
    rows, worth = [made], {}
    if best.split != bench.present:
        gain = bench.gain(bench.present, best.split, numbers, asked.confidence)
        level = bench.level(bench.present, numbers, asked.confidence)
        rows = [replace(made, gain=gain), _Told(bench.measure, bench.present, PRESENT, level)]
        worth = bench.money(best.split, numbers, asked.confidence)
    columns = (
        Column("split"), Column("fate", head=""), *_MEASURE,
        Column("makes", "estimate", flat="mean low high n=replications method"),
        Column("gain", "change", head="more than now",
               flat=BESIDE_CHANGE),
    )  # fmt: skip
    says = f"The best split against the present places, over {len(numbers)} further replications."
    told = Table.of("best", columns, rows, says)
    say = BufferSentences(bench, asked.confidence)
    compared = _splits_table(bench, best, len(numbers), say.least(matters))
    buffers = ", ".join(gap.buffer for gap in bench.gaps)
    view = View(
        "splits", f"Splits compared, places in line order: {buffers}",
        compared.pick("split", "makes", "fate"), most=MOST_SPLITS, note=compared.says,
    )  # fmt: skip
    page = View("best", says.removesuffix("."), told.pick("split", "fate", "makes", "gain"), only_page=True)
    sentences = say.split(best, made.makes, rows[0].gain, bench.present, worth)
    return SplitFound(
        sentences, (compared, told), (page, view), {split_text(best.split): worth} if worth else {},
        bench.decision({best.split: split_in_words(bench.gaps, best.split)}, numbers, asked.confidence),
    )  # fmt: skip


def _splits_table(bench: SplitBench, best: BestSplit, further: int, matters: str) -> Table:
    """Return the splits that the last decision was between, the one that made the most first."""
    choice = best.choice
    rows = []
    for i, split in enumerate(best.candidates):
        dropped, fate = choice.dropped_after[i], "not better"
        if bench.is_stuck(split):
            rows.append(_Told(bench.measure, split, "stuck", Estimate(0.0, unit=bench.unit), None, dropped))
            continue
        last = dropped or choice.used
        seen = bench.runs.numbers_of(bench.name(split))
        used = [number for number in seen if number <= last or not choice.used]
        found = mean_interval(bench.value(split, used))
        if choice.is_made:
            fate = "chosen" if i == choice.best else "level" if i in choice.level else fate
        elif i in choice.left:
            fate = "can't tell"
        made = Estimate.of(found, bench.unit, currency=bench.currency)
        rows.append(_Told(bench.measure, split, fate, made, None, dropped))
    rows.sort(key=lambda row: -(row.makes.mean or 0.0))
    columns = (
        Column("split"), *_MEASURE,
        Column("makes", "estimate", head=bench.measure.label, flat="mean n=replications",
               faces=("mean", "n")),
        Column("dropped_after", "count"), Column("fate", head=""),
    )  # fmt: skip
    says = (
        "The splits that the last decision was between, with what they made while it was taken. Not better: "
        f"surely not by {matters}, whatever the means say. What the chosen one makes is told from "
        f"{further} further replications that took no part: among means that decide, the highest is partly "
        "luck."
    )
    return Table.of("splits", columns, rows, says)


def _fewest(bench: SplitBench, asked: BuffersQuestion, count: int) -> SplitFound:
    """Return the fewest places that reach a share of what endless buffers would give."""
    assert asked.share is not None
    found = fewest_places(bench, asked.share, count, asked.confidence)
    named = [
        (found.enough, "fewest"), (found.one_less, "one less"), (found.sure, "surely"),
        (found.present, "present"),
    ]  # fmt: skip
    rows = [
        {"places": one.total, "split": split_text(one.split), "what": what, "share": one.share,
         "verdict": one.verdict}
        for one, what in named
        if one is not None
    ]  # fmt: skip
    columns = (
        Column("places", "count"), Column("split"), Column("what", head=""),
        Column("share", "estimate", head="of endless ones, %", unit="share",
               flat="mean=share_of_ceiling low high n=replications"),
        Column("verdict", head=""),
    )  # fmt: skip
    says = f"Shares of what endless buffers give; {asked.share:g} was asked for."
    table = Table.of("fewest", columns, rows, says, keys=("what",))
    buffers = ", ".join(gap.buffer for gap in bench.gaps)
    view = View("fewest", f"Share of what endless buffers give; splits in line order: {buffers}", columns)
    others = {one.split for one, _ in named if one is not None} - {bench.present}
    worth = _worth(bench, {split: split for split in sorted(others)}, found.numbers, asked.confidence)
    say = BufferSentences(bench, asked.confidence)
    return SplitFound(
        say.fewest(found, worth.get(found.enough.split, {})), (table,), (view,),
        {split_text(split): money for split, money in worth.items()},
        bench.decision(
            {found.enough.split: split_in_words(bench.gaps, found.enough.split)}, found.numbers,
            asked.confidence,
        ),
    )  # fmt: skip


def _money_table(worth: Mapping[str, Worth]) -> Table:
    """Return what other places are worth; empty where the scenario has no prices."""
    rows = [{"change": name, **money_row(found)} for name, found in worth.items()]
    says = "Money a shift more than with the present places, and its parts."
    return Table.of("money", (Column("change", head="places"), *money_columns()), rows, says)
