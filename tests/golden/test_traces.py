"""Whole traces of a few small lines, kept as text: every event in its order, and the accounts.

They hold the order within an instant, which a second engine must keep, too. ``--update-golden`` writes
them anew; the difference is read before anything else.
"""

from pathlib import Path

import pytest

from tests.lines import Ran, operators, robots, sections, sentence, stations, stops
from tests.lines import run as run_line

HERE = Path(__file__).parent

LINES = {
    "moving-with-reaches": (
        """
        takt = "10 s"
        [section.trim]
        pacing = "moving"
        stations = ["A", "B", "C"]
        [station.A]
        late = 0.3
        [station.B]
        early = 0.3
        on_limit = "pass"
        open_to = "C"
        [station.A.task]
        frame = { time = "6 s" }
        hoist = { time = "7 s", after = ["frame"] }
        [station.B.task]
        bolt = { time = "5 s", after = ["A.frame"] }
        seal = { time = "9 s", after = ["A.hoist"] }
        [station.C.task.wash]
        time = "2 s"
        people = 0
        [crew.front]
        people = 1
        covers = ["A", "B"]
        walk = "1 s"
        [crew.back]
        people = 1
        covers = ["B", "C"]
        """,
        "40 s",
        2,
    ),
    "robots-and-a-technician": (
        """
        flow = ["cell", "lane", "end"]
        [section.cell]
        pacing = "free"
        stations = ["A", "B"]
        [section.end]
        pacing = "indexed"
        transfer = "3 s"
        stations = ["Z"]
        [buffer.lane]
        capacity = 1
        travel = "2 s"
        [station.A.task.weld]
        time = "6 s"
        robot = "r1"
        [station.B.task.weld]
        time = "6 s"
        robot = "r2"
        [station.Z.task.test]
        time = "9 s"
        fault = { chance = 1, found = "at once", tries = 1, right = "rework", repair = "5 s" }
        [robot.r1.failure.jam]
        every = "8 s"
        lasts = "4 s"
        repaired_by = "tech"
        [robot.r2.failure.jam]
        every = 1
        per = "jobs"
        lasts = "4 s"
        repaired_by = "tech"
        [bay.rework]
        section = "end"
        rejoin = "out"
        [crew.tech]
        people = 1
        covers = ["rework"]
        [crew.z]
        people = 1
        covers = ["Z"]
        """,
        "62 s",
        2,
    ),
    "a-call-before-the-break": (
        """
        takt = "60 s"
        [calendar.day]
        shifts = ["06:00-07:00"]
        breaks = ["06:02-06:03"]
        [run]
        calendar = "day"
        [section.trim]
        pacing = "moving"
        stations = ["A", "B"]
        [station.A]
        call_at = 0.5
        [station.A.task]
        doors = { time = "50 s" }
        belts = { time = "40 s" }
        [station.B.task.glue]
        time = "70 s"
        robot = "r"
        [robot.r]
        [crew.a]
        people = 1
        covers = ["A"]
        [crew.help]
        people = 1
        covers = ["A"]
        floater = true
        response = "5 s"
        """,
        "300 s",
        2,
    ),
}


def told(ran: Ran) -> str:
    """Return a run as text: every event, then the accounts in seconds."""
    rows = [sentence(ran.plan, event) for event in ran.events]
    for head, table in (
        ("sections", sections(ran)),
        ("stations", stations(ran)),
        ("operators", operators(ran)),
        ("robots", robots(ran)),
        ("stops", {"": stops(ran)}),
    ):
        rows += ["", head]
        for name, account in table.items():
            rows.append(f"{name}: ".lstrip(": ") + ", ".join(f"{word} {n:g}" for word, n in account.items()))
    return "\n".join(row.rstrip() for row in rows) + "\n"


@pytest.mark.parametrize("name", LINES)
def test_trace(name: str, update_golden: bool) -> None:
    """A small line goes through exactly the events, in exactly the order, that were read and kept."""
    text, length, jobs = LINES[name]
    now = told(run_line(text, length=length, jobs=jobs))
    path = HERE / f"{name}.txt"
    if update_golden:
        path.write_text(now, encoding="utf-8")
    assert path.read_text(encoding="utf-8") == now


def test_every_kept_trace_has_its_line() -> None:
    """No trace is kept that nothing compares."""
    assert {path.stem for path in HERE.glob("*.txt")} == set(LINES)
