"""Drawings as pieces of a page: steady, described, small, and harmless whatever they are told."""

import re
from collections.abc import Callable
from typing import Any
from xml.etree import ElementTree

import matplotlib as mpl
import pytest

from linesim.report.canvas import Pen, fitted, room_for
from linesim.report.scale import Scale, round_step, up_to
from linesim.report.style import INK, PATTERNS, TIMES, Paint
from linesim.report.svg import drawn


def one_word(text: str, **more: Any) -> Callable[[int], Any]:
    """Return a drawing of one line of text and a patterned box."""

    def draw(width: int) -> Any:
        pen = Pen(width, 60)
        pen.box(5, 5, 30, 20, Paint("#ffffff", INK, "rising"))
        pen.box(45, 5, 30, 20, Paint("#ffffff", INK, "rising"))
        pen.marks((90,), (15,), "o", 6)
        pen.words(10, 40, text, **more)
        return pen.figure

    return draw


def svg(text: str = "word", name: str = "x", **more: Any) -> ElementTree.Element:
    """Return the drawing as a tree; it is well formed."""
    return ElementTree.fromstring(drawn(name, one_word(text, **more), 200, "What it is", "What is seen"))


def test_a_drawing_is_the_same_each_time() -> None:
    """The same drawing gives the same bytes, without a date, a version or an address in it."""
    first, again = (drawn("x", one_word("word"), 200, "t", "s") for _ in range(2))
    assert first == again
    assert not re.search(r"http|metadata|20\d\d|matplotlib|<style", first, re.IGNORECASE)


def test_a_users_settings_do_not_matter() -> None:
    """What somebody has set for other drawings neither changes a drawing nor is changed by it."""
    plain = drawn("x", one_word("word"), 200, "t", "s")
    with mpl.rc_context({"font.size": 31, "svg.fonttype": "path", "lines.linewidth": 9, "text.color": "red"}):
        assert drawn("x", one_word("word"), 200, "t", "s") == plain
        assert mpl.rcParams["font.size"] == 31


@pytest.mark.parametrize(
    "text", ["<script>hit()</script>", "$a_b$", "a & b", '"><img src=x>', "]]>", "\\alpha"]
)
def test_words_are_only_words(text: str) -> None:
    """Text that looks like markup or mathematics is drawn letter by letter."""
    assert [el.text for el in svg(text).iter("text")] == [text]


def test_a_drawing_says_what_it_is() -> None:
    """A drawing is an image with a title and a description that it points to by name."""
    root = svg()
    assert root.attrib["role"] == "img"
    named = {el.attrib["id"]: el.text for el in root if el.tag in ("title", "desc")}
    assert [named[name] for name in root.attrib["aria-labelledby"].split()] == ["What it is", "What is seen"]


def test_drawings_of_one_page_share_no_name() -> None:
    """Ids begin with the name of the drawing, everything that is pointed to is there, and nothing twice."""
    roots = [svg(name="one"), svg(name="two")]
    ids = [el.attrib["id"] for root in roots for el in root.iter() if "id" in el.attrib]
    assert len(ids) == len(set(ids))
    for root, name in zip(roots, ("one", "two"), strict=True):
        own = {el.attrib["id"] for el in root.iter() if "id" in el.attrib}
        assert all(one.startswith(f"{name}-200") for one in own)
        text = ElementTree.tostring(root, encoding="unicode")
        pointed = set(re.findall(r"url\(#([^)]+)\)", text)) | set(re.findall(r'href="#([^"]+)"', text))
        assert pointed
        assert pointed <= own


def test_one_tile_for_one_pattern() -> None:
    """Boxes of one paint share one small tile."""
    tiles = list(svg().iter("pattern"))
    assert len(tiles) == 1
    assert len(ElementTree.tostring(tiles[0])) < 400


def test_patterns_of_paints_exist() -> None:
    """Every pattern that a paint names is there, and no two kinds of time look the same without colour."""
    assert {paint.hatch for paint in TIMES.values() if paint.hatch} <= set(PATTERNS)
    waits = [TIMES[name] for name in ("waiting", "spare", "stopped", "blocked", "starved")]
    assert len({paint.hatch for paint in waits}) == len(waits)


def contrast(one: str, other: str) -> float:
    """Return the contrast of two colours by WCAG 2.1."""

    def luminance(colour: str) -> float:
        parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
        linear = [v / 12.92 if v <= 0.04045 else ((v + 0.055) / 1.055) ** 2.4 for v in parts]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def test_marks_can_be_seen() -> None:
    """Every paint, or its outline, has a contrast of 3:1 or better on white (WCAG 2.1, 1.4.11)."""
    for name, paint in TIMES.items():
        assert max(contrast(paint.face, "#ffffff"), contrast(paint.edge, "#ffffff")) >= 3, name
    assert contrast("#0072B2", "#ffffff") == pytest.approx(5.19, abs=0.01)  # recomputed: relative luminance


def test_long_words_are_cut_to_their_room() -> None:
    """Text that is too long for its room ends in an ellipsis and fits; text that fits is left alone."""
    long = "a station with a very long name indeed"
    cut = fitted(long, 100)
    assert cut.endswith("…")
    assert room_for([cut]) <= 100
    assert fitted("K1", 100) == "K1"


def test_scale_runs_from_end_to_end() -> None:
    """A scale maps its ends to its ends, straight in between, and marks only round values inside."""
    scale = Scale(0, 42, 100, 520)
    assert [scale.at(value) for value in (0, 21, 42)] == [100, 310, 520]
    assert scale.ticks() == [(0, "0"), (10, "10"), (20, "20"), (30, "30"), (40, "40")]
    assert Scale(0.0, 0.95, 0, 1, marks=3, percent=True).ticks() == [(0.0, "0"), (0.5, "50")]
    assert [text for _, text in Scale(116.2, 118.1, 0, 1).ticks()] == ["116.5", "117.0", "117.5", "118.0"]


@pytest.mark.parametrize("length", [1e-6, 0.03, 1, 7.3, 420, 9e8])
def test_steps_are_round(length: float) -> None:
    """A step is 1, 2 or 5 times a power of ten, and gives at most the marks asked for."""
    step = round_step(length, 5)
    assert float(f"{step:.0e}"[0]) in (1, 2, 5)
    assert length / 13 <= step
    assert length / step <= 5 * (1 + 1e-9)
    assert up_to(length) >= length


def test_a_scale_needs_a_length() -> None:
    """A scale whose ends are the same is refused."""
    with pytest.raises(ValueError, match="low < high"):
        Scale(3, 3, 0, 1)
