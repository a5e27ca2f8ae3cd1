"""Heaps of entries, and how many timers a line keeps."""

import heapq
from random import Random

import pytest

from linesim.draws.draws import Draws
from linesim.engine import clock
from linesim.engine.job_records import Entry
from linesim.engine.order import FAILURE, TASK
from linesim.engine.queue import first_of, order_of, pop, push, rank_of
from linesim.engine.run import run_line
from linesim.plan.build import build
from linesim.scenario import from_dict
from tests.lines import tables


def test_a_heap_gives_entries_in_the_order_of_their_keys() -> None:
    """Entries come off in the order of the standard heap, whatever goes on and off between."""
    luck = Random(1)
    for base in (0, 5):
        table = [Entry() for _ in range(base + 200)]
        ours, theirs = 0, []
        for serial in range(2000):
            if theirs and (luck.random() < 0.45 or ours == 200):
                entry = table[base]
                at, rank, first, _, number, what = heapq.heappop(theirs)
                assert (entry.at, entry.serial, entry.what) == (at, number, what)
                assert (rank_of(entry.order), first_of(entry.order)) == (rank, first)
                pop(table, base, ours)
                ours -= 1
            else:
                at, rank, first, second = (luck.randrange(3) for _ in range(4))
                new = (at, rank, first, second, serial, luck.randrange(9))
                ours += 1
                push(table, base, ours, at, order_of(rank, first, second), *new[4:])
                heapq.heappush(theirs, new)


def test_a_failure_mode_that_rests_with_every_job_keeps_one_timer(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of a thousand jobs each stops the count to a failure; only failures and early strikes set timers."""
    set_for: list[int] = []
    keep = clock.Clock.set_timer

    def set_timer(self: clock.Clock, at: int, due: tuple[int, int, int, int, int]) -> None:
        set_for.append(due[0])
        keep(self, at, due)

    monkeypatch.setattr(clock.Clock, "set_timer", set_timer)
    line = tables(
        """
        section.s = "free: A"
        robot.r.failure.jam = { every = "10 min", lasts = "1 min" }
        station.A.task.weld = { time = "6 s", robot = "r" }
        """,
        jobs=1000,
        length="4 h",
    )
    plan = build(from_dict(line))
    ledger = run_line(plan, Draws(plan, 1, 1))
    assert ledger.jobs_out == 1000
    assert set_for.count(TASK) >= 1000
    # The arm fails every 10 min of 100 min of work; in between a timer comes up early now and then.
    assert 5 <= set_for.count(FAILURE) < 60
