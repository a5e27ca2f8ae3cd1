"""Pages of replays for the tests in a browser: a small line, with harmless names and with hostile ones."""

import dataclasses
from functools import cache
from pathlib import Path

from linesim.plan.build import build
from linesim.report.replay.day import band
from linesim.report.replay.page import replay_page
from linesim.report.replay.record import ReplayRecord, record
from linesim.report.replay.sides import ReplaySide, Window, side_of, window_of
from linesim.runs.trace import Watched, watch
from linesim.ticks import parse_duration
from tests.unit.report.small import renamed, small_scenario, small_told

EVIL = {
    "K1": '<img src=x onerror="window.hit=1">',
    "P2": '"><script>window.hit=2</script>',
    "lane": "$a_b$ & <b>bold</b>",
    "belt": "</script><script>window.hit=3</script>",
    "rework": "javascript:window.hit=4",
    "mending 1": "<svg onload=window.hit=5>",
}  #: Names that want to be more than names.


def watched_hour(names: dict[str, str]) -> tuple[Watched, Window]:
    """Return the second hour of the small line after its warm-up."""
    plan = renamed(small_told(), names).plan
    window = window_of(plan, parse_duration("1 h"), parse_duration("1 h"))
    return watch(plan, 5, 2, until=window.end), window


@cache
def recorded_hour() -> tuple[Watched, Window, ReplayRecord]:
    """Return the hour that the page of the small line shows, and what is recorded of it."""
    watched, window = watched_hour({})
    return watched, window, record(watched.plan, watched.events, watched.until)


@cache
def recorded_pair() -> tuple[tuple[ReplaySide, ReplaySide], Window]:
    """Return the first hour of the small line, as it is and with one more on the belt, and its records."""
    plans = (small_told().plan, build(small_scenario().replace({"crew.belt.people": 3})))
    window = window_of(plans[0], length=parse_duration("1 h"), at_start=True)
    sides = [
        side_of(watch(plan, 5, 2, until=window.end), window, name, band([[60_000], [90_000]], window))
        for plan, name in zip(plans, ("as it is", "<i>one</i> more"), strict=True)
    ]
    return (sides[0], sides[1]), window


def replay_file(folder: Path, which: str) -> Path:
    """Return the file of a page made once: ``plain``, ``hostile`` with names from `EVIL`, or ``pair``."""
    path = folder / f"{which}-replay.html"
    if not path.exists() and which == "pair":
        path.write_text(replay_page(*recorded_pair(), file="small.toml"), encoding="utf-8")
    if not path.exists():
        watched, window = watched_hour(EVIL if which == "hostile" else {})
        plan = watched.plan
        if which == "hostile":
            orders = dataclasses.replace(plan.orders, model_names=("<i>plain</i>", "'\"><u>rich"))
            plan = dataclasses.replace(plan, title="</title><script>window.hit=6</script>", orders=orders)
        page = replay_page(
            [side_of(dataclasses.replace(watched, plan=plan), window)], window, file="small.toml"
        )
        path.write_text(page, encoding="utf-8")
    return path
