"""Machine code: kept among the user's caches, named after all it follows from, loaded by the next process."""

import os
import stat
import subprocess
import sys
from pathlib import Path
from types import ModuleType

import pytest

from linesim.engine import machine_code

RULES = '''"""Two rules."""
def double(x):
    return 2 * x
double.is_rule = True
def add(x, y):
    return double(x) + y
add.is_rule = True
def loop(x, y):
    if y < 0:
        raise RuntimeError
    return add(x, y) + double(x)
'''
RUN = """
import sys
from pathlib import Path
import rules
from linesim.engine import machine_code
folder = Path(sys.argv[1])
if not machine_code.is_kept(folder):
    import numba
    before = numba.config.OPT, numba.config.LOOP_VECTORIZE
    machine_code.make(rules.loop, [rules], folder)
    print((numba.config.OPT, numba.config.LOOP_VECTORIZE) == before, numba.njit(lambda x: x + 1)(1))
loop = machine_code.load(folder, "loop")
print(loop(20, 2), "numba" in sys.modules)
try:
    loop(20, -1)
except RuntimeError as problem:
    print(type(problem).__name__)
"""


def run(folder: Path) -> list[str]:
    """Return what a new process prints that compiles two rules, or loads them from ``folder / code``."""
    (folder / "code").mkdir(exist_ok=True)
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
    """Rules compile with all that they call and leave numba as it was; the next process needs no numba."""
    (tmp_path / "rules.py").write_text(RULES)
    assert not machine_code.is_kept(tmp_path / "code")
    assert run(tmp_path) == ["True", "2", "82", "True", "RuntimeError"]
    assert machine_code.is_kept(tmp_path / "code")
    assert run(tmp_path) == ["82", "False", "RuntimeError"]
    (file,) = (tmp_path / "code").iterdir()
    file.write_bytes(file.read_bytes()[:-1])
    with pytest.raises(machine_code.NoMachineCodeError, match="not whole"):
        machine_code.load(tmp_path / "code", "loop")
    assert not machine_code.is_kept(tmp_path / "code")


def test_other_rules_have_another_folder() -> None:
    """Another rule, another number in it or from elsewhere, one fact more: each gives another name."""
    rules = ModuleType("rules")
    rules.TICKS = 1000  # type: ignore[attr-defined]

    def write(text: str) -> None:
        exec(text, vars(rules))

    def name(*facts: bytes) -> str:
        return machine_code.digest([*facts, *machine_code.facts_of([rules])])

    write("def double(x):\n    return 2 * x")
    names = [name(b"numba 1")]
    write("# moved\ndef double(x):\n    return 2 * x")
    assert name(b"numba 1") == names[0]
    names += [name(b"numba 2"), name(b"numba ", b"1"), name()]
    for text in ("TICKS = 1001", "def double(x):\n    return 3 * x", "def double(x):\n    return x * 3",
                 "def double(x):\n    return TICKS * x", "def triple(x):\n    return 3 * x"):  # fmt: skip
        write(text)
        names.append(name(b"numba 1"))
    assert len(set(names)) == len(names)


def test_the_folder_is_the_users_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Code lies under the user's cache folder, where nobody else may put any; to ask where makes nothing."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    folder = machine_code.code_folder([])
    assert folder.parent == tmp_path / "cache" / "linesim"
    assert not machine_code.is_kept(folder) and not (tmp_path / "cache").exists()
    machine_code.make_folder(folder)
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    assert machine_code.code_folder([]) == folder
    monkeypatch.setenv("XDG_CACHE_HOME", "not/absolute")
    assert machine_code.user_folder() == Path.home() / ".cache"


def test_a_place_that_cannot_be_written_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where a file stands in the way of the folder, the sentence names it."""
    (tmp_path / "linesim").write_text("in the way")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    folder = machine_code.code_folder([])
    with pytest.raises(machine_code.NoMachineCodeError, match="cannot be made"):
        machine_code.make_folder(folder)


def test_the_folder_of_somebody_else_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Code that another user put there would run as ours; it is never loaded."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    folder = machine_code.code_folder([])
    machine_code.make_folder(folder)
    monkeypatch.setattr(os, "getuid", lambda: tmp_path.stat().st_uid + 1)
    for asked in (lambda: machine_code.code_folder([]), lambda: machine_code.make_folder(folder)):
        with pytest.raises(machine_code.NoMachineCodeError, match="not this user's"):
            asked()


def test_missing_or_broken_numba_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Without numba the sentence says how to get it, with one that does not load what it says itself."""
    monkeypatch.setattr(machine_code, "find_spec", lambda name: None)
    monkeypatch.delitem(sys.modules, "numba", raising=False)  # another test may have loaded it
    with pytest.raises(machine_code.NoMachineCodeError, match="pip install"):
        machine_code.code_folder([])
    monkeypatch.undo()
    for broken in ("numba", "llvmlite", "llvmlite.binding"):
        monkeypatch.setitem(sys.modules, broken, None)
    with pytest.raises(machine_code.NoMachineCodeError, match="cannot be loaded"):
        machine_code.make(lambda x, y: x + y, [], tmp_path)
    with pytest.raises(machine_code.NoMachineCodeError, match="cannot be loaded"):
        machine_code.machine_facts()


def test_what_is_longest_unused_goes(tmp_path: Path) -> None:
    """Of seven folders of code the five used last stay; what holds no code is left alone."""
    for k in range(7):
        (tmp_path / f"code{k}").mkdir()
        (tmp_path / f"code{k}" / "loop.code").write_text("")
        os.utime(tmp_path / f"code{k}", (k, k))
    (tmp_path / "other").mkdir()
    machine_code.forget_old(tmp_path / "code0")
    assert sorted(folder.name for folder in tmp_path.iterdir()) == [
        *("code0", "code3", "code4", "code5", "code6", "other")
    ]
