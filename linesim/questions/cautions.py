"""What to know before acting on an answer: how sure it is, and what to look into first."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from linesim.answers.wording import count_of, number
from linesim.runs.result import Result
from linesim.scenario.origins import Place
from linesim.scenario.toml import key


class _Subject(NamedTuple):
    says: str
    look_into: str


_PACE = _Subject(
    "The pace of work changes",
    "how often loads are handled and in which postures (ISO 11228-3, EN 1005-5, ISO 11226) and what the pace "
    "asks of the people (ISO 6385, ISO 10075)",
)
_PEOPLE = _Subject(
    "Who does how much work changes",
    "the work system and the load on its people (ISO 6385, ISO 10075), lifting and carrying "
    "(ISO 11228-1, -2), and assess the change before it is made (ISO 45001)",
)
_ROBOTS = _Subject(
    "Robots or what they do change",
    "the risks of the machinery and its safeguards anew (ISO 12100, ISO 10218-1 and -2, ISO 13849-1, "
    "ISO 13855, ISO 13850)",
)

_MIX = _Subject(
    "What is built changes, and who has how much to do with it",
    "the load of the heavier jobs on the people who get them (ISO 6385, ISO 10075), lifting and carrying "
    "(ISO 11228-1, -2)",
)

_AT_PACE = frozenset(
    {"takt", "transfer", "pacing", "walk", "walk_speed", "travel", "early", "late", "breaks"}
)
_OF_PEOPLE = frozenset({"people", "covers", "floater", "crew", "zone", "at"})
_OF_ROBOTS = frozenset({"robot"})
_OF_MIX = frozenset({"model", "option", "orders"})
_MOST_NAMED = 3


def cautions_on(paths: Iterable[Place]) -> tuple[str, ...]:
    """Return what to look into where these inputs of a scenario change.

    Names the subjects of the standards, never says that one is met: the program checks none of them.

    Args:
        paths: Places of the inputs that change.

    Examples:
        >>> cautions_on([("buffer", "lane", "capacity")])
        ()
        >>> print(cautions_on([("crew", "cab", "people")])[0][:61])
        Who does how much work changes (crew.cab.people): look into t
    """
    by_subject: dict[_Subject, list[str]] = {}
    for path in paths:
        if subject := _subject(path):
            by_subject.setdefault(subject, []).append(key(path))
    return tuple(
        f"{subject.says} ({_named(by_subject[subject])}): look into {subject.look_into}. No figure here says "
        "that it is safe."
        for subject in (_PACE, _PEOPLE, _ROBOTS, _MIX)
        if subject in by_subject
    )


def _subject(path: Place) -> _Subject | None:
    fields = frozenset(path[::2])  # between them stand names: station, K1, task, bolt-cab, people
    if fields & _OF_ROBOTS:
        return _ROBOTS
    if fields & _AT_PACE:
        return _PACE
    if fields & _OF_PEOPLE:
        return _PEOPLE
    return _MIX if fields & _OF_MIX else None


def _named(names: list[str]) -> str:
    kept = list(dict.fromkeys(names))
    more = len(kept) - _MOST_NAMED
    return ", ".join(kept[:_MOST_NAMED]) + (f" and {more} more" if more > 0 else "")


FEW = 10  #: Below so many replications an interval rests on little.
CAUTION = (
    "A planning estimate: as good as the times, chances and rules it was given. It is no proof that people "
    "can keep the pace, and no safety, ergonomics or acceptance assessment."
)
LUCK_ALONE = (
    "The interval says how far luck can move a mean, not how wrong an input may be; the range of a single "
    "shift is wider."
)


def rests_on(result: Result) -> str:
    """Return what the figures rest on, as a sentence."""
    run = result.run
    length = f"{run.length_s / 3600:.4g} h on the clock, each after {run.warm_up_s / 3600:.4g} h of warm-up"
    shifts = sum(len(replication.shifts) for replication in result.replications)
    return (
        f"{count_of(len(run.numbers), 'replication')} of {length}, seed {run.seed}; "
        f"{count_of(shifts, 'whole shift')} in all."
    )


def precision_in_words(result: Result) -> str:
    """Return how well output is known, as a sentence."""
    run, n = result.run, len(result.run.numbers)
    if n < 2:
        return (
            "One replication has no interval: it says what can happen, not what to expect. Run at least 10."
        )
    row = result.row("jobs_per_shift" if result.row("jobs_per_shift").mean else "throughput")
    said = f"Ranges in brackets hold the true mean with {run.confidence * 100:g} % confidence"
    if row.half_width == 0:
        said += "; output is the same in every replication"
    elif row.mean and row.half_width is not None:
        said += f"; output is known to ±{number(100 * row.half_width / row.mean, 2)} %"
    if n < FEW:
        said += f". {n} replications are few: take at least {FEW} before deciding anything"
    return said + "."


def lost_in_words(result: Result) -> str:
    """Return which replications are missing, as a sentence; empty if none is."""
    if not result.run.lost:
        return ""
    numbers = ", ".join(map(str, result.run.lost))
    return f"Replications {numbers} are missing: their worker process died each time."


def few_compared(replications: int) -> tuple[str, ...]:
    """Return that a study with many comparisons has few replications; empty if it has enough, or just one."""
    if not 1 < replications < FEW:
        return ()
    return (
        f"{replications} replications are few where so many comparisons hold together: their intervals are "
        f"wide for that reason alone, and {FEW} or more tell much more.",
    )


def sharpness_in_words(result: Result) -> str:
    """Return whether the wanted precision was reached, as a sentence; empty if none was asked for."""
    if result.convergence is None:
        return ""
    said = result.convergence.sentence
    return said[0].upper() + said[1:]
