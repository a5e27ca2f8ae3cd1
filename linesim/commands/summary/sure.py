"""How sure is this?"""

from __future__ import annotations

from linesim.commands.page import Page
from linesim.measures import DEFINITIONS, GLOSSARY
from linesim.plan.plan import Plan
from linesim.studies.figures import count_of, number
from linesim.studies.result import Result

FEW = 10  #: Below so many replications an interval rests on little.
CAUTION = (
    "A planning estimate: as good as the times, chances and rules it was given. It is no proof that people "
    "can keep the pace, and no safety, ergonomics or acceptance assessment."
)


def sure(page: Page, plan: Plan, result: Result) -> None:
    """Write what the figures rest on, what the words mean, and a caution."""
    run, n = result.run, len(result.run.numbers)
    page.heading("How sure is this?")
    length = f"{number(run.length_s / 3600, 1)} h each after {number(run.warm_up_s / 3600, 1)} h of warm-up"
    shifts = sum(len(replication.shifts) for replication in result.replications)
    page.say(
        f"{count_of(n, 'replication')} of {length}, seed {run.seed}; "
        f"{count_of(shifts, 'whole shift')} in all.",
        indent=2,
    )
    page.say(_precision(result), indent=2)
    if run.lost:
        page.say(
            f"Replications {', '.join(map(str, run.lost))} are missing: their worker process died each time.",
            indent=2,
        )
    page.say(
        "The interval says how far luck can move a mean, not how wrong an input may be; the range of a "
        "single shift is wider.",
        indent=2,
    )
    page.gap()
    words = [f"{word}: {says}" for word, says in GLOSSARY.items()]
    stop = DEFINITIONS["line_stop"].says.partition(";")[0]
    page.say("; ".join([*words, f"line stop: {_lower(stop)}"]) + ".", indent=2)
    page.gap()
    page.say(CAUTION, indent=2)
    page.say(f"{result.scenario.file or 'scenario'} {result.scenario.fingerprint[:12]}", indent=2)


def _precision(result: Result) -> str:
    run, n = result.run, len(result.run.numbers)
    if n < 2:
        return (
            "One replication has no interval: it says what can happen, not what to expect. Run at least 10."
        )
    row = result.row("jobs_per_shift" if result.row("jobs_per_shift").mean else "throughput")
    said = f"Ranges in brackets hold the true mean with {run.confidence * 100:g} % confidence (Student's t)"
    if row.half_width == 0:
        said += "; output is the same in every replication"
    elif row.mean and row.half_width is not None:
        said += f"; output is known to ±{number(100 * row.half_width / row.mean, 2)} %"
    if n < FEW:
        said += f". {n} replications are few: take at least {FEW} before deciding anything"
    return said + "."


def _lower(text: str) -> str:
    return text[0].lower() + text[1:].removesuffix(".")
