"""What to look into before a change is made: a simulated gain clears nobody's health or safety."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

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
