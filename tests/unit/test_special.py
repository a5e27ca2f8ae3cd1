"""The special functions: alone where that can be had, and the same as in the whole."""

import subprocess
import sys
from importlib import import_module
from statistics import NormalDist

import pytest

import linesim.special
from linesim import special


def said_by(code: str) -> str:
    """Return what a fresh Python prints."""
    return subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60
    ).stdout


def test_the_functions_are_loaded_without_the_whole() -> None:
    """A quantile loads one compiled file; who loads the whole afterwards has it, with the same functions."""
    code = (
        "import sys; from linesim import special; found = special.ndtri; "
        "print('scipy.special' in sys.modules, end=' '); "
        "from scipy import special as whole; print(whole.ndtri is found, whole.logsumexp([0.0]))"
    )
    assert said_by(code) == "False True 0.0\n"


def test_threads_that_ask_first_at_one_time_all_have_them() -> None:
    """Eight threads that begin with a quantile in the same instant all get theirs."""
    code = (
        "import sys, threading; sys.setswitchinterval(1e-6); from linesim import special\n"
        "begin, found = threading.Barrier(8), []\n"
        "def ask(): begin.wait(); found.append(special.ndtri(0.5))\n"
        "threads = [threading.Thread(target=ask) for _ in range(8)]\n"
        "[one.start() for one in threads]; [one.join() for one in threads]; print(found == [0.0] * 8)"
    )
    assert said_by(code) == "True\n"


def test_what_is_loaded_whole_is_used() -> None:
    """Where somebody has loaded the whole before, nothing is put in its place."""
    code = (
        "from scipy import special as whole; from linesim import special; import sys; "
        "print(special.stdtrit is whole.stdtrit, sys.modules['scipy.special'] is whole)"
    )
    assert said_by(code) == "True True\n"


def test_where_the_file_cannot_be_had_alone_the_whole_is_loaded(monkeypatch: pytest.MonkeyPatch) -> None:
    """Another SciPy may keep its functions elsewhere: then they come from the whole."""
    asked = []

    def load(name: str) -> object:
        asked.append(name)
        if name.endswith("._ufuncs"):
            raise ImportError(name)
        return import_module(name)

    whole = import_module("scipy.special")
    monkeypatch.delitem(sys.modules, "scipy.special")
    monkeypatch.setattr(linesim.special, "import_module", load)
    special._compiled.cache_clear()
    try:
        monkeypatch.setattr(sys.modules["scipy"], "special", whole)
        assert special.ndtri(0.5) == 0.0
    finally:
        special._compiled.cache_clear()
    assert asked == ["scipy.special._ufuncs", "scipy.special"]


def test_values_are_known_ones() -> None:
    """A normal quantile as Python has it; and a function that stands in the whole alone."""
    assert special.ndtri(0.975) == pytest.approx(NormalDist().inv_cdf(0.975), rel=1e-12)
    assert special.polygamma(1, 1.0) == pytest.approx(1.6449340668482264)  # pi squared over six
