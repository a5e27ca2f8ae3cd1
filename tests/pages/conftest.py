"""A real browser for the tests of pages: the system's Chromium, without a network and without waiting."""

import os
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from linesim.questions.compare import compare
from linesim.questions.sweep import sweep
from linesim.report.page import card_page, run_page, study_page
from tests.commands.calls import LINE
from tests.desks import Served, served
from tests.pages.opened import EVIL
from tests.unit.report.small import renamed, small_scenario, small_told

if TYPE_CHECKING:
    from playwright.sync_api import Browser

PRICES = '[cost]\nmargin_per_job = 100\nstop_minute = 5\noperator_per_shift = 40\ncurrency = "EUR"\n'
_WHY = "chromium is not installed, so pages are not opened in a browser"


@pytest.fixture(scope="session")
def browser() -> Iterator["Browser"]:
    """Return the browser; without one the tests are skipped, and fail where ``CI`` is set."""
    found = shutil.which("chromium") or shutil.which("chromium-browser")
    if found is None:
        if os.environ.get("CI"):
            pytest.fail(_WHY)
        pytest.skip(_WHY)
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(
            executable_path=found, args=["--no-sandbox", "--disable-gpu", "--disable-background-networking"]
        )
        yield opened
        opened.close()


@pytest.fixture(scope="session")
def axe() -> str:
    """Return the rules of accessibility that a page is held to."""
    import axe_playwright_python

    return (Path(axe_playwright_python.__file__).parent / "axe.min.js").read_text(encoding="utf-8")


@pytest.fixture(scope="session")
def kept_pages(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder for pages that several tests open."""
    return tmp_path_factory.mktemp("pages")


def kept(folder: Path, name: str, make: Callable[[], str]) -> Path:
    """Return the file of a page that is made once."""
    path = folder / name
    if not path.exists():
        path.write_text(make(), encoding="utf-8")
    return path


@pytest.fixture
def run_file(kept_pages: Path) -> Path:
    """Return the page of a run."""
    return kept(kept_pages, "run.html", lambda: run_page(small_told()))


@pytest.fixture
def hostile_file(kept_pages: Path) -> Path:
    """Return the page of a line whose names want to be more than names."""
    return kept(kept_pages, "hostile.html", lambda: run_page(renamed(small_told(), dict(EVIL))))


@pytest.fixture
def sweep_file(kept_pages: Path) -> Path:
    """Return the page of a sweep over two factors."""

    def make() -> str:
        factors = {"buffer.lane.capacity": [1, 3], "crew.belt.people": [1, 2]}
        return study_page(sweep(small_scenario(), factors, replications=3), small_told())

    return kept(kept_pages, "sweep.html", make)


@pytest.fixture
def card_file(kept_pages: Path) -> Path:
    """Return the card of a comparison with prices, alone."""

    def make() -> str:
        line = small_scenario().replace({"cost.margin_per_job": 90, "cost.operator_per_shift": 160})
        return card_page(compare(line, {"crew.belt.people = 3": {"crew.belt.people": 3}}, replications=3))

    return kept(kept_pages, "card.html", make)


@pytest.fixture
def long_names_file(kept_pages: Path) -> Path:
    """Return the page of a comparison whose cases have names of 300 signs without a break."""

    def make() -> str:
        changes = {letter * 300: {"buffer.lane.capacity": number} for letter, number in (("x", 2), ("M", 3))}
        return study_page(compare(small_scenario(), changes, replications=3), small_told())

    return kept(kept_pages, "long.html", make)


@pytest.fixture(params=["run", "hostile", "sweep"])
def any_file(request: pytest.FixtureRequest) -> Path:
    """Return each of the pages."""
    path = request.getfixturevalue(f"{request.param}_file")
    assert isinstance(path, Path)
    return path


@pytest.fixture(scope="session")
def shared(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """Return a desk that visits share; what it has simulated is there for the next."""
    line = tmp_path_factory.mktemp("visit") / "line.toml"
    text = LINE.replace('covers = ["B"]', 'covers = ["B", "C"]') + PRICES
    line.write_text(text, encoding="utf-8")
    with served(line) as found:
        yield found


@pytest.fixture
def desk(shared: Served) -> Iterator[Served]:
    """Return the desk as somebody finds it: nothing changed, nothing kept."""
    yield shared
    shared.do("undo")
    for name in list(shared.desk.session.kept):
        shared.do("drop", name=name)
