"""`warmup`: Welch's moving average and MSER-5, and what the file's own warm-up leaves of the start."""

from __future__ import annotations

from collections.abc import Mapping
from math import ceil
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

import numpy as np

from linesim.answers.document import Chart, Document, View
from linesim.answers.table import Column, Table
from linesim.answers.wording import count_of
from linesim.errors import WrongQuestionError
from linesim.measures.output import TICKS_PER_HOUR, shift_ticks
from linesim.plan.build import build
from linesim.plan.tables import FloatArray
from linesim.questions.warmup import Warmup
from linesim.questions.warmup.sentences import cautions, in_shifts, sentences
from linesim.questions.warmup.series import (
    DECIDING,
    FINISHED_WITHIN,
    INSIDE_WITHIN,
    NOTES,
    SERIES,
    SeriesCut,
    StartBias,
    WorkingHours,
    bias_of,
    cut_of,
    interval_ticks,
    suggestion,
)
from linesim.runs.cases import Case, run_cases
from linesim.stats import joint_confidence, welch_average

if TYPE_CHECKING:
    from linesim.scenario import Scenario

BASE = "as it is"
LINES = 24  #: Lines of the moving average that are listed.
_WITHIN = MappingProxyType({"finished": FINISHED_WITHIN, "inside": INSIDE_WITHIN})
_SMOOTHED = 20  #: The moving average reaches over a twentieth of the run to each side.


def study(asked: Warmup, scenario: Scenario) -> Document:
    """Return where the start of a run stops mattering.

    The run is looked at from its very first moment, what the scenario leaves out as warm-up included,
    in intervals of working time (a sixteenth of a shift, or five takts if that is longer): finished
    jobs and jobs inside, which decide, and how much the sections stand. MSER-5 is taken on the mean
    over replications and, to show how far luck moves it, on each alone. Whether the file's own warm-up is
    enough is told apart from that, by what the figure with it differs from the figure of the second half of
    what is measured, paired within replications; both series hold together with the confidence asked for.

    Raises:
        WrongQuestionError: If the run is shorter than 20 takts, or the window is too wide.

    Notes:
        P. D. Welch in The Computer Performance Modeling Handbook (1983) 268-328; K. P. White, M. J. Cobb
        and S. C. Spratt, Winter Simulation Conference 2000, 755-760.
    """
    plan = build(scenario)
    hours = WorkingHours(plan)
    interval = interval_ticks(plan, hours)
    n = hours.total // interval
    window = max(1, n // _SMOOTHED) if asked.window is None else asked.window
    if window >= n / 2:
        raise WrongQuestionError(
            f"a window of {window} is too wide for {n} intervals; take less than half of them."
        )
    case = Case(BASE, scenario, notes=NOTES)
    runs = run_cases([case], replications=asked.replications, seed=asked.seed, **asked.how)
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
    each = joint_confidence(asked.confidence, len(DECIDING))
    biases = {
        name: bias
        for name, unit, _ in SERIES
        if name in DECIDING and (bias := bias_of(by_name[name], first, cycle, unit, each, _WITHIN[name]))
    }
    of_cuts = _cuts_table(cuts, interval)
    average = _average_table(by_name, interval, window, chosen)
    return Document(
        study="warmup",
        sentences=sentences(plan, deciding, biases, interval, n, leaves, line),
        tables_=(of_cuts, _bias_table(biases, interval), average),
        parts=_parts(of_cuts, average, window, interval),
        cautions=cautions(len(found)),
        card=runs.card(asked.confidence, file=asked.file),
        asked=asked.echo(),
        is_refusal=chosen is None,
    )


def _parts(cuts: Table, average: Table, window: int, interval: int) -> tuple[View, Chart]:
    """Return where each series has settled, and the moving averages."""
    shown = ("series", "decides", "cut_h", "alone_low_h", "alone_high_h", "alone_refused", "kept_mean")
    where = View(
        "cuts", "Where each series has settled, hours of working time",
        tuple(column for column in cuts.columns if column.name in shown),
        note="A dash: refused, still on the way in the last half. What does not decide is too restless.",
    )  # fmt: skip
    n = sum(value is not None for value in average.column("inside_smoothed"))
    view = View(
        "moving_average",
        f"Welch's moving average, {count_of(window, 'interval')} of {interval / TICKS_PER_HOUR * 60:g} min "
        "to each side",
        tuple(c for c in average.columns if c.name in ("start_h", "kept") or c.name.endswith("_smoothed")),
        tuple(sorted({round(k * (n - 1) / (LINES - 1)) for k in range(LINES)})),
        bars="inside_smoothed",
        note="The bars show the jobs inside.",
    )
    says = (
        "One drawing a figure: the thin line is the mean over replications, the thick one smooths it, and "
        "the broken upright line is where the run should be cut. What lies before it is warm-up."
    )
    return where, Chart("averages", "averages", says, view, "inside_smoothed", "{start_h}")


def _bias_table(biases: Mapping[str, StartBias], interval: int) -> Table:
    columns = (
        Column("series"), Column("unit"), Column("warm_up_h", "number"), Column("late_h", "number"),
        Column("bias", "change", flat="after=mean before=late_mean mean=bias low high confidence"),
        Column("verdict"),
    )  # fmt: skip
    rows = (
        {"series": name, "unit": found.bias.unit, "warm_up_h": _hours(found.first, interval),
         "late_h": _hours(found.late, interval), "bias": found.bias, "verdict": found.verdict}
        for name, found in biases.items()
    )  # fmt: skip
    says = "What the file's own warm-up shows, against a long one over the same draws; hours of working time."
    return Table.of("bias", columns, rows, says)


def _cuts_table(cuts: Mapping[str, SeriesCut], interval: int) -> Table:
    columns = (
        Column("series"), Column("unit"), Column("decides"), Column("cut_h", "number", "MSER-5"),
        Column("candidate_h", "number"), Column("refused"), Column("alone_low_h", "number", "alone from"),
        Column("alone_high_h", "number", "to"), Column("alone_refused", "count", "refused alone"),
        Column("whole_mean", "number"), Column("kept_mean", "number", "mean, kept"),
    )  # fmt: skip
    rows = (
        {"series": name, "unit": unit, "decides": _yes(name in DECIDING), "refused": _yes(cut.cut is None),
         "cut_h": _hours(cut.cut, interval), "candidate_h": _hours(cut.candidate, interval),
         "alone_low_h": _hours(cut.alone_low, interval), "alone_high_h": _hours(cut.alone_high, interval),
         "alone_refused": cut.alone_refused, "whole_mean": cut.whole_mean, "kept_mean": cut.kept_mean}
        for (name, unit, _), cut in zip(SERIES, cuts.values(), strict=True)
    )  # fmt: skip
    return Table.of("cuts", columns, rows, "MSER-5 of each series, in hours of working time.")


def _average_table(
    by_name: Mapping[str, FloatArray], interval: int, window: int, chosen: int | None
) -> Table:
    """Return each interval with mean and moving average of every series."""
    columns = [Column("interval", "count"), Column("start_h", "number", "from hour"), Column("kept")]
    values: list[dict[str, Any]] = [
        {"interval": k + 1, "start_h": _hours(k, interval),
         "kept": "" if chosen is None else _yes(k >= chosen)}
        for k in range(next(iter(by_name.values())).shape[1])
    ]  # fmt: skip
    for name, unit, _ in SERIES:
        head = f"{name}, {unit}"
        columns += [Column(name, "number", head), Column(f"{name}_smoothed", "number", head)]
        smooth = welch_average(list(by_name[name]), window).tolist()
        for k, (row, mean) in enumerate(zip(values, by_name[name].mean(axis=0).tolist(), strict=True)):
            row |= {name: mean, f"{name}_smoothed": smooth[k] if k < len(smooth) else None}
    return Table.of(
        "moving_average", columns, values,
        f"Mean over replications, and Welch's moving average over {window} intervals to each side.",
    )  # fmt: skip


def _hours(intervals: int | None, interval: int) -> float | None:
    return None if intervals is None else intervals * interval / TICKS_PER_HOUR


def _yes(is_so: bool) -> str:
    return "yes" if is_so else "no"
