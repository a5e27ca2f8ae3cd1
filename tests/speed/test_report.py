"""What the page of the tractor line costs: seconds to write it, bytes to send it."""

import time
from pathlib import Path

import pytest

from linesim.commands.report import told_of
from linesim.report.page import run_page
from linesim.report.workbook import answer_workbook
from linesim.runs.simulation import simulate
from linesim.scenario import load

pytestmark = pytest.mark.speed

MOST_SECONDS, MOST_BYTES = 5.0, 2_000_000


def test_the_tractor_page_is_quick_and_small(scenarios: Path) -> None:
    """The page of the tractor line is written in under 5 s after the simulation and takes under 2 MB."""
    scenario = load(scenarios / "tractor" / "line.toml")
    result = simulate(scenario, replications=3, file="line.toml")
    # Time of this process: what else the machine is busy with is no cost of the page.
    start, clock = time.process_time(), time.perf_counter()
    page = run_page(told_of(scenario, result, "linesim report line.toml"))
    took, waited = time.process_time() - start, time.perf_counter() - clock
    start = time.process_time()
    book = answer_workbook(told_of(scenario, result, "").answer)
    took_book = time.process_time() - start
    print(f"\n  page {took:.2f} s ({waited:.2f} s by the clock), {len(page.encode()) / 1e6:.2f} MB; ", end="")
    print(f"workbook {took_book:.2f} s, {len(book) / 1e6:.2f} MB")
    assert took < MOST_SECONDS
    assert len(page.encode()) < MOST_BYTES
