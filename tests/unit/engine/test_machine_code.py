"""Machine code: kept among the user's caches, named after all it follows from, loaded by the next process."""

import os
import stat
import subprocess
import sys
from pathlib import Path

import pytest

from linesim.engine import machine_code

RULES = '''"""Two rules."""
def double(x):
    return 2 * x
double.is_rule = True
def add(x):
    return double(x) + 2
add.is_rule = True
def loop(x):
    return add(x) + double(x)
'''
RUN = """
import sys
from pathlib import Path
import numba
import rules
from linesim.engine.machine_code import compiled
before = numba.config.CACHE_DIR
loop = compiled(rules.loop, [rules], Path(sys.argv[1]), boundscheck=True)
print(loop(20), len(loop.stats.cache_hits), len(loop.stats.cache_misses), loop.targetoptions['nogil'])
print(loop.targetoptions['boundscheck'])
print(numba.config.CACHE_DIR == before)
"""


def run(folder: Path) -> list[str]:
    """Return what a new process prints that compiles two rules, or loads them from ``folder / code``."""
    done = subprocess.run(
        [sys.executable, "-c", RUN, str(folder / "code")],
        cwd=Path(machine_code.__file__).parents[2],
        env={**os.environ, "PYTHONPATH": str(folder)},
        capture_output=True,
        text=True,
        check=True,
        timeout=300,
    )
    return done.stdout.split()


def test_the_next_process_loads_what_the_first_made(tmp_path: Path) -> None:
    """Rules compile with all that they call, and another process loads them; numba's own setting stays."""
    (tmp_path / "rules.py").write_text(RULES)
    assert not machine_code.is_kept(tmp_path / "code")
    assert run(tmp_path)[:3] == ["82", "0", "1"]
    assert machine_code.is_kept(tmp_path / "code")
    assert run(tmp_path) == ["82", "1", "0", "True", "True", "True"]


def test_other_sources_have_another_folder(tmp_path: Path) -> None:
    """A byte changed in any file, a file renamed or one fact more gives another name."""
    for room in ("plan", "ledger", "engine"):
        (tmp_path / room).mkdir()
        (tmp_path / room / "a.py").write_text(f"x = '{room}'")
    (tmp_path / "ticks.py").write_text("TICKS = 1000")
    names = [machine_code.digest(tmp_path, ["numba 1"])]
    assert machine_code.digest(tmp_path, ["numba 1"]) == names[0]
    names += [machine_code.digest(tmp_path, facts) for facts in (["numba 2"], ["numba ", "1"], [])]
    (tmp_path / "ticks.py").write_text("TICKS = 1001")
    names.append(machine_code.digest(tmp_path, ["numba 1"]))
    (tmp_path / "plan" / "a.py").rename(tmp_path / "plan" / "b.py")
    names.append(machine_code.digest(tmp_path, ["numba 1"]))
    assert len(set(names)) == len(names)


def test_the_folder_is_the_users_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Code lies under the user's cache folder, where nobody else may put any."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    folder = machine_code.code_folder()
    assert folder.parent == tmp_path / "cache" / "linesim"
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    assert machine_code.code_folder() == folder
    monkeypatch.setenv("XDG_CACHE_HOME", "not/absolute")
    assert machine_code.user_folder() == Path.home() / ".cache"


def test_a_place_that_cannot_be_written_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where a file stands in the way of the folder, the sentence names it."""
    (tmp_path / "linesim").write_text("in the way")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    with pytest.raises(machine_code.NoMachineCodeError, match="cannot be made"):
        machine_code.code_folder()


def test_the_folder_of_somebody_else_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Code that another user put there would run as ours; it is never loaded."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    machine_code.code_folder()
    monkeypatch.setattr(os, "getuid", lambda: tmp_path.stat().st_uid + 1)
    with pytest.raises(machine_code.NoMachineCodeError, match="not this user's"):
        machine_code.code_folder()


def test_missing_or_broken_numba_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Without numba the sentence says how to get it, with one that does not load what it says itself."""
    monkeypatch.setattr(machine_code, "find_spec", lambda name: None)
    monkeypatch.delitem(sys.modules, "numba", raising=False)  # another test may have loaded it
    with pytest.raises(machine_code.NoMachineCodeError, match="pip install"):
        machine_code.code_folder()
    monkeypatch.undo()
    for broken in ("numba", "llvmlite", "llvmlite.binding"):
        monkeypatch.setitem(sys.modules, broken, None)
    with pytest.raises(machine_code.NoMachineCodeError, match="cannot be loaded"):
        machine_code.compiled(machine_code.is_kept, [], tmp_path)
    with pytest.raises(machine_code.NoMachineCodeError, match="cannot be loaded"):
        machine_code.machine_facts()


def test_what_is_longest_unused_goes(tmp_path: Path) -> None:
    """Of seven folders of code the five used last stay; what holds no code is left alone."""
    for k in range(7):
        (tmp_path / f"code{k}").mkdir()
        (tmp_path / f"code{k}" / "loop.nbi").write_text("")
        os.utime(tmp_path / f"code{k}", (k, k))
    (tmp_path / "other").mkdir()
    machine_code.forget_old(tmp_path / "code0")
    assert sorted(folder.name for folder in tmp_path.iterdir()) == [
        *("code0", "code3", "code4", "code5", "code6", "other")
    ]
