"""The page of a replay as text: the same each time, alone, harmless, and small enough to send."""

import dataclasses
import json
import re
from html import unescape

from linesim.report.html import digest, embedded
from linesim.report.replay.page import HAND, OF_A_SIDE, SHARED, replay_page
from linesim.report.replay.sides import side_of, window_of
from tests.unit.report.replay.seen import seen

EVIL = (
    '<img src=x onerror="window.hit=1">',
    '"><script>window.hit=2</script>',
    "</script><b>x",
    "<!--",
    "$a$",
)


def page_of(name: str, title: str = "") -> str:
    """Return the page of the first shift of a line."""
    watched = seen(name).watched
    plan = dataclasses.replace(watched.plan, title=title) if title else watched.plan
    window = window_of(plan)
    sides = [side_of(dataclasses.replace(watched, plan=plan), window)]
    return replay_page(sides, window, file="line.toml", command="linesim replay")


def test_the_same_replication_gives_the_same_bytes() -> None:
    """Two pages of one replication are equal byte for byte."""
    assert page_of("features/two-bays") == page_of("features/two-bays")


def test_every_text_is_escaped() -> None:
    """A title that wants to be more than a title stands in the page as text only."""
    for evil in EVIL:
        page = page_of("textbook/line-stop-trace", evil)
        before, _, after = page.partition("<h1>")
        shown = after.partition("</h1>")[0]
        assert unescape(shown) == evil
        assert "<" not in shown
        assert evil not in before or "<" not in evil


def test_data_cannot_end_its_element() -> None:
    """JSON in the page holds no sign that could end its element, and reads back as what it was."""
    for evil in EVIL:
        text = embedded({"name": evil})
        assert not set(text) & set("<>&")
        assert json.loads(text) == {"name": evil}


def test_the_page_is_alone() -> None:
    """The page names no address, and its policy allows its own script and nothing else."""
    page = page_of("textbook/indexed-five")
    assert not re.findall(r"(?:src|href|action)\s*=\s*[\"'](?!#|data:,)", page)
    assert not re.search(r"https?://(?!www\.w3\.org/2000/svg)", page)
    policy = re.search(r'Content-Security-Policy" content="([^"]*)"', page)
    scripts = re.findall(r"<script>(.*?)</script>", page, re.DOTALL)
    assert policy is not None
    assert len(scripts) == 1
    assert f"script-src '{digest(scripts[0])}'" in policy.group(1)
    assert "default-src 'none'" in policy.group(1)


def test_scripts_write_text_only() -> None:
    """No part of the script writes markup, runs text or asks for anything."""
    from linesim.report.html import template_text

    for name in (*SHARED, *OF_A_SIDE, *HAND):
        assert not re.search(
            r"innerHTML|outerHTML|insertAdjacentHTML|document\.write|\beval\b|new Function|fetch\(|XMLHttp",
            template_text(name),
        ), name


def test_words_of_the_page() -> None:
    """The page says first what is worst, then what left the line and how long each section stood."""
    page = page_of("textbook/line-stop-trace")
    assert (
        "The longest stop not passed on from elsewhere begins at run 0:06:16: conveyor stands 0.2 min, S3, "
        "work still open at the limit." in page
    )
    assert "6 jobs leave the line as finished. Standing still: conveyor 0.6 min in 6 stops." in page


def test_no_two_landmarks_have_one_name() -> None:
    """A reader who goes from landmark to landmark hears each name of a replay once."""
    page = page_of("textbook/line-stop-trace")
    titles = dict(re.findall(r'id="([^"]+-title)">([^<]*)<', page))
    named = [titles[name] for name in re.findall(r'<section[^>]*aria-labelledby="([^"]+)"', page)]
    named += re.findall(r'role="region" aria-label="([^"]+)"', page)
    assert {"List of stops", "Stations", "Space and time", "The line at this moment"} <= set(named)
    assert len(named) == len(set(named)), sorted(named)
