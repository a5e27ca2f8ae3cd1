"""The page of a run and of a study in a real browser: it fits phone, desk and paper, and all can read it."""

import re
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.pages.opened import open_folds, opened, violations, wrong

if TYPE_CHECKING:
    from playwright.sync_api import Browser

widths = pytest.mark.parametrize(
    ("width", "printed"), [(360, False), (768, False), (1280, False), (680, True)]
)


@widths
def test_nothing_overlaps_or_is_cut(browser: "Browser", any_file: Path, width: int, printed: bool) -> None:
    """On a phone, a tablet, a desk and on paper nothing lies on something else, is cut off or sticks out."""
    with opened(browser, any_file, width=width, printed=printed) as found:
        if not printed:
            open_folds(found.page)
        assert wrong(found.page, "sideways", "cut", "overlaps", "drawings") == []


@widths
def test_names_without_a_break_stay_in_the_page(
    browser: "Browser", long_names_file: Path, width: int, printed: bool
) -> None:
    """A name of 300 signs without a break is broken or scrolls in its table; the page keeps its width."""
    with opened(browser, long_names_file, width=width, printed=printed) as found:
        if not printed:
            open_folds(found.page)
        assert found.page.evaluate("document.documentElement.scrollWidth") <= width
        assert wrong(found.page, "sideways") == []


@pytest.mark.parametrize("width", [360, 1024])
def test_the_answer_is_on_the_first_screen(browser: "Browser", run_file: Path, width: int) -> None:
    """Without scrolling one reads the answer, on a phone and on a desk; contents come after it."""
    with opened(browser, run_file, width=width) as found:
        lead, contents = (found.page.locator(name).first.bounding_box() for name in ("p.lead", "nav"))
        assert lead is not None and contents is not None
        assert lead["y"] + lead["height"] <= 900
        assert contents["y"] > lead["y"]


def test_the_decision_is_on_one_screen(browser: "Browser", sweep_file: Path) -> None:
    """On a desk the whole card is seen at once; alone it prints on one side of A4."""
    with opened(browser, sweep_file, width=1280, height=900) as found:
        box = found.page.locator(".card").bounding_box()
        assert box is not None and box["y"] + box["height"] <= 900


def test_a_report_prints_on_six_pages(browser: "Browser", run_file: Path) -> None:
    """What stands open of a report takes six pages of paper at most; the sum of a table comes once, last."""
    with opened(browser, run_file, printed=True) as found:
        assert len(re.findall(rb"/Type\s*/Page[^s]", found.page.pdf(format="A4"))) <= 6
        foot = "getComputedStyle(document.querySelector('tfoot')).display"
        head = "getComputedStyle(document.querySelector('thead')).display"
        assert (found.page.evaluate(head), found.page.evaluate(foot)) == (
            "table-header-group", "table-row-group",
        )  # fmt: skip


def test_a_card_prints_on_one_side(browser: "Browser", card_file: Path) -> None:
    """The card alone opens without a complaint, fits a phone, and prints on one side of A4."""
    for width in (360, 1280):
        with opened(browser, card_file, width=width) as found:
            assert found.complaints == [] and found.requests == []
            assert wrong(found.page, "sideways", "cut", "drawings", "contrast", "headings", "names") == []
    with opened(browser, card_file) as found:
        assert len(re.findall(rb"/Type\s*/Page[^s]", found.page.pdf(format="A4"))) == 1


def test_what_scrolls_sideways_shows_it(browser: "Browser", run_file: Path) -> None:
    """On a phone a table that goes on at the side has a shade there; one that fits has none."""
    with opened(browser, run_file, width=360) as found:
        open_folds(found.page)
        found.page.wait_for_timeout(100)
        shaded = found.page.evaluate(
            "Array.from(document.querySelectorAll('section:not(#compared) .scroll'))"
            ".filter((box) => box.checkVisibility()).map((box) => [box.scrollWidth > box.clientWidth + 1,"
            " getComputedStyle(box).backgroundImage.includes('gradient')])"
        )
        assert all(scrolls == shows for scrolls, shows in shaded)
        assert {scrolls for scrolls, _ in shaded} == {True, False}


def test_paper_has_room_for_every_table(browser: "Browser", run_file: Path) -> None:
    """On paper, where nothing scrolls, every table that is shown fits between the margins."""
    with opened(browser, run_file, width=680, printed=True) as found:
        wide = found.page.evaluate(
            "Array.from(document.querySelectorAll('table')).filter((t) => t.checkVisibility()"
            " && t.getBoundingClientRect().right > document.documentElement.clientWidth + 1)"
            ".map((t) => document.getElementById(t.getAttribute('aria-labelledby')).textContent)"
        )
        assert wide == []


@pytest.mark.parametrize("dark", [False, True])
def test_everybody_can_read_it(browser: "Browser", any_file: Path, dark: bool) -> None:
    """By day and in the dark, contrast, headings, names, tables and the order of the keyboard are right."""
    with opened(browser, any_file, dark=dark) as found:
        open_folds(found.page)
        assert wrong(found.page, "contrast", "headings", "names", "tables", "keyboard") == []


def test_axe_finds_nothing(browser: "Browser", card_file: Path, sweep_file: Path, axe: str) -> None:
    """In the card alone, and in the page of a study as it opens, axe-core finds nothing."""
    for path in (card_file, sweep_file):
        with opened(browser, path) as found:
            assert violations(found.page, axe) == []


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
