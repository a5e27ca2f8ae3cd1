"""Ctrl-C, a killed program, a script without its guard: no worker stays behind, nobody prints a traceback."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import psutil
import pytest

ROOT = Path(__file__).resolve().parents[3]

SCRIPT = """
from linesim.runs.spread import Errand
from tests.unit.runs.errands import run_in_workers

def main():
    jobs = [Errand(0, number) for number in range(1, 9)]
    try:
        run_in_workers([PLAN], jobs, 2, print)
    except KeyboardInterrupt:
        raise SystemExit(130)

GUARD
    main()
"""


def started(folder: Path, plan: str, guard: str = 'if __name__ == "__main__":') -> subprocess.Popen[str]:
    """Start a script that gives ``plan`` to two workers, in a process group of its own."""
    script = folder / "script.py"
    script.write_text(SCRIPT.replace("PLAN", repr(plan.encode())).replace("GUARD", guard), encoding="utf-8")
    return subprocess.Popen(
        [sys.executable, str(script)],
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )


def workers_at_work(marks: Path, n: int = 2) -> list[psutil.Process]:
    """Wait until ``n`` workers have left a mark and return them."""
    end = time.monotonic() + 20
    while len(found := list(marks.iterdir())) < n:
        assert time.monotonic() < end, "the workers did not start"
        time.sleep(0.05)
    return [psutil.Process(int(path.name.split("-")[1])) for path in found]


def test_ctrl_c_ends_program_and_workers_quietly(tmp_path: Path) -> None:
    """An interrupt of the whole process group ends all within seconds, exit 130, nothing on stderr."""
    marks = tmp_path / "marks"
    marks.mkdir()
    program = started(tmp_path, f"stay {marks}")
    workers = workers_at_work(marks)
    os.killpg(program.pid, signal.SIGINT)
    _, said = program.communicate(timeout=10)
    assert (program.returncode, said) == (130, "")
    assert psutil.wait_procs(workers, timeout=5)[1] == []


def test_workers_follow_a_killed_program(tmp_path: Path) -> None:
    """When the program is killed without a chance to tidy up, its workers end by themselves."""
    marks = tmp_path / "marks"
    marks.mkdir()
    program = started(tmp_path, f"stay {marks}")
    workers = workers_at_work(marks)
    program.kill()
    program.communicate(timeout=10)
    assert psutil.wait_procs(workers, timeout=5)[1] == []


def test_a_script_without_its_guard_is_told_so(tmp_path: Path) -> None:
    """A script that starts workers while workers read it ends with a message that names the guard."""
    program = started(tmp_path, "", guard="if True:")
    try:
        _, said = program.communicate(timeout=60)
    except subprocess.TimeoutExpired:
        program.kill()
        pytest.fail("the script went on starting processes")
    assert program.returncode == 1
    assert 'if __name__ == "__main__"' in said.splitlines()[-1]
