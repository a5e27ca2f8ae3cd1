"""How soon the desk answers on the tractor line: the first interval after a click, and a firm one."""

import shutil
from pathlib import Path
from typing import TYPE_CHECKING

import psutil
import pytest

from linesim.runs.workers import usable_cores
from tests.desks import served
from tests.pages.conftest import browser

if TYPE_CHECKING:
    from playwright.sync_api import Browser

__all__ = ["browser"]
pytestmark = pytest.mark.speed

CHANGES = ("crew.trim.people", "option.cab.take.field")
MOST_FIRST, MOST_FIRM = 1.0, 5.0  #: Seconds from a change to its first interval, and to a firm one.
#: Notes when the answer says something new, from the click on; in the page, so that nothing else is measured.
WATCH = """() => {
  window.seen = [];
  const part = document.getElementById("part-answer");
  new MutationObserver(() => {
    const done = /([0-9]+) of [0-9]+ replications/.exec(part.textContent);
    const stands = /(Firm|Settled)[:,]/.test(part.textContent);
    if (done) window.seen.push([performance.now() - window.clicked, Number(done[1]), stands]);
  }).observe(part, { childList: true, subtree: true });
  addEventListener("click", () => { window.clicked = performance.now(); window.seen = []; }, true);
}"""


def test_the_desk_answers_soon(browser: "Browser", scenarios: Path, tmp_path: Path) -> None:
    """The first interval takes less than 1 s of processor time a processor, all replications 5 s."""
    for name in ("line.toml", "tasks.csv", "orders.csv"):
        shutil.copy(scenarios / "tractor" / name, tmp_path)
    cores, own = usable_cores(), psutil.Process()
    print(f"\n  {cores} processors; s by the clock in the browser, s of processor time of the program")
    with served(tmp_path / "line.toml", workers=cores) as desk:
        page = browser.new_page()
        page.set_default_timeout(120_000)
        page.goto(desk.address)
        answer = page.locator("#part-answer")
        answer.filter(has_text="20 of 20").wait_for()
        page.evaluate("document.querySelectorAll('details').forEach((fold) => { fold.open = true; })")
        page.evaluate(WATCH)
        for key in CHANGES:
            page.wait_for_timeout(1000)
            before = sum(own.cpu_times()[:2])
            page.locator(f'[data-key="{key}-up"]').click()
            first = whole = 0.0
            while not (seen := page.evaluate("window.seen")) or seen[-1][1] < 20:
                whole = sum(own.cpu_times()[:2]) - before
                first = first or (whole if seen else 0.0)
                page.wait_for_timeout(50)
            firm = next(one for one in seen if one[2])
            print(
                f"  | {key} | {seen[0][0] / 1000:.1f} | {first:.2f} | {firm[1]} | {firm[0] / 1000:.1f} | "
                f"{seen[-1][0] / 1000:.1f} | {whole:.2f} |"
            )
            assert first / cores < MOST_FIRST
            assert whole / cores < MOST_FIRM
            desk.do("undo")
            answer.filter(has_text="The line makes").wait_for()
        page.close()
