"""The textbook lines give the answers that their comments state."""

import re
from functools import cache
from pathlib import Path

import pytest

from tests.documents.pages import ROOT
from tests.statistical import assert_mean_agrees, assert_mean_differs

BOOK = ROOT / "scenarios" / "textbook"


def stated(path: Path) -> float:
    """Return the throughput [jobs/h] that a file's comment gives as exact."""
    comment = " ".join(
        line[1:].strip() for line in path.read_text(encoding="utf-8").splitlines() if line[:1] == "#"
    )
    found = re.search(r"Exact: .*?([\d.]+) jobs/h", comment)
    assert found, path
    return float(found[1])


WITH_RATE = tuple(
    path.stem for path in sorted(BOOK.glob("*.toml")) if "jobs/h" in path.read_text(encoding="utf-8")
)
EXACTLY = ("eleven-tasks",)


@cache
def ran(name: str):  # type: ignore[no-untyped-def]
    """Return the result of a textbook line as shipped."""
    import linesim

    return linesim.simulate(linesim.load(BOOK / f"{name}.toml"))


@pytest.mark.parametrize("name", [name for name in WITH_RATE if name not in EXACTLY])
def test_throughput_is_the_stated_one(name: str) -> None:
    """The throughput of a textbook line agrees with its comment, and an error of 4 % would be seen."""
    exact = stated(BOOK / f"{name}.toml")
    assert_mean_agrees(ran(name).values("throughput"), exact, must_see=0.04 * exact)


def test_a_wrong_line_is_noticed() -> None:
    """A line with one place in each gap does not pass for the line without places."""
    exact = stated(BOOK / "three-machines.toml")
    assert_mean_differs(ran("three-machines-one-place").values("throughput"), exact, must_see=0.04 * exact)


@pytest.mark.parametrize("name", EXACTLY)
def test_constant_lines_give_exactly_the_stated_rate(name: str) -> None:
    """A line of constant times makes exactly the stated jobs per hour and never stops."""
    result = ran(name)
    assert result.values("throughput") == (stated(BOOK / f"{name}.toml"),)
    assert set(result.values("line_stop", "line")) == {0.0}
