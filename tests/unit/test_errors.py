"""Problems and errors as data and as text."""

import pickle

import pytest

from linesim.errors import LinesimError, LineStuck, Problem, ScenarioError

FOUND = Problem("line.toml", 7, "crew.cab.people", "found -1; write at least 0.", "out-of-range")


def test_a_problem_reads_as_place_and_mend() -> None:
    """File, line and place come first, then what was found and the mend, then the code."""
    assert FOUND.rendered() == "line.toml:7: crew.cab.people\n  found -1; write at least 0.  [out-of-range]"


def test_a_problem_without_line_or_place() -> None:
    """What has no line or no place leaves it out; a warning says that it is one."""
    whole = Problem("line.toml", None, "", "it is empty.", "empty-table", "warning")
    assert whole.rendered() == "line.toml\n  warning: it is empty.  [empty-table]"


def test_a_scenario_error_holds_every_problem() -> None:
    """All problems are in the error, in its text, and still there in another process."""
    error = ScenarioError([FOUND, FOUND])
    assert error.problems == (FOUND, FOUND)
    assert str(error) == f"{FOUND.rendered()}\n{FOUND.rendered()}"
    assert pickle.loads(pickle.dumps(error)).problems == error.problems
    assert isinstance(error, LinesimError)


def test_a_scenario_error_without_problems_is_a_mistake() -> None:
    """Nobody can refuse a scenario without saying why."""
    with pytest.raises(ValueError, match="at least one problem"):
        ScenarioError([])


def test_a_stuck_line_says_who_holds_what() -> None:
    """A line that can no longer move says since when, and who waits for whom, also in another process."""
    error = pickle.loads(
        pickle.dumps(LineStuck(61_500, 7_250, ["job 3 at K1 waits for the hoist", "job 4 holds it"]))
    )
    assert (error.at, error.since, error.held) == (
        61_500,
        7_250,
        ("job 3 at K1 waits for the hoist", "job 4 holds it"),
    )
    assert str(error).splitlines()[0] == (
        "the line can no longer move: nothing happened after 7.25 s from the start, found at 61.5 s"
    )
    assert str(error).splitlines()[2] == "  job 4 holds it"
