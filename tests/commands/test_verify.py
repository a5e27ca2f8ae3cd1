"""`linesim verify`: the table of known answers, the laws of a line, and that a wrong answer is caught."""

import json
import re
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest

from linesim.commands import progress
from linesim.verification import bench as benches
from linesim.verification import program
from linesim.verification.bench import (
    AMOUNT,
    FULL_TIMES,
    RATE,
    CheckBench,
    Known,
    check,
    judge_at_most,
    judge_equal,
    judge_mean,
    must_see,
)
from tests.commands.calls import call

#: Checks of one kind each, which take a second together.
FEW = ("4 machines, no places: exits", "stops at 3 stations: pitches", "two machines, uniform times")


def few(*, full: bool) -> tuple[Known, ...]:
    """Return some of the checks, instead of all of them."""
    assert not full
    return tuple(one for one in KNOWN if one.what in FEW)


KNOWN = program.known(full=False)


@pytest.fixture
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let the command run few checks."""
    monkeypatch.setattr(program, "known", few)


#: Three machines with a place between them, the second the slowest: every law of a free line holds for it.
FREE = """\
takt = "60 s"
flow = ["first", "gap-1", "second", "gap-2", "third"]
run  = { length = "8 h", warm_up = "1 h" }
section.first.pacing    = "free"
section.first.stations  = ["M1"]
section.second.pacing   = "free"
section.second.stations = ["M2"]
section.third.pacing    = "free"
section.third.stations  = ["M3"]
buffer.gap-1.capacity   = 1
buffer.gap-2.capacity   = 1
station.M1.task.work = { people = 0, time = { shape = "uniform", low = "40 s", high = "80 s" } }
station.M2.task.work = { people = 0, time = { shape = "uniform", low = "60 s", high = "90 s" } }
station.M3.task.work = { people = 0, time = { shape = "uniform", low = "30 s", high = "80 s" } }
"""
SHORT = ("--replications", "6", "--quiet")


@pytest.fixture
def free(tmp_path: Path) -> Path:
    """Return the file of a plain free line."""
    path = tmp_path / "free.toml"
    path.write_text(FREE, encoding="utf-8")
    return path


def checks(out: str) -> dict[str, str]:
    """Return the verdicts of a JSON answer by the name of the check, up to a comma."""
    return {row["what"].split(",")[0]: row["verdict"] for row in json.loads(out)["tables"]["checks"]}


def verdict_of(page: str, what: str) -> str:
    """Return the verdict in the row of a check."""
    _, _, table = page.partition("What must come out")
    return next(row for row in table.splitlines() if row.startswith(f"  {what}")).split()[-1]


@pytest.mark.usefixtures("quick")
def test_right_program_passes(capsys: pytest.CaptureFixture[str]) -> None:
    """What, source, expected, found, interval and verdict stand on the page, and the status is 0."""
    said = call(capsys, "verify", "--quiet")
    assert (said.status, said.err) == (0, "")
    assert "All 4 checks passed." in said.out
    row = next(row for row in said.out.splitlines() if "two machines, uniform times" in row)
    assert row.split()[4:6] == ["0.857", "0.8563"] and row.split()[-1] == "agrees" and " to " in row
    assert "1/E[max(T1, T2)] = 6/7" in said.out
    assert max(map(len, said.out.splitlines())) <= 80


@pytest.mark.usefixtures("quick")
def test_json_is_one_object(capsys: pytest.CaptureFixture[str]) -> None:
    """The object holds every figure of every check, and which program was checked."""
    found = json.loads(call(capsys, "verify", "--json", "--quiet").out)
    assert "linesim" in found["run"]["versions"] and found["layout"]["is_refusal"] is False
    exits = [row for row in found["tables"]["figures"] if row["what"] == FEW[0]]
    assert [row["expected"] for row in exits] == [row["found"] for row in exits] == [18, 19, 25, 30, 39, 44]
    row, mean = (next(r for r in found["tables"]["checks"] if r["what"] == FEW[k]) for k in (0, 2))
    assert (row["equal"], row["figures"], row["verdict"]) == (6, 6, "agrees")
    assert mean["low"] < mean["expected"] < mean["high"]
    assert mean["sees"] <= mean["must_see"]


def test_progress_is_told_within_a_check(
    free: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A check may take minutes of runs: each run counts, of as many as are known to be needed."""
    monkeypatch.setattr(progress, "EVERY_SECONDS", 0.0)
    said = call(capsys, "verify", free, "--replications", "6").err.splitlines()
    done = [tuple(map(int, re.findall(r"\d+", line)[:2])) for line in said if " steps" in line]
    assert [k for k, _ in done[:12]] == list(range(1, 13)), "six runs with each of two seeds"
    assert [of for _, of in done[:12]] == [6] * 6 + [12] * 6
    assert all(before <= after for (before, _), (after, _) in pairwise(done))
    assert done[-1][0] == done[-1][1] > 30, "all of them at the end"


@pytest.mark.parametrize(
    ("what", "wrong"),
    [(FEW[0], (18, 19, 25, 30, 39, 45)), (FEW[1], (60, 70, 60, 66, 60, 75, 60)), (FEW[2], 0.88)],
)
def test_wrong_answer_is_caught(
    what: str, wrong: float | tuple[float, ...], monkeypatch: pytest.MonkeyPatch, capsys
) -> None:
    """An expected figure off by one, one figure less or a mean off by 3 % differs, and the status is 1."""

    def spoilt(*, full: bool) -> tuple[Known, ...]:
        return tuple(
            replace(one, expected=wrong, recomputed=None) if one.what == what else one
            for one in few(full=full)
        )

    monkeypatch.setattr(program, "known", spoilt)
    said = call(capsys, "verify", "--quiet")
    assert said.status == 1
    assert f"1 of 4 checks failed: {what}" in " ".join(said.out.split())
    assert verdict_of(said.out, what) == "differs"


def test_printed_figure_that_does_not_recompute_is_caught() -> None:
    """A published figure that this machine's own theory does not give differs, whatever was simulated."""
    known = next(one for one in KNOWN if one.what == FEW[2])
    slip = check(replace(known, expected=0.85714295), CheckBench())  # 6/7 with a slip in the seventh digit
    assert slip.verdict == "differs" and slip.source.startswith("recomputed here: 0.857142857")


def test_wrong_sums_are_caught(monkeypatch: pytest.MonkeyPatch) -> None:
    """A ledger that loses a tick or a job is named."""
    bench = CheckBench()
    known = next(one for one in KNOWN if one.what == FEW[0])
    check(known, bench)
    assert not program.closed_sums(bench).is_failed
    monkeypatch.setattr("linesim.verification.bench.open_sums", lambda plan, ledger: ("jobs: 6 came",))
    check(known, bench)
    assert program.closed_sums(bench).is_failed and "jobs: 6 came" in program.closed_sums(bench).source


def test_open_sums_are_found() -> None:
    """A station's account one tick short, a stop without a cause and a lost job are each put into words."""
    from linesim.verification.lines import constant, free_line

    bench = CheckBench()
    plan = bench.plan(free_line([constant(5.0)] * 2, length=100))
    ledger = bench.run(plan)
    assert not benches.open_sums(plan, ledger)
    states = ledger.station_state.copy()
    states[0, 0] -= 1
    stop = ledger.stop.copy()
    stop[0, 0, 0] += 1
    for wrong, says in (
        (replace(ledger, station_state=states), "station M1: 99999 ticks of 100000"),
        (replace(ledger, stop=stop), "section S1: stood 0 ticks, causes add up to 1"),
        (replace(ledger, jobs_out=ledger.jobs_out - 1), "jobs: "),
    ):
        assert [text for text in benches.open_sums(plan, wrong) if text.startswith(says)]


def test_verdicts() -> None:
    """Equal figures agree, a far mean differs, a wide interval is too blind, a bound has one side."""
    close = [0.99, 1.01] * 10
    assert judge_mean("", "", 1.0, close, must_see=0.05).verdict == "agrees"
    assert judge_mean("", "", 1.05, close, must_see=0.05).verdict == "differs"
    assert judge_mean("", "", 1.05, close, must_see=0.2, margin=0.05).verdict == "agrees"
    assert judge_mean("", "", 1.0, [0.5, 1.5] * 10, must_see=0.05).verdict == "too blind"
    assert judge_mean("", "", 1.0, [1.0, 1.0], must_see=0.05).verdict == "agrees"
    assert judge_equal("", "", (1, 2), (1, 2)).verdict == "agrees"
    assert judge_equal("", "", (1, 2), (1,)).verdict == "differs"
    assert judge_at_most("", "", 2.0, close, must_see=0.2).verdict == "agrees"
    assert judge_at_most("", "", 0.9, close, must_see=0.2).verdict == "differs"
    with pytest.raises(ValueError, match="at least 2"):
        judge_mean("", "", 1.0, [1.0], must_see=0.05)


def test_a_plain_line_keeps_its_laws(free: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """For three machines with places every law of a free line applies and holds."""
    said = call(capsys, "verify", free, "--quiet", "--json")
    assert said.status == 0
    verdicts = checks(said.out)
    assert verdicts.pop("pitches follow work") == "does not apply"
    assert set(verdicts.values()) == {"agrees"}
    assert {"recursion", "one more place", "reversed line", "very large buffers", "no variation: s a job",
            "another seed: jobs/h", "output below ceiling"} <= set(verdicts)  # fmt: skip


def test_a_law_that_fails_is_told(
    free: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """With a recursion that blocks a job too long the line differs from it, and the status is 1."""
    from linesim.verification import free as laws

    right = laws.line_times
    monkeypatch.setattr(laws, "line_times", lambda work, *, places: right(work, places=(0, 0)))
    said = call(capsys, "verify", free, *SHORT)
    assert said.status == 1
    assert verdict_of(said.out, "recursion") == "differs"


def test_paced_lines_say_what_does_not_apply(scenarios: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A moving line that stops at fixed positions keeps its pitches; laws of free lines say why not."""
    said = call(capsys, "verify", scenarios / "textbook" / "fixed-position-stop.toml", *SHORT)
    assert said.status == 0
    assert "pitches follow work, 300 jobs" in said.out
    assert "reversed line: section conveyor is paced" in " ".join(said.out.split())


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--replications", "5"), "belongs to a scenario"),
        (("--set", "takt = '1 s'"), "belong to a scenario"),
        (("FILE", "--full"), "--full belongs to the program"),
        (("FILE", "--replications", "1"), "no interval"),
    ],
)
def test_options_that_do_not_fit(
    words: tuple[str, ...], says: str, free: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Options of the other half are refused with what would be right, status 2."""
    said = call(capsys, "verify", *[free if word == "FILE" else word for word in words])
    assert (said.status, said.out) == (2, "")
    assert says in said.err


def test_every_check_is_named_apart_and_has_a_source() -> None:
    """Names are unlike each other and fit the table; each has a source; a mean sees its wrong reading."""
    every = program.known(full=True)
    assert len({one.what for one in every}) == len(every) > 50
    assert max(len(one.what) for one in every) <= 30
    assert all("recomputed" in one.source for one in every)
    assert all((one.sees is None) == isinstance(one.expected, tuple) for one in every)
    assert {one.what for one in KNOWN} < {one.what for one in every}
    for one in every:
        if one.sees is not None:
            assert one.sees in (RATE, AMOUNT) and one.wrong is not None and isinstance(one.expected, float)
            smallest = must_see(one, FULL_TIMES)
            assert 0 < smallest <= min(one.sees * one.expected, abs(one.wrong() - one.expected))
            assert must_see(one, 1) == pytest.approx(2 * smallest)


@pytest.mark.slow
def test_everything_passes() -> None:
    """Every check passes, sharp as --full."""
    bench = CheckBench(times=FULL_TIMES)
    failed = [row for row in program.rows(bench, full=True) if row.is_failed]
    assert not failed
