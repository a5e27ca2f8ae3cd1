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


def test_traces_are_exact() -> None:
    """The three traces give their stated figures without any tolerance but that of the last digit."""
    stops = ran("line-stop-trace")
    minutes = 34 / 520 * 480  # 34 s of stop in a run of 520 s, per shift of 8 h
    assert stops.values("line_stop", "conveyor") == pytest.approx((minutes,), rel=1e-12)
    assert stops.values("throughput") == pytest.approx((6 * 3600 / 520,), rel=1e-12)
    drift = ran("displacement")
    assert drift.values("overload", "S1") == pytest.approx((12 / 10,), rel=1e-12)  # 12 s on ten jobs
    assert drift.values("unfinished", "S1") == pytest.approx((20.0,), rel=1e-12)  # the fourth and the fifth
    sequence = ran("two-step-sequence")
    assert sequence.values("throughput") == pytest.approx((5 * 3600 / 48,), rel=1e-12)
    order = (5, 11, 42, 46, 47)  # moments at which the jobs leave; they enter when machine A takes them
    begun = (0, 2, 6, 12, 42)
    stay_min = sum(out - on for out, on in zip(order, begun, strict=True)) / 5 / 60
    assert sequence.values("lead_time") == pytest.approx((stay_min,), rel=1e-12)


def test_loops_and_queues_agree() -> None:
    """Rework, repair crew, shared tool and queues agree with their closed forms."""
    rework = ran("rework-loop")
    assert_mean_agrees(rework.values("scrapped"), 0.008, must_see=0.004)  # 0.2^3
    assert_mean_agrees(
        rework.values("first_time_through"), 0.8 / (1 - 0.008), must_see=0.03
    )  # of finished jobs
    crew = ran("repair-crew")
    assert_mean_agrees(crew.values("crew_busy", "technician"), 0.43604782, must_see=0.04)
    tool = ran("shared-tool")
    assert_mean_agrees(tool.values("tool_busy", "press"), 0.6, must_see=0.02)
    queues = ran("three-queues")
    assert_mean_agrees(queues.values("in_progress"), 8.5, must_see=3.0)


def test_a_wrong_crew_is_noticed() -> None:
    """The technician's load does not pass for the load of machines that nobody waits for."""
    alone = 5 * 10 / 110  # each machine down 1/11 of the time without waiting
    values = [
        value + 0.05 for value in ran("repair-crew").values("crew_busy", "technician") if value is not None
    ]
    assert_mean_differs(values, alone, must_see=0.04)
