"""The arguments by which every study is told how to run its replications."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, TypedDict

if TYPE_CHECKING:
    from linesim.answers.card import Goal
    from linesim.runs.replicate import Progress
    from linesim.runs.store import Store


class How(TypedDict, total=False):
    """How replications are run. A study takes these as ``**how`` and hands them to `run_cases`.

    No figure depends on them; ``goal`` alone decides something, how many replications there are.

    Attributes:
        workers: How many replications run at a time: in threads by machine code, else in processes.
        store: Where finished replications are kept and looked up.
        cluster: Address of a scheduler that shares the work among machines; ``workers`` is not used then.
        progress: Told how many replications are done and of how many, over all cases.
        notice: Told what a user should hear while the work goes on, such as a replication given up.
        goal: Run as many replications as a figure needs in every case, instead of a number of them.
        only_cost: Run nothing; raise `CostOnly` as soon as something would be run.
        drive: ``simpy`` or ``compiled``; None takes the compiled drive where numba is installed.
    """

    workers: int
    store: Store | None
    cluster: str | None
    progress: Progress | None
    notice: Callable[[str], None] | None
    goal: Goal | None
    only_cost: bool
    drive: str | None
