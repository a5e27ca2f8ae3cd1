"""Where buffers stand, what changes with their places, and where a place is likely to pay."""

import pytest

from linesim.errors import WrongQuestionError
from linesim.questions.buffers.splits import ENDLESS, BufferGap, Promise, capacity, gaps_of, promises
from linesim.runs.cases import Case, run_cases
from linesim.scenario import load, load_text
from linesim.theory.tandem import line_throughput
from tests.conftest import ROOT
from tests.unit.questions.buffers.lines import LOOP, exponential, row


def test_buffers_stand_between_the_stations_next_to_them() -> None:
    """Each buffer has the last station before it and the first after it, in line order."""
    scenario = load_text(row(["'60 s'"] * 3, [2, 0]))
    assert gaps_of(scenario) == (BufferGap("B1", 2, 0, "M1", "M2"), BufferGap("B2", 0, 0, "M2", "M3"))
    assert [gap.buffer for gap in gaps_of(scenario, ["B2"])] == ["B2"]


def test_a_buffer_where_jobs_rejoin_keeps_one_place() -> None:
    """A job that comes back from a bay needs a place to come back to."""
    assert gaps_of(load_text(LOOP)) == (BufferGap("lane", 20, 1, "A", "B"),)


def test_buffers_of_feeders_come_after_those_of_the_main_line() -> None:
    """A feeder's buffers are asked about too."""
    scenario = load(ROOT / "scenarios" / "textbook" / "two-feeders.toml")
    found = [gap.buffer for gap in gaps_of(scenario)]
    assert sorted(found) == sorted(scenario.buffer)
    main = [name for name in scenario.flow if name in scenario.buffer]
    assert found[: len(main)] == main


def test_a_question_about_no_buffer_is_refused() -> None:
    """A line without buffers, or without the one asked for, is told what would be right."""
    with pytest.raises(WrongQuestionError, match="capacity = 0"):
        gaps_of(load_text(row(["'60 s'"], [])))
    with pytest.raises(WrongQuestionError, match="'B7' is not a buffer of this scenario; it has B1"):
        gaps_of(load_text(row(["'60 s'"] * 2, [1])), ["B7"])


def level(places: int, jobs: int) -> dict[tuple[str, ...], int]:
    """Return the changes that give the buffer so many places and jobs at the start."""
    return {("buffer", "B1", "capacity"): places, ("buffer", "B1", "level"): jobs}


def test_other_places_leave_the_start_as_it_is() -> None:
    """A line that starts full begins with the same jobs in its buffers, as far as there is room."""
    empty = load_text(row(["'60 s'"] * 2, [4]))
    assert capacity(empty, "B1", 9) == {("buffer", "B1", "capacity"): 9}
    full = load_text(row(["'60 s'"] * 2, [5]), sets=["run.start = 'full'"])
    assert capacity(full, "B1", ENDLESS) == level(ENDLESS, 2)
    assert capacity(full, "B1", 1) == level(1, 1)
    stated = load_text(row(["'60 s'"] * 2, [5]), sets=["buffer.B1.level = 4"])
    assert capacity(stated, "B1", 3) == level(3, 3)


def test_the_promise_of_a_place_is_the_gain_of_two_machines() -> None:
    """For two exponential machines, blocked and starved are 1/(b+3) each, and a place brings their product.

    Exact: throughput (b+2)/(b+3) with b places (J. A. Buzacott and J. G. Shanthikumar, from memory).
    """
    for b in range(4):
        gain = line_throughput([1, 1], (b + 1,)) - line_throughput([1, 1], (b,))
        share = 1 - line_throughput([1, 1], (b,))
        assert gain == pytest.approx(share * share * (b + 3) / (b + 4))
        assert Promise(share, share).of_a_place == pytest.approx(gain, rel=0.35)


def test_the_most_promising_buffer_is_the_one_before_the_slowest_machine_that_is_starved() -> None:
    """Of two buffers around a slow last machine, the one next to it promises more."""
    scenario = load_text(row([exponential(400), exponential(500), exponential(600)], [1, 1]))
    runs = run_cases([Case("now", scenario)], replications=4)
    first, second = promises(runs, "now", gaps_of(scenario))
    assert 0 < first.of_a_place < second.of_a_place
    assert first.blocked > second.blocked > 0
