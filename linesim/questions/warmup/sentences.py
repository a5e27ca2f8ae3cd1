"""What the start of a run says in plain sentences."""

from __future__ import annotations

import math
from collections.abc import Mapping

from linesim.answers.wording import change_by_sides, count_of, level_text, listed
from linesim.measures.output import TICKS_PER_HOUR
from linesim.plan.plan import Plan
from linesim.questions.cautions import FEW
from linesim.questions.warmup.series import SeriesCut, StartBias, said_of


def sentences(
    plan: Plan,
    cuts: Mapping[str, SeriesCut],
    biases: Mapping[str, StartBias],
    interval: int,
    n: int,
    leaves: int | None,
    line: str,
) -> tuple[str, ...]:
    """Return the suggestion or the refusal, and whether what the file leaves out now is enough.

    Args:
        plan: The line.
        cuts: Where each series that decides has settled.
        biases: What the file's own warm-up leaves of the start, by series.
        interval: Length of an interval [ticks of working time].
        n: Number of intervals.
        leaves: Clock time to leave out [ticks]; None if it is refused.
        line: The line of TOML that does it.
    """
    said = [_refusal(cuts) if leaves is None else _suggestion(cuts, interval, line)]
    said += [_now(biases, interval), *(_bias(name, bias) for name, bias in biases.items())]
    now, whole = plan.run.warm_up, plan.run.warm_up + plan.run.length
    if now > whole / 2:
        said.append(
            f"The file leaves out {_hours(now)} of the clock's {_hours(whole)}, more than half of the run: "
            "make run.length longer."
        )
    said.append(
        f"Looked at: {n} intervals of {_hours(interval)} of working time, from the first moment on, the "
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
        f"MSER-5 would leave out {_hours(longest * interval)} of working time, {listed(last)} being last to "
        f"settle, in whole shifts {line}{alone}."
    )


def _alone(cuts: Mapping[str, SeriesCut], interval: int) -> str:
    """Return how far single replications disagree on the cut; empty if they do not."""
    lows = [cut.alone_low for cut in cuts.values() if cut.alone_low is not None]
    highs = [cut.alone_high for cut in cuts.values() if cut.alone_high is not None]
    if not highs or min(lows) >= max(highs):
        return ""
    return (
        f"; single replications would cut from {_hours(min(lows) * interval)} to "
        f"{_hours(max(highs) * interval)}"
    )


def _refusal(cuts: Mapping[str, SeriesCut]) -> str:
    late = [said_of(name) for name, cut in cuts.items() if cut.cut is None]
    return (
        f"No suggestion: {listed(late)} are still on the way in the last half of the run. Make run.length "
        "at least twice as long and look again; to cut there would be to guess."
    )


def _now(biases: Mapping[str, StartBias], interval: int) -> str:
    """Return whether the file's own warm-up is enough."""
    if not biases:
        return "What the file measures is too short to halve: whether its warm-up is enough, nothing tells."
    first, late = next((bias.first, bias.late) for bias in biases.values())
    now = "Leaving nothing out, as the file does,"
    if first:
        now = f"The file's own warm-up, {_hours(first * interval)} of working time,"
    against = f"the run from {_hours(late * interval)} on"
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


def _hours(ticks: int) -> str:
    hours = ticks / TICKS_PER_HOUR
    return f"{hours:.3g} h" if hours >= 1 else f"{60 * hours:.4g} min"
