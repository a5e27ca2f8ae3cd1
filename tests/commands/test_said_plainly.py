"""Sentences and tables where little is to be said: nothing changes, one was asked about, few ran."""

from dataclasses import replace
from pathlib import Path

import pytest

from linesim.answers.measure import Measure
from linesim.answers.values import Change
from linesim.answers.wording import change_in_words, interval_text
from tests.commands.calls import call

ALONE = ("--workers", "1", "--quiet")


def said(capsys: pytest.CaptureFixture[str], *words: str | Path) -> str:
    """Return the page of a command, its lines joined; it must fit 80 columns."""
    answer = call(capsys, *words, *ALONE)
    assert (answer.status, answer.err) == (0, "")
    assert max(map(len, answer.out.splitlines())) <= 80
    return " ".join(answer.out.split())


def test_a_bound_that_rounds_to_nothing_is_0() -> None:
    """A bound of 0 is no `0.0 fewer`, one near it keeps a digit; what is constant is `each time`."""
    jobs, rise = Measure("jobs_per_shift"), Change(0.4, -0.04, 0.84)
    assert change_in_words(rise, jobs) == "can't tell, between 0.04 fewer and 0.84 more jobs a shift"
    from_0 = replace(rise, low=0.0)
    assert change_in_words(from_0, jobs) == "can't tell, between 0 and 0.8 more jobs a shift"
    other = Change(-0.4, -0.84, 0.04)
    assert change_in_words(other, jobs) == "can't tell, between 0.84 fewer and 0.04 more jobs a shift"
    constant = Change(1 / 3, 1 / 3 - 1e-17, 1 / 3 + 1e-16, half_width=1e-16)
    assert change_in_words(constant, jobs) == "0.333 more jobs a shift (each time)"
    assert interval_text(constant) == "each time"
    nothing = Change(0.0, 0.0, 0.0, half_width=0.0)
    assert change_in_words(nothing, jobs) == "no difference in any replication in jobs a shift"


def test_a_factor_that_changes_nothing_is_told_so(line: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A third operator for a task of one changes nothing: that is no `can't tell`, and no pair is mixed."""
    vary = ("--vary", "crew.two.people = [2, 3]", "--vary", "buffer.lane.capacity = [0, 4]")
    text = said(capsys, "screen", line, *vary, "--replications", "3")
    assert "These change nothing in any replication: crew.two.people." in text
    assert "Of these the data can't tell" not in text
    assert "(+1)" not in text


def test_operators_who_bring_nothing(line: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Where one more changes nothing anywhere the first sentence says so, in words."""
    text = said(capsys, "crew", line, "--no-floater", "--replications", "4")
    assert "One more operator brings nothing more in any crew; in the first of them, one, there is no" in text
    assert "One fewer would leave too few people for a task or a bay in one." in text
    assert "one 0 each time the same" in text
    assert "jobs_per_shift" not in text


def test_one_station_is_asked_about(line: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """With --only the sentence speaks of that station; a gain that the data can't tell names nobody."""
    text = said(capsys, "bottleneck", line, "--only", "A", "--replications", "4")
    assert "Made 5 % faster, A brings: can't tell, between" in text
    assert "gain can't tell – 4 A stop caused B" in text


def test_few_replications_of_a_start_are_a_caution(line: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """With 4 replications luck moves the cut, and the page says how far; with 10 it does not warn."""
    few = said(capsys, "warmup", line, "--replications", "4", "--window", "1")
    assert "4 replications leave much to luck; 10 or more tell better" in few
    assert "single replications would cut from 0 min to 50 min" in few
    assert "1 interval of 5 min to each side" in few
    assert "leave much to luck" not in said(capsys, "warmup", line, "--replications", "10")


def test_shifts_and_shares_are_rounded(
    line: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The range of single shifts has one decimal; nearly all of the samples are `99.5`, never `1e+02`."""
    (tmp_path / "act.csv").write_text("jobs,stop_min\n57,2\n59,1\n58,0.5\n", encoding="utf-8")
    text = said(capsys, "validate", line, tmp_path / "act.csv", "--replications", "10")
    assert "stop_min 0.5 to 2.0 " in text
    times = tmp_path / "t.csv"
    times.write_text("work_s\n50\n52\n47\n60\n55\n43\n58\n51\n49\n66\n", encoding="utf-8")
    fitted = call(capsys, "fit", times, "--shape", "pert", "--shape", "triangular", "--quiet").out
    assert "1e+02" not in fitted and " 99.5 " in fitted
