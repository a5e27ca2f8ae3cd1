"""The picture of the line: what it is drawn from, how it is cut, and its drawing as a file."""

from xml.etree import ElementTree

import numpy as np
import pytest

import linesim
from linesim.plan.build import build
from linesim.report.charts.strip import Bank, BayMark, Cover, Place, Stretch, stretches, strip
from linesim.report.charts.strip_drawing import Scroll, draw_strip, scrolls
from linesim.report.page import run_contents
from linesim.report.pictures import figures_of, picture
from tests.documents.pages import ROOT
from tests.unit.report.small import renamed, small_told

SVG = "{http://www.w3.org/2000/svg}"


def of_length(n: int, *covers: Cover) -> Stretch:
    """Return a section of ``n`` stations."""
    places = tuple(Place(f"S{k}", 1, (), 0.0, 0.0) for k in range(n))
    return Stretch("long", "moving", "", True, (), places, covers, ())


def test_the_line_as_it_stands() -> None:
    """Sections, stations, people, robots, banks and bays are those of the file, in line order."""
    cell, belt = stretches(small_told().plan)
    assert (cell.name, cell.pacing, cell.is_first) == ("cell", "free, each station hands on by itself", True)
    assert cell.places == (Place("P1", 1, ("R1",), 0.0, 0.0), Place("P2", 1, (), 0.0, 0.0))
    assert cell.covers == (Cover("cell", 1, (1,), False),)
    assert (cell.banks, cell.bays) == ((), ())
    assert (belt.name, belt.pacing, belt.is_first) == ("belt", "moving, takt 60 s", False)
    assert belt.banks == (Bank("lane", 3),)
    assert belt.places == (Place("K1", 1, (), 0.0, 0.2), Place("K2", 1, (), 0.0, 0.0))
    assert belt.covers == (Cover("belt", 2, (0, 1), False), Cover("helper", 1, (0,), True))
    assert belt.bays == (BayMark("rework", 1, 2, ""),)


def test_feeders_come_after_the_line_that_they_feed() -> None:
    """A feeder begins a way of its own and says which section it feeds."""
    found = stretches(build(linesim.load(ROOT / "scenarios" / "textbook" / "two-feeders.toml")))
    assert [(one.name, one.feeds, one.is_first) for one in found] == [
        ("frames", "", True), ("assembly", "", False), ("drives", "assembly", True),
    ]  # fmt: skip


def test_long_sections_are_cut_evenly() -> None:
    """Twenty-eight stations where ten have room make pieces of nine, ten and nine; ten make one piece."""
    cut = scrolls([of_length(28), of_length(10)], 10)
    assert [len(scroll.places) for scroll in cut] == [9, 10, 9, 10]
    assert [(scroll.is_begin, scroll.is_end) for scroll in cut] == [
        (True, False), (False, False), (False, True), (True, True),
    ]  # fmt: skip
    assert [place.name for scroll in cut[:3] for place in scroll.places] == [f"S{k}" for k in range(28)]


def test_crews_share_a_lane_where_they_do_not_meet() -> None:
    """Crews side by side stand in one lane, one that overlaps them below; one that is not there has none."""
    left, right = Cover("left", 2, (0, 1), False), Cover("right", 2, (2, 3), False)
    both = Cover("both", 1, (1, 2), True)
    (scroll,) = scrolls([of_length(4, left, right, both)], 4)
    assert scroll.lanes() == [[left, right], [both]]
    first, second = scrolls([of_length(4, left, right, both)], 2)
    assert (first.lanes(), second.lanes()) == ([[left], [both]], [[right], [both]])
    assert (first.span(both), second.span(both), second.span(left)) == ((1, 1), (0, 0), None)


@pytest.mark.parametrize("width", [700, 328])
def test_nothing_is_drawn_outside_the_sheet(width: int) -> None:
    """Every line and every word of a long and of a short line lies on the sheet, in both widths."""
    crew = Cover("a crew with a very long name indeed", 12, (0,), False)
    told = stretches(small_told().plan)
    for found in ([of_length(28, crew, crew._replace(stations=(27,)))], told):
        drawing = draw_strip(width, found, {})
        canvas = drawing.canvas
        drawing.draw_without_rendering()  # type: ignore[no-untyped-call]
        high = float(drawing.get_size_inches()[1]) * 72
        for artist in (*drawing.texts, *drawing.lines, *drawing.patches):
            box = np.asarray(artist.get_window_extent(canvas.get_renderer()))  # type: ignore[attr-defined]
            assert box.min() >= -1, artist
            assert box[:, 0].max() <= width + 1, artist
            assert box[:, 1].max() <= high + 1, artist


def test_what_it_says() -> None:
    """The words under the picture name everything in line order, and the table has a row a station."""
    found = strip(small_told())
    assert found.says.startswith(
        "In line order: cell (2 stations), lane with 3 places and belt (2 stations)."
    )
    assert "dashed, it comes when called" in found.says
    assert "A diamond is a robot." in found.says
    told = small_told()
    for row in found.table.rows:
        begun = next((r.mean for r in told.result.rows("own_stop") if r.where == row[0].text), None)
        assert row[-2].value == (None if begun is None else pytest.approx(begun))
    assert [[cell.text for cell in row[:-2]] for row in found.table.rows] == [
        ["P1", "cell", "", "", "R1", "0", "0"],
        ["P2", "cell", "cell (1)", "", "", "0", "0"],
        ["K1", "belt", "belt (2)", "helper (1)", "", "0", "20"],
        ["K2", "belt", "belt (2)", "", "", "0", "0"],
    ]


def test_scrolls_have_room_for_what_they_hold() -> None:
    """A lane, a bay and a row of reaches each add to the height of a scroll."""
    plain = Scroll(of_length(2), 0, of_length(2).places, True, True)
    with_crew = plain._replace(stretch=of_length(2, Cover("c", 1, (0,), False)))
    with_bay = plain._replace(stretch=of_length(2)._replace(bays=(BayMark("b", 1, 1, ""),)))
    reaching = plain._replace(places=(Place("S0", 1, (), 0.1, 0.0), Place("S1", 1, (), 0.0, 0.0)))
    assert min(with_crew.height, with_bay.height, reaching.height) > plain.height


def test_every_drawing_becomes_a_file() -> None:
    """Each figure of a page is a whole SVG file with title, words, ground and letters, and no link."""
    figures = figures_of(run_contents(small_told()))
    assert {"strip", "losses", "waits"} <= set(figures)
    for name, figure in figures.items():
        text = picture(figure)
        assert text == picture(figure)
        root = ElementTree.fromstring(text)
        assert root.tag == f"{SVG}svg"
        assert root.findtext(f"{SVG}title") == figure.title
        assert root.findtext(f"{SVG}desc") == figure.says
        ground = root.find(f"{SVG}rect")
        assert ground is not None
        assert [ground.get(key) for key in ("fill", "width", "height")] == [
            "#ffffff", root.get("width"), root.get("height"),
        ], name  # fmt: skip
        assert "DejaVu Sans" in root.get("font-family", "")
        assert "http" not in text.replace('xmlns="http://www.w3.org/2000/svg"', "")


def test_hostile_names_stay_text_in_a_picture() -> None:
    """A station whose name is markup adds no element to the picture of the line."""
    evil = "<script>hit()</script>"
    told = renamed(small_told(), {"K1": evil, "belt": evil, "lane": evil})
    root = ElementTree.fromstring(picture(strip(told)))
    assert not [element for element in root.iter() if element.tag.endswith("script")]
