"""Cases: variants of a line that see the same draws, and what their replications say of each other."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING

from linesim.runs.case_runs import Case, CaseRuns, FloatArray
from linesim.runs.cost import CostOnly
from linesim.runs.replicate import Progress
from linesim.runs.runner import Means

if TYPE_CHECKING:
    from linesim.answers.card import Goal
    from linesim.runs.store import Store

__all__ = ["Case", "CaseRuns", "FloatArray", "run_cases"]


def run_cases(
    cases: Iterable[Case],
    *,
    replications: int | None = None,
    usual: int | None = None,
    numbers: Iterable[int] | None = None,
    seed: int | None = None,
    workers: int = 1,
    store: Store | None = None,
    cluster: str | None = None,
    progress: Progress | None = None,
    notice: Callable[[str], None] | None = None,
    goal: Goal | None = None,
    only_cost: bool = False,
    drive: str | None = None,
) -> CaseRuns:
    """Run the same replications of every case, with the same draws.

    Replication r of two cases sees the same jobs doing the same work; only what the cases differ
    in differs. Cases of the same content are run once.

    Args:
        cases: The variants, each with its own name; the first is the base, which gives the title, the
            seed and the number of replications where the arguments do not.
        replications: How many of each case, counted from 1; None takes what the base says.
        usual: Most replications to take from what the base says, for studies that need few.
        numbers: Run exactly these replications instead.
        seed: Seed of all draws; None takes what the base says.
        workers: How many replications run at a time; no figure depends on it.
        store: Where finished replications are kept and looked up.
        cluster: Address of a scheduler that shares the work among machines; ``workers`` is not used then.
        progress: Told how many replications are done and of how many, over all cases.
        notice: Told what a user should hear while the work goes on, such as a replication given up.
        goal: Run as many replications as this figure needs to be sharp in every case, instead of
            ``replications``; how it became so stands in `CaseRuns.convergences`.
        only_cost: Run nothing.
        drive: ``simpy`` or ``compiled``; None takes the compiled drive where numba is installed.

    Raises:
        CostOnly: If only the cost was asked for.
        LineStuck: If the line of a case can no longer move; a note names case and replication.
        LinesimError: If no replication of a case survives its worker process.
        ValueError: If an argument is outside its limits, or two cases have the same name.
    """
    listed = tuple(cases)
    if not listed:
        raise ValueError("cases must hold at least one case")
    if replications is not None and replications < 1:
        raise ValueError(f"replications must be >= 1, got {replications}")
    if goal is not None and (replications is not None or numbers is not None):
        raise ValueError("a goal finds the number of replications; give either it or their number")
    run = listed[0].scenario.run
    means = Means(workers, store, cluster, progress, notice, only_cost, drive)
    empty = CaseRuns((), run.seed if seed is None else seed, {}, means)
    if goal is not None:
        return _until_precise(empty, listed, goal)
    count = min(run.replications, usual or run.replications) if replications is None else replications
    return empty.add(listed, range(1, count + 1) if numbers is None else numbers)


def _until_precise(empty: CaseRuns, cases: tuple[Case, ...], goal: Goal) -> CaseRuns:
    from linesim.answers.card import AT_LEAST
    from linesim.runs.precise import run_until_precise

    if not empty.means.only_cost:
        return run_until_precise(empty.add(cases, range(1, AT_LEAST + 1)), goal)
    try:
        return empty.add(cases, range(1, goal.cap + 1))
    except CostOnly as found:
        raise CostOnly(found.cost.between(AT_LEAST * len(cases), found.cost.replications)) from None
