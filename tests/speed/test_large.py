"""Long and large: a year of three shifts, 300 stations, a table of 10,000 tasks. Memory flat, cost linear.

Times are printed, never judged: a larger line leaves the processor's caches, and machines are noisy. Judged
is what no machine changes: memory, and how many functions are called for a task, a week or a row.
"""

import cProfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

import pytest

from linesim.draws.draws import Draws
from linesim.engine.run import run_line
from linesim.ledger.ledger import Ledger
from linesim.plan.build import build
from linesim.plan.plan import Plan
from linesim.scenario import Scenario, from_dict, load, load_text
from tests.conftest import ROOT
from tests.speed.lines import TASKS, peak_mib, plain_simpy, scenario, times_s

pytestmark = pytest.mark.speed

_R = TypeVar("_R")
SHIFTS = ["06:00-14:00", "14:00-22:00", "22:00-06:00"]
EASY_TAKT_S = (
    140.0  #: All work is done at every mark, on however many stations: one state less to tell apart.
)
NIGHT = {  #: Breaks of the third shift; those of the others stand in the file.
    "early-breaks": ["00:30-00:45", "03:00-03:30", "04:45-05:00"],
    "late-breaks": ["00:45-01:00", "03:30-04:00", "05:00-05:15"],
}


def timed(run: Callable[..., _R], *args: object) -> tuple[float, _R]:
    """Return the processor time of ``run(*args)`` [s], whatever else the machine does, and its result."""
    start = time.process_time()
    result = run(*args)
    return time.process_time() - start, result


def calls(run: Callable[..., object], *args: object) -> int:
    """Return how many functions ``run(*args)`` calls, those of libraries included."""
    profile = cProfile.Profile()
    profile.runcall(run, *args)
    return sum(entry.callcount for entry in profile.getstats())


def once(plan: Plan) -> Ledger:
    """Run replication 1 of a plan."""
    return run_line(plan, Draws(plan, 1, 1))


def round_the_clock(weeks: int) -> Scenario:
    """Return the whole tractor line, working round the clock on five days a week."""
    raw = load(ROOT / "scenarios" / "tractor" / "line.toml").as_dict()
    for name, breaks in NIGHT.items():
        calendar = raw["calendar"][name]
        raw["calendar"][name] = {**calendar, "shifts": SHIFTS, "breaks": [*calendar["breaks"], *breaks]}
    shifts = 15 * weeks - 1
    raw["run"] = {**raw["run"], "warm_up": "1 shift", "length": f"{shifts} shifts", "replications": 1}
    return from_dict(raw)


def test_a_year_of_three_shifts() -> None:
    """A year of the whole tractor line takes no more memory than four weeks; a job takes as many calls."""
    print("\n  weeks   jobs out   s per week   peak memory so far [MiB]")
    memory = {}
    for weeks in (1, 4, 52):
        plan = build(round_the_clock(weeks))
        took, ledger = timed(once, plan)
        memory[weeks] = peak_mib()
        print(f"  {weeks:5d} {ledger.jobs_out:10d} {took / weeks:12.2f} {memory[weeks]:12.0f}")
        assert ledger.jobs_out > 1500 * weeks
    assert memory[52] - memory[4] < 15, "memory grows with the length of the run"


def test_weeks_cost_the_same() -> None:
    """The third and fourth week take as many calls as the first two, within 5 %."""
    shorter, longer = (calls(once, build(round_the_clock(weeks))) for weeks in (2, 4))
    print(f"\n  calls: two weeks {shorter:,}, four weeks {longer:,}")
    assert longer - shorter == pytest.approx(shorter, rel=0.05)


def test_300_stations() -> None:
    """A task takes as many calls on 300 stations as on 30, within 5 %; times beside those of plain SimPy."""
    print("\n  stations   jobs   calls per task   µs per task   in plain SimPy   ratio   peak so far [MiB]")
    each = {}
    for stations in (30, 100, 300):
        jobs = 8 * stations // 3  # filling and emptying take the same share of each run
        tasks = stations * jobs * TASKS
        plan = build(from_dict(scenario(jobs, stations, EASY_TAKT_S)))
        each[stations] = calls(once, plan) / tasks
        ours, ledger = timed(once, plan)
        plain, _ = timed(plain_simpy, times_s(jobs, stations))
        assert ledger.jobs_out == jobs
        print(
            f"  {stations:8d} {jobs:6d} {each[stations]:16.1f} {ours / tasks * 1e6:13.2f}"
            f" {plain / tasks * 1e6:16.2f} {ours / plain:7.2f} {peak_mib():12.0f}"
        )
    assert each[300] == pytest.approx(each[30], rel=0.05)


def table_line(folder: Path, rows: int) -> str:
    """Write a task table of so many rows and return the scenario that names it."""
    stations = [f"S{k}" for k in range(rows // 50)]
    lines = ["station,task,mean_s,cv,people,after"]
    for station in stations:
        lines += [f"{station},t{k},5,0.15,1,{f't{k - 1}' if k % 10 else ''}" for k in range(50)]
    (folder / "tasks.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")
    names = ", ".join(f'"{name}"' for name in stations)
    crews = "".join(f'[crew.c-{name}]\npeople = 5\ncovers = ["{name}"]\n' for name in stations)
    length = (len(stations) + 40) * 95
    return (
        f'takt = "95 s"\nflow = ["line"]\ntasks = "tasks.csv"\n[run]\nlength = "{length} s"\n{crews}'
        f'[section.line]\npacing = "indexed"\nstations = [{names}]\n'
    )


def planned(text: str, folder: Path) -> Plan:
    """Read, check and plan a scenario."""
    return build(load_text(text, folder))


def test_10000_tasks(tmp_path: Path) -> None:
    """To read, check and plan a row takes as many calls in a table of 10,000 as of 1,000, within 5 %."""
    print("\n    rows   calls per row   ms to read and plan a row   peak memory so far [MiB]")
    each = {}
    for rows in (1_000, 3_000, 10_000):
        text = table_line(tmp_path, rows)
        each[rows] = calls(planned, text, tmp_path) / rows
        took, plan = timed(planned, text, tmp_path)
        assert len(plan.names.task) == rows
        print(f"  {rows:6d} {each[rows]:15.1f} {took / rows * 1e3:27.3f} {peak_mib():12.0f}")
    ledger = once(plan)
    print(f"  and the line of 10,000 tasks makes {ledger.jobs_out} jobs")
    assert ledger.jobs_out > 0
    assert each[10_000] == pytest.approx(each[1_000], rel=0.05)
