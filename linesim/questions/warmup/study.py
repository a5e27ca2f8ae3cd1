"""`warmup`: Welch's moving average and MSER-5, and what the file's own warm-up leaves of the start."""

from __future__ import annotations

import math
from collections.abc import Mapping
from math import ceil
from types import MappingProxyType
from typing import Any

import numpy as np

from linesim.answers.document import Chart, Document, View
from linesim.answers.table import Column, Table
from linesim.answers.wording import change_by_sides, count_of, level_text, listed
from linesim.errors import WrongQuestionError
from linesim.measures.output import TICKS_PER_HOUR
from linesim.plan.build import build
from linesim.plan.plan import Plan
from linesim.plan.tables import FloatArray
from linesim.questions.cautions import FEW
from linesim.questions.warmup import Warmup
from linesim.questions.warmup.cuts import (
    FINISHED_WITHIN,
    INSIDE_WITHIN,
    SeriesCut,
    StartBias,
    bias_of,
    cut_of,
    suggestion,
)
from linesim.questions.warmup.series import DECIDING, NOTES, SERIES, WorkingHours, interval_ticks, said_of
from linesim.runs.cases import Case
from linesim.scenario import Scenario
from linesim.stats.comparisons import joint_confidence
from linesim.stats.precision import welch_average


def _sentences(
    plan: Plan,
    cuts: Mapping[str, SeriesCut],
    biases: Mapping[str, StartBias],
    interval: int,
    n: int,
    leaves: int | None,
    line: str,
) -> tuple[str, ...]:
    """Return the suggestion or the refusal, and whether what the file leaves out now is enough."""
    late = [said_of(name) for name, cut in cuts.items() if cut.cut is None]
    said = [
        f"No suggestion: {listed(late)} are still on the way in the last half of the run. Make run.length "
        "at least twice as long and look again; to cut there would be to guess."
        if leaves is None
        else _suggestion(cuts, interval, line)
    ]
    said += [_now(biases, interval), *(_bias(name, bias) for name, bias in biases.items())]
    now, whole = plan.run.warm_up, plan.run.warm_up + plan.run.length
    if now > whole / 2:
        said.append(
            f"The file leaves out {_long(now)} of the clock's {_long(whole)}, more than half of the run: "
            "make run.length longer."
        )
    said.append(
        f"Looked at: {n} intervals of {_long(interval)} of working time, from the first moment on, the "
        "file's own warm-up included."
    )
    return tuple(text for text in said if text)


def cautions(replications: int) -> tuple[str, ...]:
    """Return what to know before a start is cut off, or left in.

    Args:
        replications: How many the mean is taken over.
    """
    if replications >= FEW:
        return ()
    return (
        f"{count_of(replications, 'replication')} leave much to luck; {FEW} or more tell better. Too "
        "long a warm-up costs only computing time, too short a one bends every figure.",
    )


def in_shifts(plan: Plan, clock: int) -> str:
    """Return a clock time rounded up to whole shifts, as text of a duration.

    Whole shifts, so that what is measured begins with a shift as the plant's own figures do.
    """
    shifts = math.ceil(clock / plan.run.shift - 1e-9)
    return f"{shifts} shift{'' if shifts == 1 else 's'}"


def _suggestion(cuts: Mapping[str, SeriesCut], interval: int, line: str) -> str:
    longest = max(cut.cut or 0 for cut in cuts.values())
    if not longest:
        return f"MSER-5 finds no start that differs from the rest: it would leave out nothing ({line})."
    last = [said_of(name) for name, cut in cuts.items() if cut.cut == longest]
    alone = _alone(cuts, interval)
    return (
        f"MSER-5 would leave out {_long(longest * interval)} of working time, {listed(last)} being last to "
        f"settle, in whole shifts {line}{alone}."
    )


def _alone(cuts: Mapping[str, SeriesCut], interval: int) -> str:
    """Return how far single replications disagree on the cut; empty if they do not."""
    lows = [cut.alone_low for cut in cuts.values() if cut.alone_low is not None]
    highs = [cut.alone_high for cut in cuts.values() if cut.alone_high is not None]
    if not highs or min(lows) >= max(highs):
        return ""
    return (
        f"; single replications would cut from {_long(min(lows) * interval)} to "
        f"{_long(max(highs) * interval)}"
    )


def _now(biases: Mapping[str, StartBias], interval: int) -> str:
    """Return whether the file's own warm-up is enough."""
    if not biases:
        return "What the file measures is too short to halve: whether its warm-up is enough, nothing tells."
    first, late = next((bias.first, bias.late) for bias in biases.values())
    now = "Leaving nothing out, as the file does,"
    if first:
        now = f"The file's own warm-up, {_long(first * interval)} of working time,"
    against = f"the run from {_long(late * interval)} on"
    verdicts = {bias.verdict for bias in biases.values()}
    if "too little" in verdicts:
        return f"{now} is too little: against {against}, the start still bends the figures."
    if verdicts == {"enough"}:
        return f"{now} is enough: against {against}, the start moves nothing that matters."
    return f"Whether {now[0].lower()}{now[1:]} is enough the data can't tell, against {against}."


def _bias(name: str, bias: StartBias) -> str:
    """Return what the start still does to a figure, with its interval."""
    found = bias.bias
    per_hour = " an hour" if name == "finished" else ""
    shown = f"{level_text(found.after, found)} {said_of(name)}{per_hour} are shown"
    if found.low is None:
        return f"{shown}, {level_text(found.before, found)} later on; one replication has no interval."
    if found.verdict == "the same":
        return f"{shown}, and as many later on in every replication."
    text = f"{shown}, {change_by_sides(found, 'too many', 'too few')}"
    if bias.verdict == "enough":
        text += f", which is within {100 * bias.within:g} %"
    return f"{text}."


def _long(ticks: int) -> str:
    hours = ticks / TICKS_PER_HOUR
    return f"{hours:.3g} h" if hours >= 1 else f"{60 * hours:.4g} min"


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
    runs = asked.run([case])
    found = [replication.values for replication in runs.found[BASE].finished]
    tables = np.array(found, dtype=np.float64).reshape(len(found), len(SERIES), n)
    by_name = {name: tables[:, k, :] for k, (name, _, _) in enumerate(SERIES)}
    cuts = {name: cut_of(name, table) for name, table in by_name.items()}
    deciding = {name: cut for name, cut in cuts.items() if name in DECIDING}
    chosen = suggestion(deciding)
    leaves = None if chosen is None else hours.clock(chosen * interval)
    line = "" if leaves is None else f'run.warm_up = "{in_shifts(plan, leaves)}"'
    first = ceil(int(hours.worked(np.array([plan.run.warm_up]))[0]) / interval)
    cycle = hours.cycle(interval, int(plan.shift_ticks), n - first)
    each = joint_confidence(asked.confidence, len(DECIDING))
    biases = {
        name: bias
        for name, unit, _ in SERIES
        if name in DECIDING and (bias := bias_of(by_name[name], first, cycle, unit, each, _WITHIN[name]))
    }
    of_cuts = _cuts_table(cuts, interval)
    average = _average_table(by_name, interval, window, chosen)
    return asked.told(
        asked.card(runs),
        _sentences(plan, deciding, biases, interval, n, leaves, line),
        (of_cuts, _bias_table(biases, interval), average),
        _parts(of_cuts, average, window, interval),
        cautions(len(found)),
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
