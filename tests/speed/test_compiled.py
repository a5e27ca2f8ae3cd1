"""The compiled drive against SimPy and against a plain SimPy model, and what stands around it.

Processor time is printed, and wall-clock where several work; judged are ratios within one run, and memory.
"""

import os
import re
import resource
import shlex
import subprocess
import sys
import time
from pathlib import Path

import pytest

from linesim.draws.draws import Draws
from linesim.engine.run import run_line
from linesim.ledger.ledger import Ledger
from linesim.plan.build import build
from linesim.plan.plan import Plan
from linesim.runs.cases import Case, run_cases
from linesim.runs.drive import usable
from linesim.scenario import from_dict, load
from tests.commands.calls import ROOT, environment
from tests.drives import fast
from tests.speed.lines import TASKS, peak_mib, plain_simpy, scenario, times_s
from tests.speed.test_large import EASY_TAKT_S, round_the_clock, timed

pytestmark = pytest.mark.speed

TRACTOR = ROOT / "scenarios" / "tractor" / "line.toml"
LOAD = "import linesim.engine.compiled as c, time; c.machine_code.machine_facts(); b = time.process_time(); "
LOAD += "c.compiled_loop(); print(time.process_time() - b)"


@pytest.fixture(scope="module", autouse=True)
def code() -> None:
    """Leave the page out where no machine code can be made; loading it is no part of any time."""
    if fast() != "compiled":
        pytest.skip("no machine code can be made here")
    usable("compiled")


def once(plan: Plan, drive: str, replication: int = 1) -> Ledger:
    """Run a replication of a plan by a drive."""
    return run_line(plan, Draws(plan, 1, replication), drive=drive)


def children_s(words: list[str], **env: str) -> tuple[float, float, str]:
    """Run a program; return its wall-clock and processor time [s], and what it printed."""
    before, start = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    found = subprocess.run(
        [sys.executable, *words], cwd=ROOT, env=environment(env), capture_output=True, check=True, text=True
    )
    after, end = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    used = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return end - start, used, found.stdout


def test_machine_code_and_a_plain_model() -> None:
    """At 30, 100, 300 stations machine code is 8 times as fast as a plain SimPy model without accounts."""
    print("\n  stations   µs a task: plain SimPy, compiled, with kept draws   ratios   peak so far [MiB]")
    for stations in (30, 100, 300):
        jobs = max(400, 8 * stations // 3)
        plan, tasks = build(from_dict(scenario(jobs, stations, EASY_TAKT_S))), stations * jobs * TASKS
        plain, _ = timed(plain_simpy, times_s(jobs, stations))
        once(plan, "compiled", 2)
        (fresh, ledger), (again, _) = timed(once, plan, "compiled", 3), timed(once, plan, "compiled", 3)
        assert ledger.jobs_out == jobs
        each = "".join(f"{1e6 * took / tasks:9.2f}" for took in (plain, fresh, again))
        ratios = f"{plain / fresh:12.0f} {plain / again:4.0f}"
        print(f"  {stations:8d}   {each} {ratios} {peak_mib():12.0f}")
        assert plain / fresh > 8


def test_the_tractor_line_by_both_drives() -> None:
    """On the whole tractor line machine code is 20 times as fast as the SimPy drive."""
    plan = build(load(TRACTOR))
    by_simpy, ledger = timed(once, plan, "simpy")
    once(plan, "compiled", 2)
    fresh, _ = min((timed(once, plan, "compiled", r) for r in (3, 4, 5)), key=lambda one: one[0])
    again, _ = min((timed(once, plan, "compiled", r) for r in (3, 4, 5)), key=lambda one: one[0])
    print(f"\n  SimPy {by_simpy:.2f} s, compiled {fresh:.3f} s, with kept draws {again:.3f} s a replication")
    print(f"  ratios {by_simpy / fresh:.0f} and {by_simpy / again:.0f}; {ledger.jobs_out} jobs")
    assert by_simpy / fresh > 20


def test_a_year_compiled() -> None:
    """A year of three shifts takes hardly more memory than four weeks."""
    memory = {}
    for weeks in (4, 52):
        took, ledger = timed(once, build(round_the_clock(weeks)), "compiled")
        memory[weeks] = peak_mib()
        print(f"\n  {weeks} weeks: {ledger.jobs_out} jobs, {took:.1f} s, peak {memory[weeks]:.0f} MiB")
        assert ledger.jobs_out > 1500 * weeks
    assert memory[52] - memory[4] < 15, "memory grows with the length of the run"


def test_code_is_made_once_and_loaded_fast(tmp_path: Path) -> None:
    """Loading what is kept takes less than a tenth of making it."""
    kept = {"XDG_CACHE_HOME": str(tmp_path)}
    _, made, _ = children_s(["-m", "linesim", "compile"], **kept)
    loaded = float(children_s(["-c", LOAD], **kept)[2])
    print(f"\n  first compile {made:.1f} s of processor time, loading {loaded:.2f} s")
    assert loaded < made / 10


def test_the_start_of_a_run(tmp_path: Path) -> None:
    """A whole run of next to nothing takes less than four times what its libraries need to be loaded."""
    line = tmp_path / "line.toml"
    children_s(["-m", "linesim", "new", str(line)])
    words = ["-m", "linesim", "run", str(line), "--replications", "1", "--set", "run.length = '1 min'",
             "--set", "run.warm_up = '0 s'", "--workers", "1", "--quiet"]  # fmt: skip
    children_s(words)
    libraries = min(children_s(["-c", "import scipy.special, pydantic.main"])[1] for _ in range(3))
    ours = min(children_s(words)[1] for _ in range(3))
    print(
        f"\n  linesim run of a minute: {ours:.2f} s of processor time, numpy, scipy, pydantic {libraries:.2f}"
    )
    assert ours < 4 * libraries


def test_one_more_case() -> None:
    """A further case costs little beside its replications: it is changed, planned, run by both drives."""
    base = load(TRACTOR).replace({"run.length": "30 min", "run.warm_up": "0 s"})
    how = {"replications": 1, "drive": "compiled"}

    def ask(people: range) -> None:
        cases = [Case.changed(f"{n}", base, {"crew.trim.people": n}) for n in people]
        run_cases([Case("base", base), *cases], **how)  # type: ignore[arg-type]

    ask(range(5, 6))
    few, _ = timed(ask, range(7, 8))
    many, _ = timed(ask, range(7, 17))
    one, _ = timed(lambda: Case.changed("one", base, {"crew.trim.people": 9}).scenario.fingerprint())
    planned, _ = timed(build, base)
    case = 1e3 * (many - few) / 9
    print(f"\n  ms a case: {case:.0f}; to change it {1e3 * one:.0f}, to plan it {1e3 * planned:.0f}")


def test_readmes_answers() -> None:
    """The three answers as README asks for them, wall-clock and processor time."""
    asked = re.findall(
        r"^linesim (?:buffers|crew|mix) (?:.*\\\n)*.*$", (ROOT / "README.md").read_text("utf-8"), re.M
    )
    assert len(asked) == 3
    for command in asked:
        words = shlex.split(command.replace("\\\n", " "))
        wall, used, _ = children_s(["-m", *words, "--quiet"])
        print(f"\n  {words[1]:8s} {wall:6.1f} s, {used:6.1f} s of {len(os.sched_getaffinity(0))} processors")
