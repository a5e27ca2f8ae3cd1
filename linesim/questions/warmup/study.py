"""`warmup`: the study."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import ceil
from types import MappingProxyType
from typing import TYPE_CHECKING, Unpack

import numpy as np

from linesim.errors import WrongQuestionError
from linesim.measures.clock import TICKS_PER_HOUR, shift_ticks
from linesim.plan.arrays import FloatArray
from linesim.questions.answer import Answer
from linesim.questions.answer_table import AnswerTable
from linesim.questions.warmup.cuts import (
    FINISHED_WITHIN,
    INSIDE_WITHIN,
    SeriesCut,
    StartBias,
    bias_of,
    cut_of,
    suggestion,
)
from linesim.questions.warmup.hours import WorkingHours, interval_ticks
from linesim.questions.warmup.sentences import cautions, in_shifts, sentences
from linesim.questions.warmup.series import DECIDING, NOTES, SERIES
from linesim.runs.cases import Case, run_cases
from linesim.runs.replication import Label
from linesim.runs.run_options import How
from linesim.stats import joint_confidence, welch_average
from linesim.ticks import seconds

if TYPE_CHECKING:
    from linesim.scenario import Scenario

BASE = "as it is"
_WITHIN = MappingProxyType({"finished": FINISHED_WITHIN, "inside": INSIDE_WITHIN})
_SMOOTHED = 20  #: The moving average reaches over a twentieth of the run to each side.


@dataclass(frozen=True, slots=True)
class WarmUp(Answer):
    """Where the start of a run stops mattering.

    Attributes:
        cuts: Where each series has settled.
        intervals: How many intervals the run has.
        interval_s: Length of each [s of working time].
        window: Intervals on each side of the moving average.
        settled_s: Working time to leave out so that every series has settled [s]; None if it is refused.
        line: The line of TOML that sets it, in whole shifts; empty if it is refused.
        biases: By series that decides, what the file's own warm-up leaves of the start; empty if what is
            measured is too short to halve.
    """

    cuts: tuple[SeriesCut, ...]
    intervals: int
    interval_s: float
    window: int
    settled_s: float | None
    line: str
    biases: Mapping[str, StartBias]

    @property
    def is_refused(self) -> bool:
        """Whether there is no suggestion, because a series has not settled in the first half of the run."""
        return self.settled_s is None


def warmup(
    scenario: Scenario,
    *,
    window: int | None = None,
    replications: int | None = None,
    seed: int | None = None,
    confidence: float = 0.95,
    file: str = "",
    **how: Unpack[How],
) -> WarmUp:
    """Look where the start of a run stops mattering: Welch's moving average and MSER-5.

    The run is looked at from its very first moment, what the scenario leaves out as warm-up included,
    in intervals of working time (a sixteenth of a shift, or five takts if that is longer): finished
    jobs and jobs inside, which decide, and how much the sections stand. MSER-5 is taken on the mean
    over replications and, to show how far luck moves it, on each alone. Whether the file's own warm-up is
    enough is told apart from that, by what the figure with it differs from the figure of the second half of
    what is measured, paired within replications; both series hold together with ``confidence``.

    Args:
        scenario: The line.
        window: Intervals on each side of the moving average; None takes a twentieth of the run.
        replications: How many; None takes what the scenario says.
        seed: Seed of all draws; None takes what the scenario says.
        confidence: With which what is said of the file's own warm-up holds.
        file: Name of the scenario's file, for the answer to carry.
        how: How replications are run, such as ``workers=4``; see `linesim.runs.run_options.How`.

    Raises:
        WrongQuestionError: If the run is shorter than 20 takts, or the window is too wide.
        LineStuck: If the line can no longer move.

    Notes:
        P. D. Welch in The Computer Performance Modeling Handbook (1983) 268-328; K. P. White, M. J. Cobb
        and S. C. Spratt, Winter Simulation Conference 2000, 755-760.
    """
    from linesim.plan.build import build

    plan = build(scenario)
    hours = WorkingHours(plan)
    interval = interval_ticks(plan, hours)
    n = hours.total // interval
    window = max(1, n // _SMOOTHED) if window is None else window
    if not 0 <= window < n / 2:
        raise WrongQuestionError(
            f"a window of {window} is too wide for {n} intervals; take less than half of them."
        )
    case = Case(BASE, scenario, notes=NOTES)
    runs = run_cases([case], replications=replications, seed=seed, **how)
    found = [replication.values for replication in runs.found[BASE].finished]
    tables = np.array(found, dtype=np.float64).reshape(len(found), len(SERIES), n)
    by_name = {name: tables[:, k, :] for k, (name, _, _) in enumerate(SERIES)}
    cuts = {name: cut_of(name, table) for name, table in by_name.items()}
    deciding = {name: cut for name, cut in cuts.items() if name in DECIDING}
    chosen = suggestion(deciding)
    leaves = None if chosen is None else hours.clock(chosen * interval)
    line = "" if leaves is None else f'run.warm_up = "{in_shifts(plan, leaves)}"'
    first = ceil(int(hours.worked(np.array([plan.run.warm_up]))[0]) / interval)
    cycle = hours.cycle(interval, int(shift_ticks(plan)), n - first)
    each = joint_confidence(confidence, len(DECIDING))
    biases = {
        name: bias
        for name, unit, _ in SERIES
        if name in DECIDING
        and (bias := bias_of(by_name[name], first, cycle, Label(name, "", "", unit), each, _WITHIN[name]))
    }
    return WarmUp(
        study="warmup",
        sentences=sentences(plan, deciding, biases, interval, n, leaves, line),
        tables_=(
            _cuts_table(cuts, interval),
            _bias_table(biases, interval),
            _average_table(by_name, interval, window),
        ),
        cautions=cautions(len(found)),
        card=runs.card(confidence, file=file),
        cuts=tuple(cuts.values()),
        intervals=n,
        interval_s=seconds(interval),
        window=window,
        settled_s=None if chosen is None else seconds(chosen * interval),
        line=line,
        biases=biases,
    )


def _bias_table(biases: Mapping[str, StartBias], interval: int) -> AnswerTable:
    columns = (
        "series", "unit", "warm_up_h", "mean", "late_h", "late_mean", "bias", "low", "high", "confidence",
        "verdict",
    )  # fmt: skip

    def hours(intervals: int) -> float:
        return intervals * interval / TICKS_PER_HOUR

    rows = [
        (name, b.mean.unit, hours(b.first), b.mean.mean, hours(b.late), b.late_mean, b.bias.mean, b.bias.low,
         b.bias.high, b.bias.confidence, b.verdict)
        for name, b in biases.items()
    ]  # fmt: skip
    return AnswerTable.of(
        "bias", columns, rows,
        "What the file's own warm-up shows, against a long one over the same draws; hours of working time.",
    )  # fmt: skip


def _cuts_table(cuts: dict[str, SeriesCut], interval: int) -> AnswerTable:
    def hours(intervals: int | None) -> float | None:
        return None if intervals is None else intervals * interval / TICKS_PER_HOUR

    columns = (
        "series", "unit", "decides", "cut_h", "candidate_h", "refused", "alone_low_h", "alone_high_h",
        "alone_refused", "whole_mean", "kept_mean",
    )  # fmt: skip
    rows = []
    for name, unit, _ in SERIES:
        cut = cuts[name]
        rows.append(
            (
                name, unit, _yes(name in DECIDING), hours(cut.cut), hours(cut.candidate),
                _yes(cut.cut is None),
                hours(cut.alone_low), hours(cut.alone_high), cut.alone_refused, cut.whole_mean, cut.kept_mean,
            )
        )  # fmt: skip
    return AnswerTable.of("cuts", columns, rows, "MSER-5 of each series, in hours of working time.")


def _yes(is_so: bool) -> str:
    return "yes" if is_so else "no"


def _average_table(by_name: dict[str, FloatArray], interval: int, window: int) -> AnswerTable:
    rows = []
    for name, unit, _ in SERIES:
        table = by_name[name]
        mean, smooth = table.mean(axis=0), welch_average(list(table), window)
        for k, value in enumerate(mean.tolist()):
            smoothed = float(smooth[k]) if k < len(smooth) else None
            rows.append((name, k + 1, k * interval / TICKS_PER_HOUR, value, smoothed, unit))
    return AnswerTable.of(
        "moving_average",
        ("series", "interval", "start_h", "mean", "smoothed", "unit"),
        rows,
        f"Mean over replications, and Welch's moving average over {window} intervals to each side.",
    )
