"""The page of a run and of a study in a real browser: opens alone, folds, sorts, chooses, runs nothing."""

from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from linesim.questions.sweep import sweep
from tests.pages.opened import EVIL, open_folds, opened
from tests.unit.report.small import small_scenario

if TYPE_CHECKING:
    from playwright.sync_api import Browser


def test_the_page_opens_alone(browser: "Browser", any_file: Path) -> None:
    """A page opens without a complaint on the console, and asks for nothing but itself."""
    with opened(browser, any_file) as found:
        assert found.page.locator("main > section").count() >= 6
        assert found.complaints == []
        assert found.requests == []


def test_folds_open_by_keyboard(browser: "Browser", run_file: Path) -> None:
    """The numbers behind a figure are behind a fold that opens with the Enter key and shows a table."""
    with opened(browser, run_file) as found:
        fold = found.page.locator("#figure-losses details")
        assert not fold.locator("table").is_visible()
        fold.locator("summary").focus()
        found.page.keyboard.press("Enter")
        assert fold.locator("table").is_visible()


def test_a_station_is_chosen_on_the_map_and_in_the_list(browser: "Browser", run_file: Path) -> None:
    """A click on a station, or the list by keyboard, leaves its marks and rows and sets all others back."""
    with opened(browser, run_file, width=1280) as found:
        page = found.page
        open_folds(page)
        drawn = "document.querySelectorAll('#figure-waits .wide [data-at=\"{}\"]')"
        aside = f"Array.from({drawn}, (part) => part.classList.contains('aside'))"
        row = page.locator("#figure-station-work tbody tr")
        assert page.evaluate(f"{drawn.format('K1')}.length") > 0
        page.locator("#figure-strip .wide [data-at=K1]").first.click()
        assert set(page.evaluate(aside.format("K1"))) == {False}
        assert set(page.evaluate(aside.format("K2"))) == {True}
        assert [line.is_visible() for line in row.all()] == [False, False, True, False]
        steps = "Object.fromEntries(Array.from(document.querySelectorAll('#figure-losses .wide [data-at]'),"
        shown = page.evaluate(f"{steps} (part) => [part.dataset.at, part.classList.contains('aside')]))")
        assert shown["K1"] is False and shown["belt"] is True, (
            "of each step what begins at the station is left"
        )
        page.get_by_label("Show only").select_option("all stations")
        assert set(page.evaluate(aside.format("K2"))) == {False}
        assert all(line.is_visible() for line in row.all())
        assert found.complaints == []


def test_a_drawing_can_be_taken_along(browser: "Browser", run_file: Path) -> None:
    """A drawing is handed on as SVG, as PNG and as numbers: copied, or saved where nothing can be copied."""
    with opened(browser, run_file) as found:
        page = found.page
        fold = page.locator("#figure-losses details")
        fold.locator("summary").click()
        said = fold.locator(".copy span")
        for way in ("SVG", "PNG", "numbers"):
            fold.get_by_role("button", name=way).click()
            page.wait_for_function("(box) => /copied|saved/.test(box.textContent)", arg=said.element_handle())
            assert said.inner_text() == "copied" or said.inner_text().startswith("saved as losses."), way
            page.evaluate("(box) => { box.textContent = ''; }", said.element_handle())
        assert found.complaints == []


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
    """Selectors and steppers show what the study stored for the chosen combination, and move bar and mark."""
    answer = sweep(
        small_scenario(), {"buffer.lane.capacity": [1, 3], "crew.belt.people": [1, 2]}, replications=3
    )
    assert answer.decision is not None
    stored = {tuple(value for _, value in one.levels): one for one in answer.decision.choices}
    with opened(browser, sweep_file) as found:
        box = found.page.locator(".what-if")
        selects = box.locator("select")
        assert [selects.nth(k).input_value() for k in (0, 1)] == ["3", "2"]  # as the line is
        assert "the same" in box.locator(".change-range").inner_text()
        before = box.locator(".then").evaluate("(mark) => mark.style.left")
        assert before == box.locator(".now").evaluate("(mark) => mark.style.left")
        step = box.get_by_role("button", name="people in belt crew: before")
        step.focus()
        found.page.keyboard.press("Enter")
        assert selects.nth(1).input_value() == "1" and step.is_disabled()
        assert box.locator(".then").evaluate("(mark) => mark.style.left") != before
        for k, lane in enumerate(("1", "3")):
            selects.nth(0).select_option(index=k)
            one = stored[lane, "1"]
            assert one.makes.mean is not None and one.change is not None
            shown = float(box.locator(".makes").inner_text())
            assert shown == pytest.approx(one.makes.mean, abs=0.51)
            assert box.locator(".change-range").inner_text().endswith(one.change.verdict)
        assert found.complaints == []


def test_other_prices_move_the_money(browser: "Browser", sweep_file: Path) -> None:
    """A margin that the reader writes gives net money from the kept amounts, with an interval."""
    answer = sweep(
        small_scenario(), {"buffer.lane.capacity": [1, 3], "crew.belt.people": [1, 2]}, replications=3
    )
    assert answer.decision is not None
    moments = next(one for one in answer.decision.choices if one.name.endswith("people = 1")).moments
    assert moments is not None
    with opened(browser, sweep_file) as found:
        box = found.page.locator(".what-if")
        box.locator("select").nth(0).select_option(index=0)
        box.locator("select").nth(1).select_option(index=0)
        assert box.locator(".net").inner_text() == "–"
        box.get_by_label("a job brings").fill("100")
        box.get_by_label("a person's shift costs").fill("50")
        by = (100, 1, -50, 1)
        mean = sum(a * b for a, b in zip(by, moments.means, strict=True))
        half = moments.reach * sum(
            by[i] * by[k] * moments.covariance[i][k] for i in range(4) for k in range(4)
        ) ** 0.5  # fmt: skip
        step = 10 ** (len(str(int(half))) - 1)
        text = box.locator(".net").inner_text().replace(",", "").replace("EUR ", "")
        assert float(text) == pytest.approx(mean, abs=step)
        assert " to " in box.locator(".net-range").inner_text()


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
