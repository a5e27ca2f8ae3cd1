"""Where faults are made and where they are found."""

from __future__ import annotations

from collections.abc import Iterator

from linesim.ledger.ledger import Ledger
from linesim.measures.value import Value, share
from linesim.plan.plan import Plan
from linesim.plan.tables import AT_ONCE, AT_STATION

NOT_FOUND = "not found"  #: ``cause`` of faults that left the segment unseen


def found_where(plan: Plan, fault: int) -> str:
    """Return the place where a fault is looked for: ``at once``, a station, or a task as ``station.task``."""
    how, at = int(plan.faults.found[fault]), int(plan.faults.found_at[fault])
    if how == AT_ONCE:
        return "at once"
    return plan.names.station[at] if how == AT_STATION else plan.names.task[at]


def faults(plan: Plan, ledger: Ledger) -> Iterator[Value]:
    """Yield faults per hundred jobs, each by itself and as a grid of station made by place found.

    In the grid ``where`` is the station whose work left the fault and ``cause`` the place
    that found it, or ``not found`` for those that left with the job, seen by nobody.
    """
    finished = ledger.jobs_out + ledger.jobs_scrapped
    unit = "1/100 jobs"
    grid: dict[tuple[str, str], int] = {}
    for index, name in enumerate(plan.names.fault):
        made, found = int(ledger.faults_made[index]), int(ledger.faults_found[index])
        gone = int(ledger.faults_escaped[index])
        yield Value("faults_made", name, "", unit, share(100 * made, finished))
        yield Value("faults_found", name, "", unit, share(100 * found, finished))
        yield Value("faults_escaped", name, "", unit, share(100 * gone, finished))
        left_in = int(ledger.faults_not_put_right[index])
        yield Value("faults_not_put_right", name, "", unit, share(100 * left_in, finished))
        station = plan.names.station[int(plan.tasks.station[int(plan.faults.task[index])])]
        for place, count in ((found_where(plan, index), found), (NOT_FOUND, gone)):
            grid[station, place] = grid.get((station, place), 0) + count
    for (station, place), count in grid.items():
        yield Value("fault_grid", station, place, unit, share(100 * count, finished))
