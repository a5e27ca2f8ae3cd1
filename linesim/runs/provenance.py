"""What a result says of where it comes from: versions, warnings, and no clock, host or number of workers."""

from __future__ import annotations

import platform
from collections.abc import Sequence
from importlib.metadata import PackageNotFoundError, version
from typing import TYPE_CHECKING

from linesim import __version__
from linesim.answers.card import StudyCard

if TYPE_CHECKING:
    from linesim.scenario import Scenario

#: Libraries whose version can move a digit.
THAT_MATTER = ("numpy", "scipy", "simpy")
MOST_WARNED = 8  #: Cases whose warnings are looked for; those of a large design are points of one line.
#: Warnings that bear on no figure.
_NO_FIGURE = frozenset({"no-question", "few-replications"})


def versions() -> dict[str, str]:
    """Return the versions of linesim, Python and the libraries that can move a digit."""
    found = {"linesim": __version__, "python": platform.python_version()}
    for name in THAT_MATTER:
        try:
            found[name] = version(name)
        except PackageNotFoundError:
            found[name] = "not installed"
    return found


def card_without_runs(title: str, file: str = "", seed: int = 0, confidence: float = 0.95) -> StudyCard:
    """Return where an answer comes from that no replications of a case stand behind."""
    return StudyCard(title, file, seed, confidence, cases=(), lost=(), versions=tuple(versions().items()))


def warnings_on(scenarios: Sequence[Scenario]) -> tuple[str, ...]:
    """Return what `check` warns of in these lines and bears on their figures, each once."""
    from linesim.scenario import warnings_of

    found = {
        f"{warning.place}: {warning.message}" if warning.place else warning.message: None
        for scenario in scenarios[:MOST_WARNED]
        for warning in warnings_of(scenario)
        if warning.code not in _NO_FIGURE
    }
    return tuple(found)
