"""The tables behind an answer about buffers."""

from __future__ import annotations

from collections.abc import Sequence

from linesim.questions.answer_table import AnswerTable
from linesim.questions.buffers.bench import SplitBench
from linesim.questions.buffers.curve import Curves
from linesim.questions.buffers.fewest import Fewest
from linesim.questions.buffers.search import BestSplit
from linesim.questions.buffers.splits import Split
from linesim.questions.csv_tables import Cell
from linesim.runs.rows import Row

WHERE = (
    "buffer", "places", "before", "after", "blocked_share", "starved_share", "full_share", "empty_share",
)  # fmt: skip
CURVE = ("buffer", "places", "split", "measure", "unit", "mean", "low", "high", "replications")
STEPS = (
    "buffer", "from_places", "to_places", "places_added", "measure", "unit", "gain", "low", "high",
    "gain_per_place", "per_place_low", "per_place_high", "replications", "correlation", "saving", "method",
    "comparisons", "verdict",
)  # fmt: skip
SPLITS = ("split", "measure", "unit", "mean", "replications", "dropped_after", "fate")
BEST = ("split", "what", "measure", "unit", "mean", "low", "high", "replications", "method")
FEWEST = ("places", "split", "what", "share_of_ceiling", "low", "high", "replications", "verdict")


def where_table(bench: SplitBench) -> AnswerTable:
    """Return how much each buffer is in the way on the line as it is."""
    case = bench.name(bench.present)
    rows: list[tuple[Cell, ...]] = []
    for gap, promise in zip(bench.gaps, bench.promises(bench.present), strict=True):
        full = bench.runs.row(case, "buffer_full", gap.buffer).mean
        empty = bench.runs.row(case, "buffer_empty", gap.buffer).mean
        rows.append(
            (gap.buffer, gap.places, gap.before, gap.after, promise.blocked, promise.starved, full, empty)
        )
    return AnswerTable.of(
        "where", WHERE, rows, "How often the station before has no room, and the one after no job."
    )


def curve_tables(found: Curves) -> tuple[AnswerTable, AnswerTable]:
    """Return the points of the curves, and the steps between them."""
    n = len(found.numbers)
    points = [
        (p.buffer, p.places, split_text(p.split), p.level.measure, p.level.unit, p.level.mean, p.level.low,
         p.level.high, n)
        for p in found.points
    ]  # fmt: skip
    steps: list[tuple[Cell, ...]] = []
    for s in found.steps:
        each = s.per_place
        steps.append(
            (s.buffer, s.start, s.end, s.places, s.gain.measure, s.gain.unit, s.gain.mean, s.gain.low,
             s.gain.high, None if each is None else each.mean, None if each is None else each.low,
             None if each is None else each.high, s.gain.replications, s.correlation, s.saving,
             s.gain.method, found.comparisons, s.verdict)
        )  # fmt: skip
    return (
        AnswerTable.of("curve", CURVE, points, "What the line makes with so many places at a buffer."),
        AnswerTable.of("steps", STEPS, steps, "What places add, paired over common draws."),
    )


def split_tables(
    bench: SplitBench, best: BestSplit, level: Row, gain: Row | None, numbers: Sequence[int]
) -> tuple[AnswerTable, AnswerTable]:
    """Return the splits of the last decision, and the best one against the present one."""
    choice = best.choice
    rows: list[tuple[Cell, ...]] = []
    for i, split in enumerate(best.candidates):
        dropped, name = choice.dropped_after[i], bench.name(split)
        if split in bench.stuck:
            rows.append((split_text(split), bench.figure.measure, level.unit, 0.0, 0, dropped, "stuck"))
            continue
        last = dropped or choice.used
        used = [number for number in bench.runs.numbers_of(name) if number <= last or not choice.used]
        mean = float(bench.runs.values(name, *bench.figure, numbers=used).mean())
        fate = "chosen" if i == choice.best else "level" if i in choice.level else "not better"
        if not choice.is_made and i in choice.left:
            fate = "can't tell"
        rows.append((split_text(split), bench.figure.measure, level.unit, mean, len(used), dropped, fate))
    rows.sort(key=lambda row: -float(row[3] or 0.0))
    told = [_told(best.split, "makes", level)]
    if gain is not None:
        told.append(_told(best.split, f"gain against {split_text(bench.present)}", gain))
    return (
        AnswerTable.of(
            "splits",
            SPLITS,
            rows,
            "The splits that the last decision was between, with what they made while it was taken. Not "
            f"better: surely not by {choice.matters:g}, whatever the means say. What the chosen one makes is "
            f"told from {len(numbers)} further replications that took no part: among means that decide, the "
            "highest is partly luck.",
        ),
        AnswerTable.of("best", BEST, told, f"The best split, over {len(numbers)} further replications."),
    )


def fewest_table(found: Fewest) -> AnswerTable:
    """Return which share of the ceiling the splits told of reach."""
    named = [
        (found.enough, "fewest"), (found.one_less, "one less"), (found.sure, "surely"),
        (found.present, "present"),
    ]  # fmt: skip
    rows = [
        (r.total, split_text(r.split), what, r.share.mean, r.share.low, r.share.high, r.share.n, r.verdict)
        for r, what in named
        if r is not None
    ]
    return AnswerTable.of(
        "fewest", FEWEST, rows, f"Shares of what endless buffers give; {found.share:g} was asked for."
    )


def split_text(split: Split) -> str:
    """Return a split as one cell, in line order."""
    from linesim.questions.buffers.bench import places_in_words

    return "-".join(places_in_words(places) for places in split)


def _told(split: Split, what: str, row: Row) -> tuple[Cell, ...]:
    return (
        split_text(split), what, row.measure, row.unit, row.mean, row.low, row.high, row.replications,
        row.method,
    )  # fmt: skip
