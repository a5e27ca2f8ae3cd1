"""Rate and time left: only what was really done counts."""

import pytest

from linesim.commands.progress import Rate, _now_and_then


def test_the_rate_is_that_of_the_work_done() -> None:
    """Ten of twenty in five seconds: two a second, five seconds left."""
    rate = Rate(100.0)
    rate.tell(0, 20, 100.0)
    rate.tell(10, 20, 105.0)
    assert (rate.per_second, rate.left_s) == (2.0, 5.0)
    assert rate.in_words() == "2 a second, 5 s left"


def test_what_was_stored_makes_nothing_faster() -> None:
    """Of 90 stored and 5 run in ten seconds, five count: one in two seconds, ten seconds left."""
    rate = Rate(0.0)
    rate.tell(90, 100, 0.0)
    rate.tell(95, 100, 10.0)
    assert (rate.per_second, rate.left_s) == (0.5, 10.0)


def test_a_new_list_starts_from_what_it_has() -> None:
    """When a study goes on with further replications, those of before are not counted again."""
    rate = Rate(0.0)
    for done, total, now in ((0, 10, 0.0), (10, 10, 10.0), (10, 30, 10.0), (20, 30, 20.0), (4, 8, 20.0)):
        rate.tell(done, total, now)
    assert rate.per_second == 1.0
    assert rate.left_s == 4.0


def test_nothing_is_said_before_anything_is_known() -> None:
    """Before the first replication there is no rate; after the last there is nothing left."""
    rate = Rate(0.0)
    rate.tell(0, 5, 1.0)
    assert (rate.per_second, rate.left_s, rate.in_words()) == (None, None, "")
    rate.tell(5, 5, 101.0)
    assert rate.in_words() == "one in 20 s"


def test_without_a_terminal_a_line_comes_now_and_then(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Every half minute one line with count, rate and time left; none in between."""
    moments = iter([0.0, 0.0, 1.0, 31.0, 40.0, 62.0])
    monkeypatch.setattr("linesim.commands.progress.time.monotonic", lambda: next(moments))
    tell = _now_and_then("replications")
    for done in (0, 31, 40, 62):
        tell(done, 110)
    assert capsys.readouterr().err.splitlines() == [
        "31 of 110 replications, 1 a second, 1.3 min left",
        "62 of 110 replications, 1 a second, 48 s left",
    ]
