"""The page of a replay in a real browser: it steps, plays and follows, and shows what the record says."""

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from linesim.plan.tables import FREE
from linesim.report.replay.day import moments
from linesim.report.replay.record import OPEN, SECTION_PLACE, ReplayRecord
from linesim.report.replay.sides import Window, parting, side_of
from linesim.runs.trace import Watched
from tests.pages.opened import Opened, opened
from tests.pages.replays import recorded_hour, recorded_pair, replay_file

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

Small = tuple[Watched, Window, ReplayRecord]


@pytest.fixture(scope="module")
def small() -> Small:
    """Return the small line, the hour that its page shows, and what is recorded of it."""
    return recorded_hour()


@pytest.fixture
def found(browser: "Browser", kept_pages: Path) -> Iterator[Opened]:
    """Return the page, open and ready, at the start of its hour; nothing may have been complained of."""
    with opened(browser, replay_file(kept_pages, "plain")) as page:
        page.page.wait_for_selector("body[data-ready]")
        page.page.locator("#ruler").focus()
        page.page.keyboard.press("Home")
        page.page.evaluate("document.activeElement.blur()")
        yield page
        assert page.complaints == []
        assert page.requests == []


def now(page: "Page") -> int:
    """Return the moment that is shown, in ticks from the start of the run."""
    return int(page.locator("#clock").get_attribute("data-tick") or "")


def wait(page: "Page", holds: Callable[[], bool]) -> None:
    """Wait until something holds; the page's policy lets no test evaluate texts in it meanwhile."""
    for _ in range(200):
        if holds():
            return
        page.wait_for_timeout(50)
    pytest.fail("waited ten seconds in vain")


def press(page: "Page", key: str, times: int = 1) -> list[int]:
    """Press a key some times and return the moments that it leads to."""
    moments = []
    for _ in range(times):
        page.keyboard.press(key)
        moments.append(now(page))
    return moments


def test_keys_step_from_event_to_event(found: Opened, small: Small) -> None:
    """The keys n and p lead to every moment at which the log says that something happens, and back."""
    watched, window, _ = small
    told = sorted(
        {
            event.time
            for event in watched.events
            if event.time > window.start and not event.what.endswith(" is")
        }
    )
    assert press(found.page, "n", 60) == told[:60]
    assert press(found.page, "p", 59) == told[58::-1]


def test_keys_step_from_mark_to_mark(found: Opened, small: Small) -> None:
    """The keys m and M lead to the marks of the conveyor, and back."""
    watched, window, _ = small
    marks = sorted({e.time for e in watched.events if e.what == "mark" and e.time > window.start})
    assert press(found.page, "m", 5) == marks[:5]
    assert press(found.page, "Shift+M", 2) == [marks[3], marks[2]]


def test_keys_and_buttons_step_from_stop_to_stop(found: Opened, small: Small) -> None:
    """The keys s and S and the buttons lead to the beginnings of stops: the line's own, or all of them."""
    page, (_, window, recorded) = found.page, small
    stops = [stop for stop in recorded.stops if window.start < stop.begin < window.end]
    own = sorted({stop.begin for stop in stops if not stop.is_passed_on})
    assert len(own) >= 3, "the line should stand now and then"
    assert press(page, "s", 3) == own[:3]
    assert press(page, "Shift+S", 2) == own[1::-1]
    assert page.locator(".status").all_inner_texts() != ["", ""]
    page.locator("#ruler").focus()
    page.keyboard.press("Home")
    page.locator("#which").select_option("every")
    every = sorted({stop.begin for stop in stops})
    for begin in every[:3]:
        page.get_by_role("button", name="next stop").click()
        assert now(page) == begin
    page.get_by_role("button", name="previous stop").click()
    assert now(page) == every[1]
    assert page.locator("#stops tbody tr").count() == page.locator("#stops tbody tr:visible").count()


def test_the_list_of_stops_leads_to_each(found: Opened, small: Small) -> None:
    """A row of the list of stops leads to the beginning of its stop, and says what the record says."""
    page, (watched, window, recorded) = found.page, small
    page.locator("#which").select_option("every")
    shown = [stop for stop in recorded.stops if stop.within(window.start, window.end)]
    rows = page.locator("#stops tbody tr")
    assert rows.count() == len(shown)
    for i in (0, len(shown) // 2, len(shown) - 1):
        rows.nth(i).locator("button").click()
        assert now(page) == max(window.start, shown[i].begin)
        assert rows.nth(i).locator("td").first.inner_text() == watched.plan.names.section[shown[i].section]


def test_stops_are_sorted(found: Opened, small: Small) -> None:
    """A heading of the list sorts by its column, lengths with the longest first, and the other way round."""
    page, (_, window, recorded) = found.page, small
    page.locator("#which").select_option("every")
    shown = [stop for stop in recorded.stops if stop.within(window.start, window.end)]
    lengths = sorted((f"{(stop.end - stop.begin) / 60_000:.2f}" for stop in shown), key=float, reverse=True)
    last = page.locator("#stops tbody td:last-child")
    page.locator("#stops thead button").last.click()
    assert last.all_inner_texts() == lengths
    assert page.locator("#stops th[aria-sort='descending']").inner_text().startswith("min")
    page.locator("#stops thead button").last.click()
    assert last.all_inner_texts() == lengths[::-1]
    page.locator("#stops thead button").nth(1).click()
    names = page.locator("#stops tbody td:nth-child(2)").all_inner_texts()
    assert names == sorted(names)
    rows = page.locator("#stops tbody tr")
    rows.first.locator("button").click()
    begin = shown[int(rows.first.get_attribute("data-stop") or "")].begin
    assert now(page) == max(window.start, begin)


def counted(page: "Page", side: str = "") -> tuple[int, float]:
    """Return the jobs and the minutes of stops that a side counts so far."""
    words = page.locator(f"#count{side}").inner_text().split()
    return int(words[0]), float(words[words.index("min") - 1])


def test_it_counts_jobs_and_lost_minutes(found: Opened, small: Small) -> None:
    """At any moment the jobs made and the minutes of stops that begin on the line are those of the record."""
    page, (watched, window, recorded) = found.page, small
    off = [event.time for event in watched.events if event.what == "line-off" and event.time > window.start]
    page.locator("#ruler").focus()
    for _ in range(10):
        page.keyboard.press("PageUp")
        t = now(page)
        lost = sum(stop.within(window.start, t) for stop in recorded.stops if not stop.is_passed_on)
        assert counted(page) == (sum(one <= t for one in off), pytest.approx(lost / 60_000, abs=0.051))
    plan = round(55 * (t - window.start) / 3_600_000)
    made = counted(page)[0]
    more = "as many as" if made == plan else f"{abs(made - plan)} {'more' if made > plan else 'fewer'} than"
    assert f"{made} jobs made, {more} planned by now; " in page.locator("#count").inner_text()


def test_moments_of_the_day_lead_there(found: Opened, small: Small) -> None:
    """Three moments of the day stand beneath its curve, each leads to itself, each is marked on the curve."""
    page, (watched, window, _) = found.page, small
    told = moments(side_of(watched, window), window)
    buttons = page.locator(".moments button")
    assert buttons.count() == page.locator("#ruler .mark").count() == len(told) == 3
    for button, moment in zip(buttons.all(), told, strict=True):
        button.click()
        assert now(page) == moment.tick


def test_two_lines_run_on_one_clock(browser: "Browser", kept_pages: Path) -> None:
    """Beside each other two lines show the same jobs, count each their own, and part where the logs do."""
    (one, other), window = recorded_pair()
    with opened(browser, replay_file(kept_pages, "pair"), width=1280) as found:
        page = found.page
        page.wait_for_selector("body[data-ready]")
        part = parting(one.watched, other.watched)
        assert part is not None and window.start < part < window.end
        page.get_by_role("button", name="to the moment where they part").click()
        assert now(page) == part
        happens = [page.locator(f"#happens{side}").inner_text() for side in ("", "-2")]
        assert happens[0] != happens[1]
        page.evaluate("document.activeElement.blur()")
        page.keyboard.press("p")
        assert now(page) < part
        happens = [page.locator(f"#happens{side}").inner_text() for side in ("", "-2")]
        assert happens[0] == happens[1] != ""
        page.locator("#ruler-2").focus()
        page.keyboard.press("End")
        for side, suffix in ((one, ""), (other, "-2")):
            assert counted(page, suffix)[0] == len(side.finished(window))
        page.locator("#follow").fill("12")
        page.keyboard.press("Enter")
        assert page.locator("#paths .followed").count() == page.locator("#paths-2 .followed").count() == 1
        rows = page.locator("#stops tbody tr")
        assert rows.count() == len(one.stops) + len(other.stops)
        assert {text for text in page.locator("#stops tbody td:nth-child(2)").all_inner_texts() if text} <= {
            "as it is", "<i>one</i> more",
        }  # fmt: skip
        assert found.complaints == []


def tags(page: "Page") -> dict[int, float]:
    """Return where the tags over the moving section's rail are, in stations from its upstream end."""
    found = page.evaluate(
        """() => {
          const root = [...document.querySelectorAll("#strip .section")].pop().querySelector("svg");
          const rail = root.querySelector(".rail"), from = Number(rail.getAttribute("x1"));
          const pitch = (Number(rail.getAttribute("x2")) - from) / root.querySelectorAll("text.name").length;
          return [...root.querySelectorAll(".tag")].map((tag) => [
            tag.querySelector("text").textContent,
            (Number(tag.getAttribute("transform").match(/[\\d.]+/)[0]) - from) / pitch,
          ]);
        }"""
    )
    return {int(number.removeprefix("#")) - 1: place for number, place in found}


def test_tags_are_where_the_record_says(found: Opened, small: Small) -> None:
    """At moments ten seconds apart the tags over a moving section are the jobs on it, at their places."""
    page, (watched, _, recorded) = found.page, small
    pacing = watched.plan.sections.pacing.tolist()
    section = next(s for s, kind in enumerate(pacing) if kind != FREE)
    belt = recorded.belts[section]
    assert belt is not None
    page.locator("#ruler").focus()
    for _ in range(40):
        page.keyboard.press("ArrowRight")
        t = now(page)
        there = {
            stay.job: belt.place(stay.mark, t)
            for stay in recorded.stays
            if (stay.kind, stay.place) == (SECTION_PLACE, section)
            and stay.begin <= t
            and (stay.end == OPEN or t < stay.end)
        }
        assert tags(page) == pytest.approx(there, abs=0.002)


def test_a_stop_is_seen_without_colour(found: Opened) -> None:
    """While a section stands it says so in words, its tags stay where they are, and its threads are flat."""
    page = found.page
    page.keyboard.press("s")
    block = page.locator("#strip .section").last
    assert block.locator(".status").inner_text().startswith("STANDS from now on: ")
    before, begin = tags(page), now(page)
    assert block.locator(".holds.shown").count() == 1
    page.keyboard.press("n")
    while block.locator(".status").inner_text().startswith("STANDS"):
        assert tags(page) == before
        page.keyboard.press("n")
    assert now(page) > begin
    page.keyboard.press("S")
    steps = page.evaluate(
        """() => {
          const fills = 'rect[fill="url(#fill-own)"]';
          const bands = [...document.querySelectorAll(`#paths ${fills}`)].map((band) => ["x", "y", "width", "height"]
            .map((name) => Number(band.getAttribute(name)))).filter(([, , wide]) => wide > 1);
          return bands.flatMap(([x, y, wide, tall]) => [...document.querySelectorAll("#paths path.thread")].map((path) => {
            const points = [...path.getAttribute("d").matchAll(/[ML](\\S+) (\\S+?)(?=[ML]|$)/g)].map((m) => [Number(m[1]), Number(m[2])]);
            const inside = points.filter(([px, py]) => px >= x - 0.11 && px <= x + wide + 0.11 && py > y + 1 && py < y + tall - 1);
            return inside.map(([, py]) => py);
          }).filter((heights) => heights.length > 1));
        }"""  # noqa: E501
    )
    assert steps, "some thread should cross a stop"
    for heights in steps:
        assert max(heights) - min(heights) <= 0.11


def test_it_plays_and_holds(found: Opened) -> None:
    """The space key lets time run at the chosen pace, and holds it; other paces leaf from mark to mark."""
    page = found.page
    page.locator("#pace").select_option("60")
    page.evaluate("document.activeElement.blur()")
    begin = now(page)
    page.keyboard.press("Space")
    assert page.locator("#play").inner_text() == "Hold"
    wait(page, lambda: now(page) > begin + 20_000)
    page.keyboard.press("Space")
    held = now(page)
    page.wait_for_timeout(300)
    assert now(page) == held
    assert page.locator("#play").inner_text() == "Play on"
    page.locator("#pace").select_option("mark")
    page.locator("#play").click()
    wait(page, lambda: now(page) > held)
    page.locator("#play").click()
    assert "mark, every job passes on" in page.locator("#happens").inner_text()


def test_it_ends_where_the_window_ends(found: Opened, small: Small) -> None:
    """Playing holds at the end of the window, and stepping says that nothing later is there."""
    page, (_, window, _) = found.page, small
    page.locator("#ruler").focus()
    page.keyboard.press("End")
    page.keyboard.press("ArrowLeft")
    page.locator("#pace").select_option("300")
    page.locator("#play").click()
    wait(page, lambda: page.locator("#play").inner_text() == "Play on")
    assert now(page) == window.end
    page.get_by_role("button", name="next stop").click()
    assert page.locator("#said").inner_text() == "No later one in this window."


def test_one_job_is_followed(found: Opened, small: Small) -> None:
    """A job is followed by its number: marked everywhere, told where it is, stepped event by event."""
    page, (watched, window, _) = found.page, small
    job = next(e.job for e in watched.events if e.what == "line-on" and e.time > window.start + 600_000)
    page.keyboard.press("f")
    page.keyboard.type(str(job + 1))
    page.keyboard.press("Enter")
    on = next(e.time for e in watched.events if e.what == "line-on" and e.job == job)
    assert page.locator("#paths .thread.followed").count() == 1
    assert f"#{job + 1}" in page.locator("#followed h3").inner_text()
    page.locator("#only").check()
    page.evaluate("document.activeElement.blur()")
    own = sorted({e.time for e in watched.events if e.job == job and e.time >= on})
    page.locator("#ruler").focus()
    page.keyboard.press("Home")
    page.evaluate("document.activeElement.blur()")
    stepped = press(page, "n", 6)
    assert stepped == own[:6]
    assert f"#{job + 1}" in page.locator("#happens").inner_text()
    assert page.locator("#strip .followed").count() == 1
    page.locator("#follow").fill("99999")
    page.keyboard.press("Enter")
    assert page.locator("#said").inner_text().startswith("There is no job 99999 in this window; it has #")
    page.get_by_role("button", name="follow no job").click()
    assert page.locator(".followed").count() == 0


def test_keys_rest_in_fields_and_when_switched_off(found: Opened) -> None:
    """Letters typed into a field are letters, and a reader can switch the keys off."""
    page = found.page
    begin = now(page)
    page.locator("#follow").focus()
    page.keyboard.type("nms")
    assert now(page) == begin
    page.locator("#follow").fill("")
    page.locator("#keys").uncheck()
    page.evaluate("document.activeElement.blur()")
    assert press(page, "n") == [begin]
    page.locator("#keys").check()
    page.evaluate("document.activeElement.blur()")
    assert press(page, "n") > [begin]


def test_the_diagrams_turn_pages(found: Opened) -> None:
    """The diagrams go earlier and later, closer and wider, by key and by button, within the window."""
    page = found.page
    told = page.locator("#page-told")
    texts = [told.inner_text()]
    for key in ("]", "+", "-", "[", "w"):
        page.keyboard.press(key)
        texts.append(told.inner_text())
    assert len(set(texts[:4])) == 4
    page.get_by_role("button", name="around this moment").click()
    for _ in range(12):
        page.get_by_role("button", name="wider").click()
    assert told.inner_text() == "shift 2, 0:00:00 to shift 2, 1:00:00"
    page.locator("#station").select_option(label="K1")
    assert "K1: place in the station" in page.locator("#drift").inner_text()


def test_tables_say_what_the_strip_shows(found: Opened, small: Small) -> None:
    """The tables name the state of every station and operator at the moment, as the record has them."""
    from linesim.measures.places import station_state_words
    from linesim.plan.words import OPERATOR_STATES

    page, (watched, _, recorded) = found.page, small
    page.evaluate("document.querySelectorAll('details').forEach((fold) => { fold.open = true; })")
    press(page, "n", 25)
    t, words = now(page), station_state_words(watched.plan)
    stations = page.locator("#stations-now tr")
    for k, run in enumerate(recorded.stations):
        state = [is_ for since, is_ in run if since <= t][-1]
        assert stations.nth(k).locator("td").nth(1).inner_text().startswith(words[state])
    people = page.locator("#people-now tr")
    for o, run in enumerate(recorded.operators):
        state = [is_ for since, is_ in run if since <= t][-1]
        assert people.nth(o).locator("td").first.inner_text() == OPERATOR_STATES[state]
