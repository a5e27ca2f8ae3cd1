"""Visits to the desk in a real browser: a manager's, a planner's, an engineer's, by mouse and by keyboard."""

import re
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from linesim.desk.guard import leading_to
from linesim.scenario import load
from tests.desks import Served
from tests.pages.visits import Hand, Visit, visited

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

every_way = pytest.mark.parametrize(
    ("width", "hand"), [(width, hand) for width in (1280, 360) for hand in ("mouse", "keyboard")]
)


def changes_say(visit: Visit, text: str) -> None:
    """Wait until the list of what is changed says something."""
    visit.page.locator("#part-changes", has_text=text).wait_for()


def ask(visit: Visit, question: str, **said: str) -> None:
    """Ask a question by its button, with some options said, and wait for its answer."""
    form = visit.page.locator(f'form[data-name="{question}"]')
    visit.use(form.get_by_text("Say more"))
    for option, text in said.items():
        visit.write(form.get_by_label(option.replace("_", " "), exact=True), text)
    visit.use(form.get_by_role("button", name=f"Ask {question}"))
    link = visit.page.get_by_role("link", name=f"The whole answer of {question}")
    link.wait_for(timeout=60_000)


def opened_by(visit: Visit, link: str) -> "Page":
    """Follow a link that opens a page of its own, and return that page."""
    with visit.page.context.expect_page() as opened:
        visit.use(visit.page.get_by_role("link", name=link, exact=True))
    opened.value.locator("h1").wait_for()
    return opened.value


@every_way
def test_a_managers_visit(browser: "Browser", desk: Served, width: int, hand: Hand) -> None:
    """One more in a crew, the answer with its interval, stops and money, kept, saved beside the file."""
    name = f"one-more-{hand}-{width}.toml"
    with visited(browser, desk, width, hand) as visit:
        page = visit.page
        visit.use(page.locator('[data-key="crew.one.people-up"]'))
        changes_say(visit, "one crew: 1 → 2 people")
        assert re.search(r"jobs a shift|no difference", visit.answered())
        assert page.locator("#part-answer table").first.locator("tbody tr").count() >= 4
        assert "Money a shift" in page.locator("#part-answer").inner_text()
        if hand == "keyboard":
            assert page.evaluate("document.activeElement.dataset.key") == "crew.one.people-up"
        for label, text, button, said in (
            ("Keep it as an alternative named", "one more", "Keep", "Kept"),
            ("Save it beside the file", name, "Save beside", "written"),
        ):
            visit.write(page.get_by_label(label), text)
            visit.use(page.get_by_role("button", name=button, exact=True))
            page.locator("#said", has_text=said).wait_for()
        page.locator("#part-kept table").wait_for()
        assert "one more" in page.locator("#part-kept thead").inner_text()
        assert visit.overflow == 0
        assert visit.complaints == []
    saved = desk.desk.session.path.with_name(name)
    assert load(saved).crew["one"].people == 2


@every_way
def test_a_planners_visit(browser: "Browser", desk: Served, width: int, hand: Hand) -> None:
    """A take rate up, tasks moved by the program, a report: all of it from the page."""
    with visited(browser, desk, width, hand) as visit:
        page = visit.page
        visit.use(page.locator("summary", has_text="Take rates"))
        for _ in range(2):
            visit.use(page.locator('[data-key="option.rack.take-up"]'))
        changes_say(visit, "rack: take rate 50% → 60%")
        assert "option.rack.take = 0.6" in page.locator("#part-changes pre").inner_text()
        visit.answered()
        ask(visit, "rebalance", moves="1", replications="3")
        visit.use(page.locator('form[data-do="adopt"] button'))
        page.locator("#part-changes li").nth(1).wait_for()  # the take rate and a task that moved
        visit.answered()
        report = opened_by(visit, "Report")
        assert "Compare report" in report.locator("header").inner_text()
        assert report.locator("#answer").is_visible()
        assert report.evaluate("window.origin") == "null", "a report should not speak to the desk"
        assert visit.overflow == 0
        assert visit.complaints == []


@every_way
def test_an_engineers_visit(browser: "Browser", desk: Served, width: int, hand: Hand) -> None:
    """A task is moved to another station and taken back, moved again; buffers are asked for."""
    with visited(browser, desk, width, hand) as visit:
        page = visit.page
        visit.use(page.locator('.station[data-drop="B"]'))
        task = page.locator('[data-task="station.B.task.rack"]')
        tasks = page.locator("#form .tasks li")

        def move() -> None:
            task.wait_for()
            if hand == "mouse":
                visit.drag(task, page.locator('#form [data-drop="C"]'))
            else:
                page.get_by_label("Move rack to").focus()
                page.keyboard.press("c")
                visit.use(page.get_by_role("button", name="Move rack"))
            changes_say(visit, "rack at B: station B → C")
            tasks.nth(1).wait_for(state="detached")

        move()
        visit.use(page.locator("#part-changes").get_by_role("button", name="Undo"))
        changes_say(visit, "Nothing: the line is as")
        tasks.nth(1).wait_for()
        move()
        ask(visit, "buffers", replications="4")
        assert "linesim buffers line.toml --set" in page.locator("#part-studies pre").first.inner_text()
        assert visit.overflow == 0
        assert visit.complaints == []


def test_everything_is_handed_on(browser: "Browser", desk: Served) -> None:
    """Answer, card, replay and workbook come from the page; none can speak to the desk."""
    with visited(browser, desk) as visit:
        page = visit.page
        page.locator('[data-key="crew.one.people-up"]').click()
        visit.answered()
        ask(visit, "crew", replications="3")
        for link, says in (
            ("The whole answer of crew", "Crew report"), ("Card", "one side"), ("Replay", "as changed"),
        ):  # fmt: skip
            opened = opened_by(visit, link)
            opened.locator("body", has_text=says).wait_for()
            assert opened.evaluate("window.origin") == "null", f"{link} should be locked up"
        with page.expect_download() as download:
            page.get_by_role("link", name="Workbook").click()
        assert Path(download.value.path()).read_bytes()[:2] == b"PK"


@pytest.mark.parametrize("width", [1280, 360])
def test_the_tab_key_comes_everywhere(browser: "Browser", desk: Served, width: int) -> None:
    """From the top the tab key comes to every control that is seen, once each, from top to bottom."""
    with visited(browser, desk, width) as visit:
        page = visit.page
        visit.answered()
        page.locator('.station[data-drop="B"]').click()
        page.locator("#form .tasks li").first.wait_for()
        page.evaluate("document.activeElement.blur(); window.scrollTo(0, 0)")
        shown = page.evaluate(
            "window.shown = () => Array.from(document.querySelectorAll("
            "'a[href], button, input, select, textarea, summary, [tabindex=\"0\"]'))"
            ".filter((one) => one.checkVisibility() && !one.disabled); window.shown().length"
        )
        page.evaluate("document.body.tabIndex = -1; document.body.focus()")
        reached = []
        for _ in range(shown):
            page.keyboard.press("Tab")
            reached.append(page.evaluate("window.shown().indexOf(document.activeElement)"))
        assert reached == list(range(shown))


@pytest.mark.parametrize("control", ["#part-strip .station", "#part-strip .crews a", "#part-steps summary"])
def test_the_focus_stays_where_it_is(browser: "Browser", desk: Served, control: str) -> None:
    """What is shown anew, here since another page has changed the line, leaves the focus where it was."""
    with visited(browser, desk) as visit:
        page = visit.page
        visit.answered()
        page.locator(control).nth(1).focus()
        page.evaluate("window.before = document.activeElement")
        desk.do("change", place="crew.two.people", by=1)
        desk.do("change", line="station.C.places = 2")
        page.wait_for_function("!window.before.isConnected")
        named = "((one) => one.getAttribute('href') ?? one.textContent)"
        assert page.evaluate(f"{named}(document.activeElement) === {named}(window.before)")


def test_the_answer_is_in_sight(browser: "Browser", desk: Served) -> None:
    """On a phone the first line of the answer stands at the foot of the window, wherever one is."""
    with visited(browser, desk, 360) as visit:
        brief = visit.page.locator("#brief")
        same = "document.querySelector('#part-answer .lead').textContent === brief.textContent"
        for press in ("crew.one.people-up", "crew.two.people-up"):
            visit.page.locator(f'[data-key="{press}"]').click()
            visit.page.locator(f'[data-key="undo-{press.removesuffix("-up")}"]').wait_for()
            visit.answered()
            assert visit.page.evaluate(same)
            box = brief.bounding_box()
            assert box is not None and 800 < box["y"] < 900
        brief.click()
        assert visit.page.url.endswith("#answer")


@pytest.mark.parametrize("width", [1280, 360])
def test_wrong_input_is_told_beside_its_field(browser: "Browser", desk: Served, width: int) -> None:
    """What the check refuses is told beside its field, which keeps the focus; mended it goes away."""
    with visited(browser, desk, width, "keyboard") as visit:
        page = visit.page
        visit.use(page.get_by_role("link", name="two", exact=True))
        field = page.locator("#form").get_by_label("people", exact=True)
        field.wait_for()
        assert field.input_value() == "2"
        told = page.locator('[data-field="people"] .wrong')
        visit.write(field, "-3")
        page.keyboard.press("Enter")
        told.filter(has_text="write at least 0").wait_for()
        assert field.get_attribute("aria-invalid") == "true"
        assert page.evaluate("document.activeElement.name") == "people"
        visit.write(field, "3")
        page.keyboard.press("Enter")
        changes_say(visit, "two crew: 2 → 3 people")
        assert told.inner_text() == ""
        visit.write(page.get_by_label("Another change"), "crew.twwo.people = 4")
        page.keyboard.press("Enter")
        page.locator("form.row .wrong", has_text="twwo").wait_for()
        assert visit.overflow == 0
        assert all("422" in one for one in visit.complaints)


def test_a_file_that_changed_is_told_on_the_page(browser: "Browser", desk: Served) -> None:
    """A file changed on disk is told, not written over, and read again with the changes kept."""
    path = desk.desk.session.path
    before = path.read_text(encoding="utf-8")
    with visited(browser, desk) as visit:
        page = visit.page
        page.locator('[data-key="crew.two.people-up"]').click()
        changes_say(visit, "2 → 3")
        path.write_text(before.replace('takt  = "60 s"', 'takt  = "59 s"'), encoding="utf-8")
        page.evaluate("window.dispatchEvent(new Event('focus'))")
        page.get_by_text("line.toml was changed on disk.").wait_for()
        page.get_by_role("button", name="Save into line.toml").click()
        page.locator("form.row .wrong", has_text="changed on disk").wait_for()
        assert "59 s" in path.read_text(encoding="utf-8")
        page.get_by_role("button", name="Read it again").click()
        page.locator("#part-disk p").wait_for(state="detached")
        changes_say(visit, "2 → 3")
        path.write_text(before, encoding="utf-8")
        desk.do("reread")


def test_twenty_pages_show_the_same(browser: "Browser", desk: Served) -> None:
    """Twenty pages of one browser all show a change made on the last, though only one listens."""
    with visited(browser, desk) as visit:
        pages = [visit.page]
        for _ in range(19):
            with visit.page.context.expect_page() as opened:
                visit.page.evaluate("window.open('/') !== null")
            pages.append(opened.value)
        pages[-1].locator('[data-key="crew.two.people-up"]').click()
        for page in pages:
            page.locator("#part-changes", has_text="two crew: 2 → 3 people").wait_for()
        pages[0].close()  # it listened; another one does now
        pages[-1].locator('[data-key="crew.two.people-up"]').click()
        for page in pages[1:]:
            page.locator("#part-changes", has_text="two crew: 2 → 4 people").wait_for()


def test_a_workbook_is_brought_in(browser: "Browser", desk: Served, tmp_path: Path) -> None:
    """A plant's table is read, its headings are shown for a yes, and its tables stand beside the file."""
    plant = tmp_path / "times-of-may.csv"
    rows = "Station;Operation;Time [min]\nA;Fit it;0,8\nB;Bolt it;0,75\nTotal;;1,55\n"
    plant.write_text(rows, encoding="utf-8")
    table = desk.desk.session.path.with_name("tasks.csv")
    with visited(browser, desk) as visit:
        page = visit.page
        part = page.locator("#part-upload")
        write = part.get_by_role("button", name="It is right: write the tables")

        def bring() -> None:
            page.get_by_label("A plant's workbook or CSV file").set_input_files(plant)
            page.get_by_role("button", name="Read it", exact=True).click()
            part.filter(has_text="Operation").wait_for()

        bring()
        assert part.get_by_label("Time [min] is read as").input_value() == "mean_min"
        write.click()
        page.locator("#said", has_text="Written: tasks.csv").wait_for()
        assert table.read_text(encoding="utf-8").splitlines()[1] == "A,fit-it,Fit it,0.8"
        bring()
        write.click()
        part.locator(".wrong", has_text="already there").wait_for()
        part.get_by_label("Replace tasks.csv").check()
        write.click()
        part.locator("form").wait_for(state="detached")
        table.unlink()


def test_the_file_of_the_browser_leads_to_the_desk(browser: "Browser", desk: Served, tmp_path: Path) -> None:
    """The small file that a browser is opened with, which comes from nowhere, leads into the desk."""
    page = tmp_path / "desk.html"
    page.write_text(leading_to(desk.address), encoding="utf-8")
    with visited(browser, desk, address=page.as_uri()) as visit:
        assert visit.page.url == f"http://{desk.host}/", "the key should not stay in the address"
        assert visit.page.evaluate("history.length") <= 2
        assert visit.complaints == []
