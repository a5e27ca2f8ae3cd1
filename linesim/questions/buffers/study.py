"""`buffers`: what buffer places bring, and where they belong."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from linesim.answers.document import Chart, Document, Part, View
from linesim.answers.table import BESIDE, BESIDE_CHANGE, Column, Table
from linesim.answers.values import Estimate
from linesim.answers.wording import Value
from linesim.errors import WrongQuestionError
from linesim.questions.buffers import BuffersQuestion
from linesim.questions.buffers.bench import (
    PRESENT,
    QUICK,
    SplitBench,
    Worth,
    split_text,
    where_table,
)
from linesim.questions.buffers.curve import curves, limits_of, points_at_most
from linesim.questions.buffers.search import (
    ALL_UP_TO,
    MORE_FOR_SURE,
    TOGETHER,
    BestSplit,
    SplitSearch,
)
from linesim.questions.buffers.sentences import BufferSentences, cautions
from linesim.questions.buffers.splits import Split, count_splits, gaps_of
from linesim.questions.decision import money_table, money_views
from linesim.runs.cases import Case
from linesim.runs.cost import RunCost
from linesim.runs.select import FIRST
from linesim.scenario import Scenario
from linesim.stats.intervals import mean_interval

TOLD = 10  #: Replications of a figure that is told, if the scenario has as many and nobody asks for others.
MOST = 60  #: Replications of one split at most, where nobody asks for more.
WALKED = 6  #: Times all moves of a place that the walk to a split looks at, as a rule at most.
MOST_SPLITS = 12  #: Splits that get a line on a terminal.


class SplitFound(NamedTuple):
    """One part of an answer: what is said, its tables, and how they are read.

    Attributes:
        sentences: What is said.
        tables: The tables.
        parts: How they are read.
        money: What changes against the present places are worth, by their names.
        choices: The splits that one may choose between, by what each is called.
        numbers: The replications that tell them apart.
    """

    sentences: tuple[str, ...]
    tables: tuple[Table, ...]
    parts: tuple[Part, ...]
    money: Mapping[str, Worth]
    choices: Mapping[str, Split]
    numbers: Sequence[int]


def study(asked: BuffersQuestion, scenario: Scenario) -> Document:
    """Return what places bring: the curve of each buffer, the best split, or the fewest places that do."""
    wanted, gaps = asked.wanted, gaps_of(scenario, asked.only)
    _check(asked, tuple(gap.least for gap in gaps))
    bench = SplitBench(asked.runner(Case(PRESENT, scenario), QUICK), gaps, wanted, asked.confidence)
    matters, count = asked.matters(bench.quick(bench.present)), asked.count(scenario, TOLD)
    has_curves = asked.places is None and asked.share is None
    found = [_curves(bench, asked, matters, count)] if has_curves else []
    if asked.places is not None:
        found.append(_split(bench, asked, asked.places, matters, count))
    if asked.share is not None:
        found.append(_fewest(bench, asked.share, count))
    where = where_table(bench)
    where_view = View(
        "where", "Where would a place pay? Share of the time now, %", where.columns,
        note="A place pays where both happen, no room before it and no job after it: it keeps a job of the "
        "one moment for the other.",
    )  # fmt: skip
    worth = {name: money for one in found for name, money in one.money.items()}
    money = money_table(worth, "places", "with the present places")
    return asked.told(
        asked.card(bench.runs), (text for one in found for text in one.sentences),
        (where, *(table for one in found for table in one.tables), money),
        (*(part for one in found for part in one.parts), *money_views(money), where_view),
        cautions(bench, with_curve=has_curves),
        decision=bench.decision(found[0].choices, found[0].numbers),
    )  # fmt: skip


def steps(asked: BuffersQuestion, scenario: Scenario, first: RunCost) -> RunCost:
    """Return what all steps cost, as a rule: the limits alone, and everything that may be looked at."""
    gaps, count = gaps_of(scenario, asked.only), asked.count(scenario, TOLD)
    fewest = tuple(gap.least for gap in gaps)
    least = most = QUICK
    if asked.places is None and asked.share is None:
        limits = len(limits_of(tuple(gap.places for gap in gaps), fewest))
        least, most = limits * count, limits * max(QUICK, count) + sum(map(points_at_most, gaps)) * count
    if asked.places is not None:
        splits, moves = count_splits(asked.places, fewest), len(gaps) * (len(gaps) - 1)
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


_MEASURE = (Column("measure", "measure"), Column("unit"))


def _curves(bench: SplitBench, asked: BuffersQuestion, matters: float, count: int) -> SplitFound:
    """Return the curve of each buffer."""
    found = curves(bench, range(1, count + 1), matters=matters, worth=asked.worth)
    built = {
        (point.buffer, int(point.places)): point.split
        for point in found.points
        if point.buffer and point.split != bench.present and point.places.isdecimal()
    }
    worth = bench.money(
        {f"{buffer} {places}": split for (buffer, places), split in built.items()}, found.numbers
    )
    level = Column("level", "estimate", head="makes", flat="mean low high n=replications")
    adds = Column("adds", "change", head="a place adds", flat=BESIDE, faces=("mean", "interval"))
    curve = Table.of(
        "curve",
        (Column("buffer"), Column("places"), Column("now", head=""), Column("split"), *_MEASURE, level, adds,
         Column("verdict", head="")),
        [{"buffer": point.buffer, "places": point.places, "split": split_text(point.split),
          "now": "now" if point.buffer and point.split == bench.present else "", "measure": bench.measure,
          "level": point.level, "adds": point.step and point.step.each,
          "verdict": point.step.verdict if point.step else ""} for point in found.points],
        "What the line makes with so many places at a buffer.", keys=("buffer", "places"),
    )  # fmt: skip
    gain = Column(
        "gain", "change", flat="mean=gain low high n=replications correlation saving method comparisons"
    )
    per_place = Column(
        "per_place", "change", flat="mean=gain_per_place low=per_place_low high=per_place_high n=per_place_n"
    )
    steps = Table.of(
        "steps",
        (Column("buffer"), Column("from_places"), Column("to_places"), Column("places_added", "count"),
         *_MEASURE, gain, per_place, Column("verdict")),
        [{"buffer": step.buffer, "from_places": step.start, "to_places": step.end, "verdict": step.verdict,
          "places_added": step.places, "measure": bench.measure, "gain": step.gain,
          "per_place": step.per_place} for step in found.steps],
        "What places add, paired over common draws.", keys=("buffer", "from_places", "to_places"),
    )  # fmt: skip
    return SplitFound(
        BufferSentences(bench).curves(found, matters, worth), (curve, steps),
        tuple(_curve_parts(bench, curve, steps)), worth,
        {f"{buffer}: {n} places": split for (buffer, n), split in built.items()}, found.numbers,
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


def _split(bench: SplitBench, asked: BuffersQuestion, total: int, matters: float, count: int) -> SplitFound:
    """Return the best split of a number of places, told from replications that took no part in the choice."""
    best = SplitSearch(bench).best(
        total, matters=matters, error=1 - asked.confidence, every=asked.every,
        most=asked.max_replications or max(MOST, count),
    )  # fmt: skip
    numbers, present = bench.further(count), bench.present
    bench.ask([best.split, present], numbers)
    makes, gain, worth = bench.level(best.split, numbers), None, {}
    rows = [{"split": split_text(best.split), "fate": "best", "makes": makes}]
    if best.split != present:
        gain = bench.gain(present, best.split, numbers)
        rows.append({"split": split_text(present), "fate": PRESENT, "makes": bench.level(present, numbers)})
        worth = bench.money({split_text(best.split): best.split}, numbers)
    columns = (
        Column("split"), Column("fate", head=""), *_MEASURE,
        Column("makes", "estimate", flat="mean low high n=replications method"),
        Column("gain", "change", head="more than now", flat=BESIDE_CHANGE),
    )  # fmt: skip
    says = f"The best split against the present places, over {len(numbers)} further replications."
    told = Table.of(
        "best", columns,
        [{**row, "measure": bench.measure, "gain": gain if row is rows[0] else None} for row in rows], says,
    )  # fmt: skip
    say = BufferSentences(bench)
    compared = _splits_table(bench, best, len(numbers), say.least(matters))
    buffers = ", ".join(gap.buffer for gap in bench.gaps)
    view = View(
        "splits", f"Splits compared, places in line order: {buffers}",
        compared.pick("split", "makes", "fate"), most=MOST_SPLITS, note=compared.says,
    )  # fmt: skip
    page = View("best", says.removesuffix("."), told.pick("split", "fate", "makes", "gain"), only_page=True)
    sentences = say.split(best, makes, gain, worth.get(split_text(best.split), {}))
    choices = {bench.in_words(best.split): best.split}
    return SplitFound(sentences, (compared, told), (page, view), worth, choices, numbers)


def _splits_table(bench: SplitBench, best: BestSplit, further: int, matters: str) -> Table:
    """Return the splits that the last decision was between, the one that made the most first."""
    choice = best.choice
    rows: list[tuple[float, dict[str, Value]]] = []
    for i, split in enumerate(best.candidates):
        dropped, fate = choice.dropped_after[i], "not better"
        made = Estimate(0.0, unit=bench.unit)
        if bench.is_stuck(split):
            fate = "stuck"
        else:
            last = dropped or choice.used
            seen = bench.runs.numbers_of(bench.name(split))
            used = [number for number in seen if number <= last or not choice.used]
            found = mean_interval(bench.value(split, used))
            made = Estimate.of(found, bench.unit, currency=bench.currency)
            if choice.is_made:
                fate = "chosen" if i == choice.best else "level" if i in choice.level else fate
            elif i in choice.left:
                fate = "can't tell"
        row: dict[str, Value] = {"split": split_text(split), "measure": bench.measure, "makes": made}
        rows.append((-(made.mean or 0.0), {**row, "fate": fate, "dropped_after": dropped}))
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
    return Table.of("splits", columns, [row for _, row in sorted(rows, key=lambda one: one[0])], says)


def _fewest(bench: SplitBench, share: float, count: int) -> SplitFound:
    """Return the fewest places that reach a share of what endless buffers would give."""
    found = SplitSearch(bench).fewest(share, count, bench.confidence)
    named = {
        "fewest": found.enough, "one less": found.one_less, "surely": found.sure, "present": found.present
    }  # fmt: skip
    rows = [
        {"places": one.total, "split": split_text(one.split), "what": what, "share": one.share,
         "verdict": one.verdict}
        for what, one in named.items()
        if one is not None
    ]  # fmt: skip
    columns = (
        Column("places", "count"), Column("split"), Column("what", head=""),
        Column("share", "estimate", head="of endless ones, %", unit="share",
               flat="mean=share_of_ceiling low high n=replications"),
        Column("verdict", head=""),
    )  # fmt: skip
    says = f"Shares of what endless buffers give; {share:g} was asked for."
    table = Table.of("fewest", columns, rows, says, keys=("what",))
    buffers = ", ".join(gap.buffer for gap in bench.gaps)
    view = View("fewest", f"Share of what endless buffers give; splits in line order: {buffers}", columns)
    others = {one.split for one in named.values() if one is not None} - {bench.present}
    worth = bench.money({split_text(split): split for split in sorted(others)}, found.numbers)
    enough = found.enough.split
    return SplitFound(
        BufferSentences(bench).fewest(found, worth.get(split_text(enough), {})), (table,), (view,), worth,
        {bench.in_words(enough): enough}, found.numbers,
    )  # fmt: skip
