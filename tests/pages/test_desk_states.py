"""The desk in each of its states: by day and in the dark, on a desk and on a phone, all can read it."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from linesim.desk.asking import Asker
from linesim.desk.studies import Studies
from tests.desks import Served
from tests.pages.opened import open_folds, violations
from tests.pages.visits import Visit, held, visited

if TYPE_CHECKING:
    from playwright.sync_api import Browser

#: Width of the window, and whether the reader prefers light letters on a dark page.
LOOKS = ((1280, False), (1280, True), (360, True), (360, False))


@dataclass
class Judged:
    """A visit whose states are judged one by one.

    Attributes:
        visit: The visit.
        axe: The rules of accessibility that every state is held to.
        wrong: What was wrong, with the state and how it was looked at.
    """

    visit: Visit
    axe: str
    wrong: list[str] = field(default_factory=list)

    def judge(self, state: str, *parts: str) -> None:
        """Note what is wrong in a state, at every width and in every light.

        Args:
            state: What it is called.
            parts: What the state changes, as selectors; the rest of the page is as it was judged before.
        """
        page = self.visit.page
        for width, dark in LOOKS:
            page.set_viewport_size({"width": width, "height": 900})
            page.emulate_media(color_scheme="dark" if dark else "light")
            found = violations(page, self.axe, ", ".join(parts) or "html")
            found += [f"wider than the window by {by} px"] if (by := self.visit.overflow) else []
            self.wrong += [f"{state}, {width} px{', dark' if dark else ''}: {one}" for one in found]

    def says(self, part: str, text: str) -> None:
        """Wait until a part of the page says something."""
        self.visit.page.locator(part, has_text=text).first.wait_for()

    def press(self, name: str, within: str = "main") -> None:
        """Press the button of a name."""
        self.visit.page.locator(within).get_by_role("button", name=name, exact=True).first.click()

    def write(self, label: str, text: str) -> None:
        """Write into a field and send it."""
        self.visit.page.get_by_label(label).first.fill(text)
        self.visit.page.keyboard.press("Enter")


@pytest.fixture
def judged(browser: "Browser", desk: Served, axe: str) -> Iterator[Judged]:
    """Return a visit in which nothing may be wrong at its end."""
    with visited(browser, desk) as visit:
        found = Judged(visit, axe)
        visit.answered()
        yield found
        assert found.wrong == []


@pytest.mark.parametrize("folds", ["as they are", "open"])
def test_the_start(judged: Judged, folds: str) -> None:
    """The page as it opens, and with everything unfolded; nobody complains, and the line has its room."""
    page = judged.visit.page
    assert "The line makes" in judged.visit.answered()
    assert page.locator(".station").count() == 3
    if folds == "open":
        open_folds(page)
    judged.judge(f"the start, folds {folds}")
    for width in (1280, 360):
        page.set_viewport_size({"width": width, "height": 900})
        box = page.locator("#part-strip").bounding_box()
        assert box is not None and box["width"] > 0.5 * width, "the line should have most of the width"
    assert judged.visit.complaints == []


def test_an_answer_on_its_way(judged: Judged) -> None:
    """A change listed; its answer awaited, not settled, firm, and settled with and without a side."""
    with held(Asker, "_looked") as look:
        judged.write("Another change", "station.B.late = 0.19")
        judged.says("#part-changes", "B: late 20% → 19%")
        judged.says("#part-answer", "Asking what the change does")
        judged.judge("a change listed, its answer awaited", "#part-changes", "#part-answer", "#said")
        look()
        judged.says("#part-answer", "Not settled")
        judged.judge("can't tell yet", "#part-answer")
    judged.says("#part-answer", "Settled, as far as")
    judged.judge("can't tell", "#part-answer")
    with held(Asker, "_looked") as look:
        judged.write("Another change", 'takt = "45 s"')
        for done in (2, 4, 8):
            look()
            judged.says("#part-answer", f"{done} of 10 replications")
        judged.says("#part-answer", "Firm: ")
        judged.judge("a firm answer", "#part-answer", "#part-changes")
    judged.says("#part-answer", "Settled: these are all")
    judged.judge("a settled answer", "#part-answer")


@pytest.mark.parametrize(
    ("link", "title"),
    [("The line and its run", "The line and its run"), ("B,", "Station B"), ("two", "Crew two")],
)
def test_a_form(judged: Judged, link: str, title: str) -> None:
    """The form of the line, of a station with its tasks, of a crew."""
    judged.visit.page.get_by_role("link", name=link, exact=link != "B,").first.click()
    judged.says("#form h2", title)
    judged.judge(f"the form of {title}", "#form", "#part-strip")


def test_errors(judged: Judged) -> None:
    """Input that is wrong: beside the field of a form, and below a line that is written."""
    page = judged.visit.page
    page.get_by_role("link", name="two", exact=True).click()
    page.locator("#form").get_by_label("people", exact=True).fill("-3")
    page.keyboard.press("Enter")
    judged.says('[data-field="people"] .wrong', "write at least 0")
    judged.judge("an error beside its field", "#form")
    judged.write("Another change", "crew.twwo.people = 4")
    judged.says("form.row .wrong", "twwo")
    judged.judge("an error below a line", "form.row")


def test_alternatives_and_files(judged: Judged, desk: Served) -> None:
    """Alternatives compared and side by side, a name refused, saved, and a file changed on disk."""
    path = desk.desk.session.path
    before = path.read_text(encoding="utf-8")
    with held(Asker, "_sides"):
        judged.press("People, one: more")
        judged.write("Keep it as", "one more")
        judged.says("#part-kept", "They are being compared")
        judged.judge("alternatives being compared", "#part-kept")
    judged.press("People, two: more")
    judged.write("Keep it as", "one more in each crew, and a name that is long")
    judged.says("#part-kept thead", "one more in each crew")
    judged.judge("alternatives side by side", "#part-kept")
    judged.write("Save it beside", "../line")
    judged.says("form.row .wrong", "that ends in .toml")
    judged.judge("a name refused", "form.row")
    judged.write("Save it beside", "saved.toml")
    judged.says("#said", "saved.toml is written")
    judged.judge("saved", "#said", "form.row")
    path.write_text(before + "\n", encoding="utf-8")
    judged.visit.page.evaluate("window.dispatchEvent(new Event('focus'))")
    judged.says("#part-disk", "line.toml was changed on disk.")
    judged.judge("a file changed on disk", "header")
    judged.press("Save into line.toml")
    judged.says("form.row .wrong", "changed on disk")
    judged.judge("nothing written over", "form.row")
    path.write_text(before, encoding="utf-8")
    desk.do("reread")


def test_a_study_on_its_way(judged: Judged) -> None:
    """A study with its progress, stopped, answered, and one that cannot be asked so."""
    page = judged.visit.page
    asks = page.locator('form[data-name="crew"]')
    with held(Studies, "_progress") as step:
        judged.press("Ask crew")
        judged.says("#part-running", "crew is on its way")
        judged.judge("a study begins", "#part-running")
        for _ in range(2):
            step()
        page.locator("#part-running progress").wait_for()
        judged.judge("a study with its progress", "#part-running")
        judged.press("Stop", "#part-running")
    judged.says("#part-running", "stopped; what was simulated is kept")
    judged.judge("a study stopped", "#part-running", "#said")
    asks.get_by_text("Say more").click()
    asks.get_by_label("replications", exact=True).fill("many")
    judged.press("Ask crew")
    asks.locator(".wrong", has_text="many").wait_for()
    judged.judge("a question refused", 'form[data-name="crew"]')
    asks.get_by_label("replications", exact=True).fill("3")
    judged.press("Ask crew")
    judged.says("#part-studies", "The whole answer")
    judged.judge("a study answered", "#part-studies")
    judged.judge("the whole page after a visit")


def test_an_upload(judged: Judged, tmp_path: Path) -> None:
    """A table with its heading map, and one that cannot be read."""
    page = judged.visit.page
    bring = page.get_by_label("A plant's workbook or CSV file")
    judged.press("Read it")
    judged.says("#bring .wrong", "Choose a file first")
    judged.judge("no file chosen", "#bring")
    for name, rows in (("nothing.csv", ""), ("times.csv", "Station;Operation;Time [min]\nA;Fit it;0,8\n")):
        (tmp_path / name).write_text(rows, encoding="utf-8")
        bring.set_input_files(tmp_path / name)
        judged.press("Read it")
        judged.says(*(("#part-upload", "Operation") if rows else ("#bring .wrong", "nothing.csv")))
        judged.judge(f"upload of {name}", "#bring, #part-upload")


@pytest.mark.parametrize("path", ["/enter/0123456789", "/nothing", "/answer/nothing"])
def test_an_address_that_is_not_answered(judged: Judged, desk: Served, path: str) -> None:
    """A key that is wrong, an address with nothing there: the page that says so can be read by all."""
    judged.visit.page.goto(f"http://{desk.host}{path}")
    assert judged.visit.page.locator("h1").inner_text() == "Not on this desk"
    judged.judge(path)


def test_a_browser_without_the_cookie_is_told(browser: "Browser", desk: Served, axe: str) -> None:
    """Who comes without the first address is told how the desk is opened."""
    context = browser.new_context()
    page = context.new_page()
    page.goto(f"http://{desk.host}/")
    assert "the address that the program printed" in page.locator("main").inner_text()
    assert violations(page, axe) == []
    context.close()
