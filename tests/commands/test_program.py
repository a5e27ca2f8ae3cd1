"""The program as a user starts it: help, statuses, pipes, encodings, interrupts."""

import os
import pty
import re
import signal
import subprocess
import sys
import time
from pathlib import Path

import psutil
import pytest

from linesim.commands.main import COMMANDS, parser
from linesim.questions import NAMES
from linesim.scenario.loader import starter
from tests.commands.calls import ROOT, call, command_words, environment, program
from tests.commands.started import started
from tests.commands.test_study_folder import kept
from tests.drives import fast

RUN = (sys.executable, "-m", "linesim", "run")


def help_of(command: str, capsys: pytest.CaptureFixture[str]) -> str:
    """Return the help of a command."""
    said = call(capsys, command, "--help")
    assert said.status == 0
    return said.out


def examples_in(text: str) -> list[str]:
    """Return the example command lines of a help page, broken ones joined as a shell does."""
    joined = text.replace(" \\\n      ", " ")
    return [row.strip() for row in joined.splitlines() if row.startswith("  linesim ")]


@pytest.mark.parametrize("command", COMMANDS)
def test_help_has_a_purpose_and_three_examples(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Each command says in one line what it is for and shows three command lines, in 80 columns."""
    text = help_of(command, capsys)
    assert len(examples_in(text)) == 3
    assert max(map(len, text.splitlines())) <= 80
    listed = call(capsys, "--help").out
    purpose = next(row for row in listed.splitlines() if row.split()[:1] == [command])
    assert len(purpose.split()) > 4


@pytest.mark.parametrize("command", COMMANDS)
def test_examples_of_the_help_are_understood(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Every example's options are options that the program has."""
    for row in examples_in(help_of(command, capsys)):
        for part in row.split(" && "):
            first = part.split(" | ")[0].split(" > ")[0]
            if first.startswith("linesim"):
                assert parser().parse_args(command_words(first)).command in COMMANDS


def test_help_is_instant() -> None:
    """Asking for help loads none of the slow libraries."""
    code = (
        "import sys; from linesim.commands.main import main; main(['run', '--help']); "
        "slow = {'numpy', 'scipy', 'pandas', 'pydantic', 'simpy', 'rich', 'matplotlib'} & set(sys.modules); "
        "print(*sorted(slow), end='', file=sys.stderr)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        env=environment({}),
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )
    assert (done.returncode, done.stderr) == (0, "")


#: What a run needs at its end, or for another question, or never.
LATER = (
    "scipy.special", "pandas", "matplotlib", "simpy", "numba", "rich", "jinja2", "openpyxl",
    "python_calamine", "ortools", "sqlite3", "starlette", "linesim.report", "linesim.desk",
    "linesim.verification", "linesim.theory", "linesim.intake", "linesim.capacity", "linesim.answers",
    "linesim.stats", "linesim.runs.result", "linesim.runs.rows", "linesim.scenario.grid",
    "linesim.questions.compare", "linesim.questions.crew", "linesim.commands.report",
)  # fmt: skip


def test_a_replication_begins_at_once(tmp_path: Path) -> None:
    """Before SimPy rings nothing is loaded that only answers or other questions need; no thread waits."""
    (tmp_path / "line.toml").write_text(starter(), encoding="utf-8")
    code = (
        "import os, sys\n"
        "def begins(event, told):\n"
        "    if event == 'import' and told[0] == 'simpy':\n"
        f"        print(*[name for name in {LATER} if name in sys.modules], end='')\n"
        "        threads = os.listdir('/proc/self/task') if sys.platform == 'linux' else ['this']\n"
        "        print(*threads[1:], end='', flush=True)\n"
        "        os._exit(3)\n"
        "sys.addaudithook(begins)\n"
        "sys.argv = ['linesim', 'run', 'line.toml', '--replications', '1', '--drive', 'simpy', '--quiet']\n"
        "from linesim.commands.main import main\n"
        "main()"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        env=environment({}),
        cwd=tmp_path,
        capture_output=True,
        text=True,
        timeout=60,
    )
    assert (done.returncode, done.stdout, done.stderr) == (3, "", "")


def test_a_command_does_not_wait_for_the_others() -> None:
    """A word that is a command loads it alone; any other first word is told all commands."""
    others = {f"linesim.questions.{name}" for name in NAMES}
    loaded = f"print(sorted(m for m in sys.modules if m in {others} or m.endswith('.merge')))"
    asked = f"import sys; from linesim.commands.main import parser; parser('new'); {loaded}"
    assert subprocess.run([sys.executable, "-c", asked], capture_output=True, text=True).stdout == "[]\n"
    wrong = program("runn", "line.toml")
    assert wrong.status == 2
    assert all(command in wrong.err for command in COMMANDS)


def test_version_names_what_can_move_a_digit() -> None:
    """`--version` prints the program's version and those of Python and the libraries that compute."""
    said = program("--version")
    assert said.status == 0
    assert all(word in said.out for word in ("linesim 0.", "python 3.", "numpy ", "scipy ", "simpy "))


@pytest.mark.parametrize("words", [[], ["fly"], ["run"], ["check", "no-such-file.toml"], ["run", "."]])
def test_wrong_input_is_status_2_without_traceback(words: list[str], tmp_path: Path) -> None:
    """No command, an unknown one, a missing file, a folder: exit status 2 and a message on stderr only."""
    said = program(*words, cwd=tmp_path)
    assert (said.status, said.out) == (2, "")
    assert said.err and "Traceback" not in said.err


def test_a_reader_that_stops_reading_is_no_failure(line: Path) -> None:
    """When the reader of a pipe has enough, the program ends quietly."""
    run = subprocess.Popen(
        [sys.executable, "-m", "linesim", "schema"],
        env=environment({}),
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )
    assert run.stdout is not None and run.stderr is not None
    run.stdout.read(10)
    run.stdout.close()
    said = run.stderr.read()
    run.stderr.close()
    assert (run.wait(timeout=60), said) == (0, b"")


def test_a_terminal_without_unicode_gets_plain_signs(line: Path) -> None:
    """Where the encoding lacks a sign a plain one stands for it, and nothing fails."""
    said = program("check", line, PYTHONIOENCODING="ascii")
    assert said.status == 0
    assert said.out.isascii() and "####" in said.out


def test_no_colour_codes_where_none_are_wanted(line: Path) -> None:
    """On a terminal with NO_COLOR there is bold at most, and without a terminal there is nothing."""
    assert "\x1b" not in program("check", line).out
    on_screen = on_terminal(["check", str(line)], NO_COLOR="1")
    codes = {code for part in on_screen.split("\x1b[")[1:] for code in part.split("m")[0].split(";")}
    assert codes <= {"0", "1", "2"}


def test_progress_is_on_the_terminal_only(line: Path) -> None:
    """A terminal on stderr sees how many replications are done; a pipe sees nothing."""
    words = ["run", str(line), "--json", "--workers", "1"]
    assert program(*words).err == ""
    assert "10 of 10" in on_terminal(words, stream="stderr")
    assert "of 10" not in on_terminal([*words, "--quiet"], stream="stderr")


@pytest.mark.parametrize("drive", ["simpy", fast()])
def test_ctrl_c_leaves_nothing_half_written(line: Path, tmp_path: Path, drive: str) -> None:
    """Processes or threads: exit 130, one line on stderr, finished replications kept, no other file."""
    folder = tmp_path / "work"
    folder.mkdir()
    words = [*RUN, line, "--replications", "100000", "--workers", "2", "--out", folder / "out", "--quiet"]
    words += ["--drive", drive]
    with started(words) as run:
        end = time.monotonic() + 60
        while not kept(folder / "out"):
            assert run.poll() is None and time.monotonic() < end, "the run does not get on"
            time.sleep(0.1)
        os.killpg(run.pid, signal.SIGINT)
        out, err = run.communicate(timeout=20)
    assert (run.returncode, out) == (130, "")
    kept_so_far = r"interrupted; [1-9]\d* finished replications? (are|is) kept in .*: give the same .*\n"
    assert re.fullmatch(kept_so_far, err)
    assert [path.name for path in folder.rglob("*")] == ["out", "study.sqlite"]


@pytest.mark.parametrize("pause", [0.0, 0.1, 0.3])
def test_ctrl_c_while_workers_start(line: Path, pause: float) -> None:
    """An interrupt when the first worker process is just coming up is as quiet: its imports say nothing."""
    words = [*RUN, line, "--replications", "100000", "--workers", "2", "--drive", "simpy", "--quiet"]
    with started(words) as run:
        end = time.monotonic() + 30
        while not psutil.Process(run.pid).children():
            assert run.poll() is None and time.monotonic() < end, "no worker was started"
            time.sleep(0.01)
        time.sleep(pause)
        os.killpg(run.pid, signal.SIGINT)
        out, err = run.communicate(timeout=20)
    assert (run.returncode, out, err) == (130, "", "interrupted; nothing half-written is left behind\n")


def on_terminal(words: list[str], *, stream: str = "stdout", **env: str) -> str:
    """Run the program with one of its streams on a terminal and return what that shows."""
    ours, theirs = pty.openpty()
    pipes = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL, stream: theirs}
    run = subprocess.Popen(
        [sys.executable, "-m", "linesim", *words],
        cwd=ROOT,
        env=environment({"TERM": "xterm-256color", "COLUMNS": "100", **env}),
        stdin=subprocess.DEVNULL,
        **pipes,
    )
    os.close(theirs)
    shown = b""
    while True:
        try:
            part = os.read(ours, 65536)
        except OSError:
            break
        if not part:
            break
        shown += part
    os.close(ours)
    run.wait(timeout=60)
    return shown.decode("utf-8", "replace")
