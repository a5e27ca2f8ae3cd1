"""The page of a replay in a real browser: it fits, can be read by everybody, prints, and harms nobody."""

from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.pages.opened import open_folds, opened, violations
from tests.pages.replays import EVIL, replay_file

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

RULES = (Path(__file__).parent / "rules.js").read_text(encoding="utf-8")
widths = pytest.mark.parametrize(("width", "printed"), [(360, False), (1024, False), (680, True)])


def test_hostile_names_stay_text(browser: "Browser", kept_pages: Path) -> None:
    """Names that look like markup, script or mathematics are shown as they are and do nothing."""
    with opened(browser, replay_file(kept_pages, "hostile")) as found:
        page = found.page
        page.wait_for_selector("body[data-ready]")
        page.evaluate("document.querySelectorAll('details').forEach((fold) => { fold.open = true; })")
        page.locator("#which").select_option("every")
        page.locator("#paths .touch").first.dispatch_event("click")
        page.evaluate("document.activeElement.blur()")
        for key in "nnmsnnSpw":
            page.keyboard.press(key)
        assert page.evaluate("window.hit") is None
        assert page.locator("main img, main script, main i:not(.slot), main u, svg svg").count() == 0
        assert page.locator("main b").count() == 1 + page.locator("#strip b").count()
        text = page.evaluate("document.body.textContent")
        for name in EVIL.values():
            assert name in text, f"{name} is not to be read on the page"
        assert page.title() == "</title><script>window.hit=6</script>: replay"
        assert found.complaints == []
        assert found.requests == []


def wrong(page: "Page", *rules: str) -> list[str]:
    """Return what the named rules find wrong with an open page; drawings for the eye alone are left out."""
    page.evaluate(RULES)
    return [f"{rule}: {what}" for rule in rules for what in page.evaluate(f"rules.{rule}()")]


@widths
@pytest.mark.parametrize("which", ["plain", "hostile", "pair"])
def test_nothing_overlaps_or_is_cut(
    browser: "Browser", kept_pages: Path, which: str, width: int, printed: bool
) -> None:
    """At phone width, on a desk and on paper nothing lies on something else, is cut off or sticks out."""
    with opened(browser, replay_file(kept_pages, which), width=width, printed=printed) as found:
        found.page.wait_for_selector("body[data-ready]")
        if not printed:
            found.page.evaluate(
                "document.querySelectorAll('details').forEach((fold) => { fold.open = true; })"
            )
        assert wrong(found.page, "sideways", "cut", "overlaps") == []
        outside = found.page.evaluate(
            """() => [...document.querySelectorAll("svg.sheet")].filter((svg) => svg.checkVisibility()).flatMap((svg) => {
              const frame = svg.getBoundingClientRect();
              return [...svg.querySelectorAll("text")].filter((text) => text.textContent).filter((text) => {
                const box = text.getBoundingClientRect();
                return box.width && (box.left < frame.left - 2 || box.right > frame.right + 2
                  || box.top < frame.top - 3 || box.bottom > frame.bottom + 3);
              }).map((text) => text.textContent);
            })"""  # noqa: E501
        )
        assert outside == []
        assert found.complaints == []


@pytest.mark.parametrize(("which", "dark"), [("plain", False), ("plain", True), ("pair", False)])
def test_everybody_can_read_it(browser: "Browser", kept_pages: Path, which: str, dark: bool) -> None:
    """Contrast, headings, names of controls and drawings, tables and the order of the keyboard are right."""
    with opened(browser, replay_file(kept_pages, which), dark=dark) as found:
        page = found.page
        page.wait_for_selector("body[data-ready]")
        page.evaluate("document.querySelectorAll('details').forEach((fold) => { fold.open = true; })")
        page.locator("#paths .touch").first.dispatch_event("click")
        unnamed = page.evaluate(
            "[...document.querySelectorAll('svg:not([aria-hidden])')].filter((svg) =>"
            " svg.getAttribute('role') !== 'img' || !svg.getAttribute('aria-label')).length"
        )
        assert unnamed == 0
        page.evaluate("document.querySelectorAll('svg').forEach((svg) => svg.remove())")
        assert wrong(page, "contrast", "headings", "names", "tables", "keyboard") == []


@pytest.mark.parametrize(
    ("which", "width", "dark"),
    [("plain", 1280, False), ("plain", 360, True), ("pair", 1280, True), ("pair", 360, False)],
)
def test_axe_finds_nothing(
    browser: "Browser", kept_pages: Path, axe: str, which: str, width: int, dark: bool
) -> None:
    """At both widths, by day and in the dark, with all open and a job followed axe-core finds nothing."""
    with opened(browser, replay_file(kept_pages, which), width=width, dark=dark) as found:
        page = found.page
        page.wait_for_selector("body[data-ready]")
        open_folds(page)
        page.locator("#paths .touch").first.dispatch_event("click")
        assert violations(page, axe) == []


@pytest.mark.parametrize("which", ["plain", "pair"])
def test_it_is_on_one_screen(browser: "Browser", kept_pages: Path, which: str) -> None:
    """At 1280 by 900 controls, counts, line and space-time drawing stand together, and the controls stay."""
    with opened(browser, replay_file(kept_pages, which), width=1280) as found:
        page = found.page
        page.wait_for_selector("body[data-ready]")
        page.locator("#stops tbody button").first.click()
        seen = "#desk, #tools, .count, .pane, .paths svg"
        boxes = [one.bounding_box() for one in page.locator(seen).all()]
        assert len(boxes) == (6 if which == "plain" else 10)
        for box in boxes:
            assert box is not None and box["y"] >= -1 and box["y"] + box["height"] <= 901, boxes
        page.evaluate("scrollTo(0, document.body.scrollHeight)")
        assert page.locator("#reading").is_visible()
        for name in ("#desk", "#tools"):
            box = page.locator(name).bounding_box()
            assert box is not None and 0 <= box["y"] < 200


def test_people_are_told_apart_on_a_phone(browser: "Browser", kept_pages: Path) -> None:
    """At 360 px no two people below a station are called alike, and what they do is a mark, not a colour."""
    with opened(browser, replay_file(kept_pages, "plain"), width=360) as found:
        page = found.page
        page.wait_for_selector("body[data-ready]")
        page.evaluate("document.activeElement.blur()")
        marks = {"works": "●", "walks": "→", "helps": "+", "waits": "○"}
        for _ in range(15):
            page.keyboard.press("n")
            chips = page.evaluate(
                """() => [...document.querySelectorAll("#strip .chip")].map((chip) => [chip.classList[1],
                  chip.textContent.replace(chip.querySelector("title").textContent, ""),
                  Math.round(chip.getBoundingClientRect().left), chip.closest("svg").ariaLabel,
                  parseFloat(getComputedStyle(chip.querySelector("text")).fontSize)])"""
            )
            assert chips
            for kind, text, _, _, size in chips:
                assert text.startswith(marks[kind]) and size >= 12
            assert len({(text, left, where) for _, text, left, where, _ in chips}) == len(chips)


def test_paper_shows_threads_and_stops(browser: "Browser", kept_pages: Path) -> None:
    """On paper there are the day, the diagrams and the stops, and nothing that only works on a screen."""
    with opened(browser, replay_file(kept_pages, "plain"), width=680, printed=True) as found:
        page = found.page
        page.wait_for_selector("body[data-ready]")
        assert page.locator("#paths svg").is_visible()
        assert page.locator("#paths .thread").count() > 5
        assert page.locator("#drift svg").is_visible()
        assert page.locator("#ruler .made").is_visible()
        assert page.locator("#stops tbody tr").first.is_visible()
        hidden = page.locator("#strip, #moment, .desk, .hand-tools, .keys-list, .hand")
        assert hidden.locator("visible=true").count() == 0
        page.evaluate("dispatchEvent(new Event('beforeprint'))")
        assert page.locator("#paths svg").get_attribute("width") == "700"
        page.evaluate("dispatchEvent(new Event('afterprint'))")
        assert found.complaints == []


def test_without_scripts_the_stops_are_there(browser: "Browser", kept_pages: Path) -> None:
    """A reader whose browser runs no scripts reads the sentences, the list of stops, and why it is bare."""
    context = browser.new_context(java_script_enabled=False, offline=True)
    try:
        page = context.new_page()
        page.goto(replay_file(kept_pages, "plain").as_uri())
        assert page.get_by_text("The drawings of this page need JavaScript").is_visible()
        assert page.locator("#stops tbody tr").count() > 3
    finally:
        context.close()
