"""What a study simulated, and how; see `linesim.answers.card`."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from linesim.answers.card import CaseCard, StudyCard

if TYPE_CHECKING:
    from linesim.scenario import Scenario

__all__ = ["CaseCard", "StudyCard", "warnings_on"]

MOST_WARNED = 8  #: Cases whose warnings are looked for; those of a large design are points of one line.
#: Warnings that bear on no figure.
_NO_FIGURE = frozenset({"no-question", "few-replications"})


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
