"""Does a wrong program fail its tests? Changes one place, runs the tests, lists what nobody noticed.

    python -m tests.mutation.mutate --count 200 --seed 1 linesim/engine linesim/ledger > found.txt
    python -m tests.mutation.mutate --again found.txt linesim/engine linesim/ledger

Works in a temporary copy of the checkout. The quick tests of a room run first; what survives them meets the
slower ones. A mutant that makes no difference (a bound that is never met, an order that does not matter)
stays in the list, to be read by somebody. Not collected by pytest.
"""

from __future__ import annotations

import argparse
import compileall
import importlib
import importlib.util
import os
import py_compile
import random
import shutil
import signal
import sys
import tempfile
from pathlib import Path

from tests.mutation.mutants import Mutant, mutants_of

ROOT = Path(__file__).resolve().parents[2]

#: Tests of each room: the quick ones, and those that meet what the quick ones let through.
TESTS = {
    "engine": (("tests/by_hand", "tests/golden"), ("tests/invariants", "tests/repeatability/test_engine.py")),
    "ledger": (("tests/by_hand", "tests/unit/ledger"), ("tests/golden", "tests/invariants")),
    "measures": (
        tuple(f"tests/unit/measures/test_{name}.py" for name in ("measure", "divisors", "operator_load")),
        ("tests/unit/measures", "tests/by_hand", "tests/golden", "tests/validation/test_key_figures.py"),
    ),
    "stats": (
        ("tests/unit/stats",),
        ("tests/unit/runs/test_precise.py", "tests/unit/runs/test_result.py"),
    ),
}
_WARM = ("numpy", "scipy.special", "scipy.stats", "pydantic", "simpy", "pandas", "pytest")


def copy_of(root: Path) -> Path:
    """Return a temporary copy of what the tests need."""
    place = Path(tempfile.mkdtemp(prefix="mutation-"))
    left_out = shutil.ignore_patterns("__pycache__", ".git", ".hypothesis", "*.sqlite")
    for name in ("linesim", "tests", "scenarios"):
        shutil.copytree(root / name, place / name, ignore=left_out)
    shutil.copy(root / "pyproject.toml", place)
    compileall.compile_dir(
        place / "linesim", quiet=1, invalidation_mode=py_compile.PycInvalidationMode.UNCHECKED_HASH
    )
    return place


def passes(place: Path, tests: tuple[str, ...], seconds: int) -> str:
    """Return ``"pass"``, ``"fail"`` or ``"time"``: how the tests end in a process of their own.

    The process is a copy of this one, which has loaded the libraries but nothing of linesim.
    """
    child = os.fork()
    if child == 0:
        _run_tests(place, tests, seconds)
    _, status = os.waitpid(child, 0)
    ended = os.waitstatus_to_exitcode(status)
    if ended in (-signal.SIGXCPU, -signal.SIGKILL):
        return "time"
    return "pass" if ended == 0 else "fail"


def _run_tests(place: Path, tests: tuple[str, ...], seconds: int) -> None:
    """Run the tests and end this process with their status."""
    status = 3
    try:
        import resource

        import pytest

        used = resource.getrusage(resource.RUSAGE_SELF)
        limit = int(used.ru_utime + used.ru_stime) + seconds
        resource.setrlimit(resource.RLIMIT_CPU, (limit, limit + 2))
        resource.setrlimit(resource.RLIMIT_AS, (4 << 30, 4 << 30))
        os.chdir(place)
        quiet = os.open(os.devnull, os.O_WRONLY)
        os.dup2(quiet, 1)
        os.dup2(quiet, 2)
        for name in [name for name in sys.modules if name.split(".")[0] in ("tests", "linesim")]:
            del sys.modules[name]
        sys.path[:] = [str(place), *(part for part in sys.path if part not in ("", str(ROOT)))]
        sys.dont_write_bytecode = True
        sys.modules["numba"] = None  # type: ignore[assignment]  # each mutant of a rule would be compiled anew
        os.environ["PYTEST_DISABLE_PLUGIN_AUTOLOAD"] = "1"  # none is needed; they take as long as the tests
        status = int(pytest.main(["-x", "-q", "-p", "no:cacheprovider", "-p", "no:randomly", *tests]))
    finally:
        os._exit(status)


def outcome(mutant: Mutant, place: Path, seconds: int, only_quick: bool) -> str:
    """Return what became of a mutant, in a word or two; ``"survived"`` if no test noticed it."""
    path = place / mutant.file
    right = path.read_text(encoding="utf-8")
    compiled = Path(importlib.util.cache_from_source(str(path)))
    kept = compiled.read_bytes()
    path.write_text(mutant.text, encoding="utf-8")
    compiled.unlink()
    try:
        quick, slow = TESTS[Path(mutant.file).parts[1]]
        found = passes(place, quick, seconds)
        if found != "pass" or only_quick:
            return {"fail": "killed", "time": "endless", "pass": "survived"}[found]
        found = passes(place, slow, 4 * seconds)
        return {"fail": "killed by the slow tests", "time": "endless", "pass": "survived"}[found]
    finally:
        path.write_text(right, encoding="utf-8")
        compiled.write_bytes(kept)


def named_in(path: Path, known: list[Mutant]) -> list[Mutant]:
    """Return the mutants that a table printed by this program calls survivors, where they now stand.

    Lines above a mutant may have come or gone: of those with the same change in the same file the nearest.

    Raises:
        SystemExit: If a file no longer has such a mutant.
    """
    found = []
    for row in path.read_text(encoding="utf-8").splitlines():
        if row.startswith("SURVIVED "):
            file, line, rest = row.removeprefix("SURVIVED ").split(":", 2)
            alike = [one for one in known if str(one) == f"{file}:{one.line}:{rest}"]
            if not alike:
                raise SystemExit(f"no such place any more: {row}")
            found.append(min(alike, key=lambda one: abs(one.line - int(line))))
    return found


def main() -> None:
    """Run the mutants asked for and print the table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("paths", nargs="*", default=[f"linesim/{room}" for room in TESTS])
    parser.add_argument("--count", type=int, default=100, help="mutants to draw (default 100)")
    parser.add_argument("--seed", type=int, default=1, help="which ones (default 1)")
    parser.add_argument(
        "--seconds", type=int, default=60, help="processor time of the quick tests, at most [s]"
    )
    parser.add_argument("--quick", action="store_true", help="leave out the slower tests")
    parser.add_argument("--again", type=Path, help="the survivors that an earlier run printed to this file")
    args = parser.parse_args()
    for name in _WARM:
        importlib.import_module(name)
    files = sorted(
        str(path.relative_to(ROOT))
        for named in args.paths
        for path in ([ROOT / named] if named.endswith(".py") else (ROOT / named).rglob("*.py"))
    )
    known = [mutant for file in files for mutant in mutants_of(ROOT, file)]
    if args.again:
        chosen = named_in(args.again, known)
    else:
        chosen = random.Random(args.seed).sample(known, min(args.count, len(known)))
    place = copy_of(ROOT)
    seen: dict[str, int] = {}
    try:
        for room in dict.fromkeys(Path(file).parts[1] for file in files):
            for tests in TESTS[room][: 1 if args.quick else 2]:
                if passes(place, tests, 10 * args.seconds) != "pass":
                    raise SystemExit(f"the tests of {room} are red without a mutant: {' '.join(tests)}")
        for number, mutant in enumerate(chosen, start=1):
            found = outcome(mutant, place, args.seconds, args.quick)
            seen[found] = seen.get(found, 0) + 1
            if found == "survived":
                print(f"SURVIVED {mutant}", flush=True)
            if number % 25 == 0:
                print(f"-- {number} of {len(chosen)}: {seen}", flush=True)
    finally:
        shutil.rmtree(place)
    print(f"{len(known)} mutants known, {len(chosen)} run: {seen}")


if __name__ == "__main__":
    main()
