"""What each place in a crew is busy with, per finished job."""

from dataclasses import replace

import numpy as np

from linesim.measures import measure
from linesim.plan.plan import Plan
from linesim.plan.tables import float_array, int_array
from linesim.plan.words import O_HELPING, O_REPAIRING, O_WALKING, O_WORKING
from tests.unit.measures.small_line import blank_ledger, small_plan


def _loads(plan: Plan, jobs: int) -> dict[tuple[str, str], float | None]:
    """Return the loads where operator ``k`` works ``100 k + 60`` s and does all else for ``k + 1`` s each."""
    states = np.zeros((3, 10), dtype=np.int64)
    states[:, O_WORKING] = [60_000, 160_000, 260_000]
    states[:, [O_WALKING, O_HELPING, O_REPAIRING]] = [[1_000], [2_000], [3_000]]
    found = measure(plan, blank_ledger(plan, operator_state=states, jobs_out=jobs))
    return {(v.where, v.cause): v.value for v in found if v.measure == "operator_load"}


def test_seconds_per_finished_job_of_each_person() -> None:
    """Ten jobs: what an operator was busy with, a tenth of it a job, person by person."""
    found = _loads(small_plan(), jobs=10)
    assert [found[f"frame-crew {k}", "working"] for k in (1, 2)] == [6, 16]
    assert found["trim-crew 1", "working"] == 26


def test_only_what_a_crew_can_do_has_a_row() -> None:
    """Walking needs a way, help a floater, repairs a failure that names the crew; each adds its row."""
    plan = small_plan()
    nobody = replace(plan.crews, walk=int_array([0, 0]), walk_speed=plan.crews.walk_speed * 0)
    plan = replace(plan, crews=nobody)
    assert {cause for _, cause in _loads(plan, 10)} == {"working"}
    walks = replace(plan, crews=replace(nobody, walk=int_array([0, 500])))
    assert _loads(walks, 10)["trim-crew 1", "walking"] == 0.3
    assert ("frame-crew 1", "walking") not in _loads(walks, 10)
    drifts = replace(plan, crews=replace(nobody, walk_speed=float_array([2.0, 0.0])))
    walkers = {where for where, cause in _loads(drifts, 10) if cause == "walking"}
    assert walkers == {"frame-crew 1", "frame-crew 2"}
    helps = _loads(replace(plan, crews=replace(nobody, floater=int_array([0, 1]))), 10)
    assert {cause for where, cause in helps if where == "trim-crew 1"} == {"working", "walking", "helping"}
    mends = _loads(replace(plan, modes=replace(plan.modes, crew=int_array([0]))), 10)
    assert {where for where, cause in mends if cause == "repairing"} == {"frame-crew 1", "frame-crew 2"}


def test_no_job_no_load() -> None:
    """Where no job was finished there is no time per job."""
    assert set(_loads(small_plan(), jobs=0).values()) == {None}
