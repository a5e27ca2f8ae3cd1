"""The page of a run and of a study in a real browser: it opens, works, fits, and can be read by everybody."""

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from linesim.report.page import run_page, study_page
from linesim.studies.sweeps import sweep
from tests.pages.opened import opened
from tests.unit.report.small import renamed, small_scenario, small_told

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

RULES = (Path(__file__).parent / "rules.js").read_text(encoding="utf-8")
EVIL = {
    "K1": '<img src=x onerror="window.hit=1">',
    "P2": '"><script>window.hit=2</script>',
    "lane": "$a_b$ & <b>bold</b>",
    "belt": "=1+1",
}
widths = pytest.mark.parametrize(("width", "printed"), [(360, False), (1024, False), (680, True)])


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
    return kept(kept_pages, "hostile.html", lambda: run_page(renamed(small_told(), EVIL)))


@pytest.fixture
def sweep_file(kept_pages: Path) -> Path:
    """Return the page of a sweep over two factors."""

    def make() -> str:
        factors = ["buffer.lane.capacity = [1, 3]", "crew.belt.people = [1, 2]"]
        return study_page(sweep(small_scenario(), factors, replications=3), small_told())

    return kept(kept_pages, "sweep.html", make)


@pytest.fixture(params=["run", "hostile", "sweep"])
def any_file(request: pytest.FixtureRequest) -> Path:
    """Return each of the pages."""
    path = request.getfixturevalue(f"{request.param}_file")
    assert isinstance(path, Path)
    return path


def wrong(page: "Page", *rules: str) -> list[str]:
    """Return what the named rules find wrong with an open page."""
    page.evaluate(RULES)
    return [f"{rule}: {what}" for rule in rules for what in page.evaluate(f"rules.{rule}()")]


def open_folds(page: "Page") -> None:
    """Open every fold of a page."""
    page.evaluate("document.querySelectorAll('details').forEach((fold) => { fold.open = true; })")


def test_the_page_opens_alone(browser: "Browser", any_file: Path) -> None:
    """A page opens without a complaint on the console, and asks for nothing but itself."""
    with opened(browser, any_file) as found:
        assert found.page.locator("main > section").count() >= 10
        assert found.complaints == []
        assert found.requests == []


def test_folds_open_by_keyboard(browser: "Browser", run_file: Path) -> None:
    """The numbers behind a figure are behind a fold that opens with the Enter key and shows a table."""
    with opened(browser, run_file) as found:
        fold = found.page.locator("#figure-stop-bars details")
        assert not fold.locator("table").is_visible()
        fold.locator("summary").focus()
        found.page.keyboard.press("Enter")
        assert fold.locator("table").is_visible()


def test_tables_sort(browser: "Browser", run_file: Path) -> None:
    """A heading sorts its table by value, the largest number first, turns the order round, and says so."""
    with opened(browser, run_file) as found:
        page = found.page
        page.evaluate("document.querySelector('#figure-station-work details').open = true")
        table = page.locator("#figure-station-work table")
        column = "Array.from(t.tBodies[0].rows, (row) => Number(row.cells[3].dataset.v))"

        def values() -> list[float]:
            return list(table.evaluate(f"(t) => {column}"))

        head = table.locator("thead th").nth(3)
        before = values()
        assert before != sorted(before, reverse=True), "the table should not be in this order yet"
        head.locator("button").focus()
        page.keyboard.press("Enter")
        assert values() == sorted(before, reverse=True)
        assert head.get_attribute("aria-sort") == "descending"
        head.locator("button").click()
        assert values() == sorted(before)
        assert head.get_attribute("aria-sort") == "ascending"
        table.locator("thead th button").first.click()
        names = table.locator("tbody th").all_inner_texts()
        assert names == sorted(names)
        assert head.get_attribute("aria-sort") is None


def test_what_if_shows_stored_answers(browser: "Browser", sweep_file: Path) -> None:
    """Selectors show the figures that the study stored for the chosen combination, with intervals."""
    answer = sweep(
        small_scenario(), ["buffer.lane.capacity = [1, 3]", "crew.belt.people = [1, 2]"], replications=3
    )
    with opened(browser, sweep_file) as found:
        box = found.page.locator(".what-if")
        for k, lane in enumerate(("1", "3")):
            for j, people in enumerate(("1", "2")):
                box.locator("select").nth(0).select_option(index=k)
                box.locator("select").nth(1).select_option(index=j)
                row = next(
                    row
                    for row in answer.table("cases")
                    if (row["buffer.lane.capacity"], row["crew.belt.people"]) == (lane, people)
                    and row["measure"] == "jobs_per_shift"
                )
                shown = box.locator("tbody tr").first.inner_text().split("\t")
                assert isinstance(row["mean"], float)
                assert float(shown[1]) == pytest.approx(row["mean"], abs=0.51)
                assert " to " in shown[2] or shown[2] == "always"
        assert "Against the line as it is" in box.locator(".change").inner_text()


def test_hostile_names_stay_text(browser: "Browser", hostile_file: Path) -> None:
    """Names that look like markup, script, formula or mathematics are shown as they are and do nothing."""
    with opened(browser, hostile_file) as found:
        page = found.page
        open_folds(page)
        assert page.evaluate("window.hit") is None
        assert page.locator("main img, main b, main script").count() == 0
        text = page.locator("main").inner_text()
        for name in EVIL.values():
            assert name in text, f"{name} is not to be read on the page"
        drawn = page.evaluate(
            "Array.from(document.querySelectorAll('svg text'), (t) => t.textContent).join('\\n')"
        )
        assert "$a_b$ & <b>bold</b>" in drawn
        assert found.complaints == []


@widths
def test_nothing_overlaps_or_is_cut(browser: "Browser", any_file: Path, width: int, printed: bool) -> None:
    """At phone width, on a desk and on paper nothing lies on something else, is cut off or sticks out."""
    with opened(browser, any_file, width=width, printed=printed) as found:
        if not printed:
            open_folds(found.page)
        assert wrong(found.page, "sideways", "cut", "overlaps", "drawings") == []


def test_paper_has_room_for_every_table(browser: "Browser", run_file: Path) -> None:
    """On paper, where nothing scrolls, every table that is shown fits between the margins."""
    with opened(browser, run_file, width=680, printed=True) as found:
        wide = found.page.evaluate(
            "Array.from(document.querySelectorAll('table')).filter((t) => t.checkVisibility()"
            " && t.getBoundingClientRect().right > document.documentElement.clientWidth + 1)"
            ".map((t) => document.getElementById(t.getAttribute('aria-labelledby')).textContent)"
        )
        assert wide == []


def test_everybody_can_read_it(browser: "Browser", any_file: Path) -> None:
    """Contrast, headings, names of controls and drawings, tables and the order of the keyboard are right."""
    with opened(browser, any_file) as found:
        open_folds(found.page)
        assert wrong(found.page, "contrast", "headings", "names", "tables", "keyboard") == []


def test_what_scrolls_can_be_reached(browser: "Browser", run_file: Path) -> None:
    """At phone width a table that is wider than the page is a named stop for the keyboard; others are not."""
    with opened(browser, run_file, width=360) as found:
        open_folds(found.page)
        found.page.wait_for_timeout(100)
        unlike = found.page.evaluate(
            "Array.from(document.querySelectorAll('.scroll')).filter((box) => box.checkVisibility())"
            ".filter((box) => (box.scrollWidth > box.clientWidth + 1) !== (box.tabIndex === 0)).length"
        )
        assert unlike == 0
        assert found.page.locator(".scroll[tabindex]").count() > 0


def test_the_rules_see_what_is_wrong(browser: "Browser", tmp_path: Path) -> None:
    """Each rule finds its fault in a page that has it: the checks above are not blind."""
    path = tmp_path / "wrong.html"
    path.write_text(
        "<!doctype html><html><body><main style='width:300px'><h1>A</h1><h3>B</h3>"
        "<p style='color:#aaa'>pale</p><button></button><img src='data:,'><i tabindex='3'>x</i>"
        "<table><thead><tr><th>a</th></tr></thead><tbody><tr><td>1</td><td>2</td></tr></tbody></table>"
        "<section><div style='height:40px'>one</div><div style='height:40px;margin-top:-20px'>two</div></section>"  # noqa: E501
        "<div style='width:2000px'>wide</div><div style='width:9px;overflow:hidden;white-space:nowrap'>long</div>"  # noqa: E501
        "<svg viewBox='0 0 100 40' width='100' height='40'><text x='5' y='20' font-size='12'>here</text>"
        "<text x='8' y='22' font-size='12'>there</text><text x='90' y='38' font-size='12'>outside</text></svg>"  # noqa: E501
        "</main></body></html>",
        encoding="utf-8",
    )
    rules = ("contrast", "headings", "names", "tables", "keyboard", "sideways", "cut", "overlaps", "drawings")
    with opened(browser, path) as found:
        for rule in rules:
            assert wrong(found.page, rule), f"the rule {rule!r} is blind"
