"""Visits to the desk in a real browser: a manager's, a planner's, an engineer's, by mouse and by keyboard."""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import pytest

from linesim.scenario import load
from tests.commands.calls import LINE
from tests.desks import Served, served
from tests.pages.opened import Opened, violations

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Locator, Page

PRICES = '[cost]\nmargin_per_job = 100\nstop_minute = 5\noperator_per_shift = 40\ncurrency = "EUR"\n'
#: What no page may have wrong, at any width: see rules.js.
RULES = ("overflow", "contrast", "names")
WIDTHS = pytest.mark.parametrize("width", [1280, 360])


@pytest.fixture(scope="module")
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


@contextmanager
def visited(
    browser: "Browser", desk: Served, width: int = 1280, scheme: Literal["light", "dark"] = "light"
) -> Iterator[Opened]:
    """Open the desk by its first address, in a browser that was never used before."""
    context = browser.new_context(
        viewport={"width": width, "height": 900}, reduced_motion="reduce", color_scheme=scheme
    )
    page = context.new_page()
    page.set_default_timeout(20_000)
    found = Opened(page)
    page.on("console", lambda message: found.complaints.append(f"{message.type}: {message.text}"))
    page.on("pageerror", lambda error: found.complaints.append(f"error: {error}"))
    try:
        page.goto(desk.address)
        yield found
    finally:
        context.close()


def answered(page: "Page") -> str:
    """Wait for the last look and return what it says."""
    page.locator("#part-answer", has_text="10 of 10 replications").wait_for()
    return page.locator("#part-answer .lead").inner_text()


def by_key(page: "Page", target: "Locator", key: str = "Enter") -> None:
    """Use a control by keyboard alone."""
    target.focus()
    page.keyboard.press(key)


def drag(page: "Page", source: "Locator", target: "Locator") -> None:
    """Drag one thing onto another by the mouse, in steps as a hand does; both are in view."""
    target.scroll_into_view_if_needed()
    source.scroll_into_view_if_needed()
    (x, y), (to_x, to_y) = (
        (box["x"] + 40, box["y"] + 14) if one is source else (box["x"] + 8, box["y"] + 8)
        for one in (source, target)
        if (box := one.bounding_box()) is not None
    )
    page.mouse.move(x, y)
    page.mouse.down()
    for share in (0.1, 0.5, 0.9, 1.0, 1.0):
        page.mouse.move(x + share * (to_x - x), y + share * (to_y - y))
    page.mouse.up()


@WIDTHS
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_desk_opens_clean(
    browser: "Browser", desk: Served, axe: str, width: int, scheme: Literal["light", "dark"]
) -> None:
    """The page opens without a complaint, keeps no key in its address, fits its width; axe finds nothing."""
    with visited(browser, desk, width, scheme) as found:
        page = found.page
        assert page.url == f"http://{desk.host}/"
        assert "The line makes" in answered(page)
        assert page.locator(".station").count() == 3
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        box = page.locator("#part-strip").bounding_box()
        assert box is not None and box["width"] > 0.5 * width, "the line should have most of the width"
        assert violations(page, axe) == []
        page.evaluate("document.querySelectorAll('details').forEach((fold) => { fold.open = true; })")
        assert violations(page, axe) == []
        assert found.complaints == []


@WIDTHS
@pytest.mark.parametrize("hand", ["mouse", "keyboard"])
def test_a_managers_visit(
    browser: "Browser", desk: Served, axe: str, width: int, hand: str, tmp_path: Path
) -> None:
    """One more in a crew, the answer with its interval, stops and money, kept, saved beside the file."""
    name = f"one-more-{hand}-{width}.toml"
    with visited(browser, desk, width) as found:
        page = found.page
        more = page.locator('[data-key="crew.one.people-up"]')
        by_key(page, more, "Space") if hand == "keyboard" else more.click()
        page.locator("#part-changes", has_text="Crew one: people: 1 → 2").wait_for()
        said = answered(page)
        assert re.search(r"jobs a shift|no difference", said)
        assert page.locator("#part-answer table").first.locator("tbody tr").count() >= 4
        assert "Money a shift" in page.locator("#part-answer").inner_text()
        if hand == "keyboard":
            assert page.evaluate("document.activeElement.dataset.key") == "crew.one.people-up"
        for label, text, button in (
            ("Keep it as an alternative named", "one more", "Keep"),
            ("Save it beside the file", name, "Save beside"),
        ):
            page.get_by_label(label).fill(text)
            if hand == "keyboard":
                page.keyboard.press("Enter")
            else:
                page.get_by_role("button", name=button, exact=True).click()
            page.locator("#said", has_text="Kept" if button == "Keep" else "written").wait_for()
        page.locator("#part-kept table").wait_for()
        assert "one more" in page.locator("#part-kept thead").inner_text()
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        assert violations(page, axe) == []
        assert found.complaints == []
    saved = desk.desk.session.path.with_name(name)
    assert load(saved).crew["one"].people == 2


def test_a_planners_visit(browser: "Browser", desk: Served, axe: str) -> None:
    """A take rate up, tasks moved by the program, and a report: all of it from the page."""
    with visited(browser, desk) as found:
        page = found.page
        page.get_by_text("Take rates").click()
        for _ in range(2):
            page.locator('[data-key="option.rack.take-up"]').click()
        page.locator("#part-changes", has_text="Option rack: take: 50% → 60%").wait_for()
        assert "option.rack.take = 0.6" in page.locator("#part-changes pre").inner_text()
        answered(page)
        question = page.locator('form[data-name="rebalance"]')
        question.get_by_text("Say more").click()
        question.get_by_label("moves", exact=True).fill("1")
        question.get_by_label("replications").fill("3")
        question.get_by_role("button", name="Ask rebalance").click()
        page.locator("#part-studies .answered, #part-studies p").first.wait_for()
        page.locator("#part-studies", has_text="The whole answer").wait_for()
        assert violations(page, axe) == []
        with page.context.expect_page() as opened_page:
            page.get_by_role("link", name="The whole answer of rebalance").click()
        opened_page.value.locator("h1").wait_for()
        assert "Rebalance report" in opened_page.value.locator("header").inner_text()
        with page.context.expect_page() as opened_page:
            page.get_by_role("link", name="Report", exact=True).click()
        report = opened_page.value
        report.locator("#answer").wait_for()
        assert "Compare report" in report.locator("header").inner_text()
        assert report.evaluate("window.origin") == "null", (
            "a report is locked up: it cannot speak to the desk"
        )
        with page.context.expect_page() as opened_page:
            page.get_by_role("link", name="Card", exact=True).click()
        opened_page.value.get_by_text("To be surer").wait_for()
        assert "one side" in opened_page.value.locator("header").inner_text()
        with page.context.expect_page() as opened_page:
            page.get_by_role("link", name="Replay", exact=True).click()
        opened_page.value.get_by_text("as changed").first.wait_for()
        with page.expect_download() as download:
            page.get_by_role("link", name="Workbook").click()
        assert Path(download.value.path()).read_bytes()[:2] == b"PK"
        page.get_by_role("button", name="Change", exact=True).and_(
            page.locator('form[data-do="adopt"] button')
        ).click()
        page.locator("#part-changes li").nth(1).wait_for()  # the take rate and a task that moved
        assert found.complaints == []


@WIDTHS
def test_an_engineers_visit(browser: "Browser", desk: Served, axe: str, width: int) -> None:
    """A task is dragged and taken back, moved by keyboard; the question of buffers is asked."""
    with visited(browser, desk, width) as found:
        page = found.page
        page.locator('.station[data-drop="B"]').click()
        task = page.locator('[data-task="station.B.task.rack"]')
        task.wait_for()
        assert violations(page, axe) == []
        drag(page, task, page.locator('#form [data-drop="C"]'))
        changes = page.locator("#part-changes")
        changes.filter(has_text="B, task rack: station: B → C").wait_for()
        page.locator("#form .tasks li").nth(1).wait_for(state="detached")
        changes.get_by_role("button", name="Undo B, task rack: station").click()
        changes.filter(has_text="Nothing: the line is as").wait_for()
        page.locator("#form .tasks li").nth(1).wait_for()
        select = page.get_by_label("Move rack to")
        select.focus()
        page.keyboard.press("c")
        by_key(page, page.get_by_role("button", name="Move rack"))
        changes.filter(has_text="B, task rack: station: B → C").wait_for()
        question = page.locator('form[data-name="buffers"]')
        question.get_by_text("Say more").click()
        question.get_by_label("max replications").or_(question.get_by_label("replications")).first.fill("4")
        by_key(page, question.get_by_role("button", name="Ask buffers"))
        asked = page.locator("#part-studies .answered", has_text="linesim buffers line.toml --set")
        asked.get_by_text("The whole answer").wait_for()
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        assert violations(page, axe) == []
        assert found.complaints == []


@WIDTHS
def test_wrong_input_is_told_beside_its_field(browser: "Browser", desk: Served, axe: str, width: int) -> None:
    """What the check refuses is told beside its field, and mended it goes away."""
    with visited(browser, desk, width) as found:
        page = found.page
        page.get_by_role("link", name="two", exact=True).click()
        field = page.locator("#form").get_by_label("people", exact=True)
        assert field.input_value() == "2"
        field.fill("-3")
        page.keyboard.press("Enter")
        told = page.locator('[data-field="people"] .wrong')
        told.filter(has_text="write at least 0").wait_for()
        assert field.get_attribute("aria-invalid") == "true"
        assert page.evaluate("document.activeElement.name") == "people"
        assert violations(page, axe) == []
        field.fill("3")
        page.keyboard.press("Enter")
        page.locator("#part-changes", has_text="Crew two: people: 2 → 3").wait_for()
        assert told.inner_text() == ""
        page.get_by_label("Another change").fill("crew.twwo.people = 4")
        page.keyboard.press("Enter")
        page.locator("form.row .wrong", has_text="twwo").wait_for()
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        assert found.complaints == [] or all("422" in one for one in found.complaints)


def test_a_file_that_changed_is_told_on_the_page(browser: "Browser", desk: Served, axe: str) -> None:
    """A file changed on disk is told, not written over, and read again with the changes kept."""
    path = desk.desk.session.path
    before = path.read_text(encoding="utf-8")
    with visited(browser, desk) as found:
        page = found.page
        page.locator('[data-key="crew.two.people-up"]').click()
        page.locator("#part-changes", has_text="2 → 3").wait_for()
        path.write_text(before.replace('takt  = "60 s"', 'takt  = "59 s"'), encoding="utf-8")
        page.evaluate("window.dispatchEvent(new Event('focus'))")
        page.get_by_text("line.toml was changed on disk.").wait_for()
        assert violations(page, axe) == []
        page.get_by_role("button", name="Save into line.toml").click()
        page.locator("form.row .wrong", has_text="changed on disk").wait_for()
        assert "59 s" in path.read_text(encoding="utf-8")
        page.get_by_role("button", name="Read it again").click()
        page.locator("#part-changes", has_text="2 → 3").wait_for()
        page.locator("#part-disk p").wait_for(state="detached")
        path.write_text(before, encoding="utf-8")
        desk.do("reread")


def test_twenty_pages_show_the_same(browser: "Browser", desk: Served) -> None:
    """Twenty pages of one browser all show a change made on the last, though only one listens."""
    with visited(browser, desk) as found:
        pages = [found.page]
        for _ in range(19):
            page = found.page.context.new_page()
            page.goto(f"http://{desk.host}/")
            pages.append(page)
        pages[-1].locator('[data-key="crew.two.people-up"]').click()
        for page in pages:
            page.locator("#part-changes", has_text="Crew two: people: 2 → 3").wait_for()
        pages[0].close()  # it listened; another one does now
        pages[-1].locator('[data-key="crew.two.people-up"]').click()
        for page in pages[1:]:
            page.locator("#part-changes", has_text="Crew two: people: 2 → 4").wait_for()


def test_a_workbook_is_brought_in(browser: "Browser", desk: Served, axe: str, tmp_path: Path) -> None:
    """A plant's table is read, its headings are shown for a yes, and its tables stand beside the file."""
    plant = tmp_path / "times-of-may.csv"
    rows = "Station;Operation;Time [min]\nA;Fit it;0,8\nB;Bolt it;0,75\nTotal;;1,55\n"
    plant.write_text(rows, encoding="utf-8")
    with visited(browser, desk) as found:
        page = found.page
        page.get_by_label("A plant's workbook or CSV file").set_input_files(plant)
        page.get_by_role("button", name="Read it", exact=True).click()
        part = page.locator("#part-upload")
        part.filter(has_text="Operation").wait_for()
        assert part.get_by_label("Time [min] is read as").input_value() == "mean_min"
        assert violations(page, axe) == []
        part.get_by_role("button", name="It is right: write the tables").click()
        page.locator("#said", has_text="Written: tasks.csv").wait_for()
        table = desk.desk.session.path.with_name("tasks.csv")
        assert table.read_text(encoding="utf-8").splitlines()[1] == "A,fit-it,Fit it,0.8"
        page.get_by_label("A plant's workbook or CSV file").set_input_files(plant)
        page.get_by_role("button", name="Read it", exact=True).click()
        part.get_by_role("button", name="It is right: write the tables").click()
        part.locator(".wrong", has_text="already there").wait_for()
        part.get_by_label("Replace tasks.csv").check()
        part.get_by_role("button", name="It is right: write the tables").click()
        page.locator("#said", has_text="Written: tasks.csv").wait_for()
        table.unlink()
