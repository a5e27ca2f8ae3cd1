"""The laws of `linesim verify FILE`: what they say of lines, and that a line which breaks one is caught."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from linesim.ledger.ledger import Event, Ledger
from linesim.plan.plan import Plan
from linesim.scenario import from_dict, load
from linesim.verification import long_run, paced
from linesim.verification.bench import FIRST, MOST, CheckBench, CheckRow, Raw, judge_mean, judged
from linesim.verification.free import free_laws
from linesim.verification.lines import (
    constant,
    exponential,
    free_line,
    not_alone,
    not_free,
    not_open,
    not_steady,
    paced_line,
    uniform,
)
from linesim.verification.long_run import roomy
from linesim.verification.program import CEILING, SEEDS, own_rows


def full(raw: Raw) -> Raw:
    """Return tables with every default written out, as a loaded scenario gives them."""
    return from_dict(raw).as_dict()


def shipped(scenarios: Path, name: str) -> Raw:
    """Return the tables of a shipped scenario."""
    return load(scenarios / f"{name}.toml").as_dict()


THREE = full(
    free_line([uniform(40, 80), uniform(60, 90), uniform(30, 80)], 1, length=6 * 3600.0, warm_up=3600.0)
)  # the second is the slowest: 75 s on average


class Later(CheckBench):
    """A bench on whose run of a certain number every job leaves a millisecond later."""

    def __init__(self, which: int) -> None:
        super().__init__()
        self.which = which

    def log(self, plan: Plan, replication: int = 1, *, seed: int | None = None) -> tuple[list[Event], Ledger]:
        """Return the events, with the exits moved in that run."""
        events, ledger = super().log(plan, replication, seed=seed)
        by = 1 if self.n_runs == self.which else 0
        moved = [e._replace(time=e.time + by) if e.what == "line-off" else e for e in events]
        return moved, ledger


class Losing(CheckBench):
    """A bench on which lines with large buffers lose every twelfth job."""

    def run(self, plan: Plan, replication: int = 1, *, seed: int | None = None) -> Ledger:
        """Return a ledger with fewer jobs where there is a large buffer."""
        ledger = super().run(plan, replication, seed=seed)
        is_wide = any(plan.buffers.capacity.tolist())
        return replace(ledger, jobs_out=ledger.jobs_out * 11 // 12) if is_wide else ledger


class Lucky(CheckBench):
    """A bench on which one seed makes a twentieth more."""

    def __init__(self, which: int) -> None:
        super().__init__()
        self.which = which

    def run(self, plan: Plan, replication: int = 1, *, seed: int | None = None) -> Ledger:
        """Return a ledger with more jobs for that seed."""
        ledger = super().run(plan, replication, seed=seed)
        if (self.seed if seed is None else seed) != self.which:
            return ledger
        return replace(ledger, jobs_in=ledger.jobs_in * 21 // 20, jobs_out=ledger.jobs_out * 21 // 20)


@pytest.mark.parametrize(
    ("name", "pitch"),
    [  # takt, or the longest mean work with the move, as the files have it [s]
        ("textbook/eleven-tasks", 10),
        ("textbook/indexed-five", 66),
        ("textbook/line-stop-trace", 62),
        ("textbook/rework-loop", 80),
        ("textbook/three-machines", 60),
        ("features/calls-and-floaters", 60),
        ("features/measured-times", 70),
        ("features/robots-together", 50),
        ("features/staggered-breaks", 60),
        ("features/two-bays", 45),
    ],
)
def test_without_variation(name: str, pitch: float, scenarios: Path) -> None:
    """A shipped line whose times never vary makes a job each pitch, neither sooner nor later."""
    row = long_run.steady(shipped(scenarios, name), CheckBench())
    assert (row.verdict, row.expected, row.found) == ("agrees", (pitch,), (pitch,))


def test_another_pitch_without_variation_is_caught(monkeypatch: pytest.MonkeyPatch) -> None:
    """A pitch one millisecond off differs from the line."""
    right = long_run._pitch
    monkeypatch.setattr(long_run, "_pitch", lambda plan: (right(plan)[0] + 1, None))
    assert long_run.steady(THREE, CheckBench()).verdict == "differs"


def by_name(rows: list[CheckRow]) -> dict[str, str]:
    """Return the verdicts by the name up to a comma."""
    return {row.what.split(",")[0]: row.verdict for row in rows}


def test_laws_of_free_lines() -> None:
    """Recursion, the line reversed and one more place hold for a free line."""
    assert set(by_name(list(free_laws(THREE, CheckBench()))).values()) == {"agrees"}


@pytest.mark.parametrize(
    ("law", "run"), [("recursion", 1), ("reversed line", 3), ("one more place", 4)]
)  # runs: the line, its times forwards, backwards, a place more in the first gap, in the second
def test_a_late_job_breaks_a_law(law: str, run: int) -> None:
    """Where jobs leave one millisecond late the law that looks at that run differs."""
    assert by_name(list(free_laws(THREE, Later(run))))[law] == "differs"


def test_pitches_of_a_paced_section(monkeypatch: pytest.MonkeyPatch) -> None:
    """Marks of a moving and of an indexed line come as the work says, and not as a takt more would say."""
    for pacing in ("moving", "indexed"):
        raw = full(paced_line([uniform(40, 80)] * 3, length=3600.0, pacing=pacing))
        assert paced.paced_law(raw, CheckBench()).verdict == "agrees"
    right = paced.line_stop_pitches
    monkeypatch.setattr(paced, "line_stop_pitches", lambda work, takt: right(work, takt + 1))
    assert paced.paced_law(raw, CheckBench()).verdict == "differs"


def test_very_large_buffers() -> None:
    """With endless room the line makes what its slowest section makes alone; losing jobs is caught."""
    row = roomy(THREE, CheckBench(), 6)
    assert row.verdict == "agrees" and "weakest section, S2," in row.source
    assert roomy(THREE, Losing(), 6).verdict == "differs"


def test_what_theory_leaves_open_is_what_balanced_queues_lose() -> None:
    """Where equal stations stand in a row the line falls behind one alone, by no more than the bound says."""
    raw = full(free_line([exponential(10.0)] * 3, 0, length=4 * 3600.0))
    row = roomy(raw, CheckBench(), 20)
    assert row.verdict == "agrees" and row.replications == 20
    assert 0.9 * (1 - row.margin) < row.found[0] < 1 and 0.01 < row.margin < 0.035


@pytest.mark.parametrize(("which", "verdicts"), [(0, "agrees agrees"), (1, "differs differs"),
                                                 (2, "differs agrees")])  # fmt: skip
def test_output_of_two_seeds_and_its_ceiling(which: int, verdicts: str) -> None:
    """A seed that makes a twentieth more than another is caught, and more than the slowest station can."""
    short = {**THREE, "run": {**THREE["run"], "length": "40 h"}}
    rows = {row.what: row for row in own_rows(from_dict(short), Lucky(which), 10)}
    found = [rows[what].verdict for what in (SEEDS, CEILING)]
    assert found == verdicts.split()


def test_as_many_replications_as_a_check_takes() -> None:
    """A check adds replications until it sees what it must, looking at their spread alone."""
    luck = np.random.Generator(np.random.Philox(1))
    values = luck.normal(1, 0.1, MOST).tolist()
    asked = []

    def judge(n: int, of: list[float] = values, must_see: float = 0.1) -> CheckRow:
        asked.append(n)
        return judge_mean("", "", 1.0, of[:n], must_see=must_see)

    row = judged(judge, None)
    assert row.verdict == "agrees" and asked[0] == FIRST < (row.replications or 0) < 60
    # A mean five spreads off after ten replications is judged after as many as the spread asks for.
    far = [1.5 + value for value in values]
    late = judged(lambda n: judge(n, far), None)
    assert (late.verdict, late.replications) == ("differs", row.replications)
    assert judged(lambda n: judge(n, must_see=0.001), None).replications == MOST  # and is too blind
    assert judged(judge, 12).replications == 12


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("textbook/pallet-loop", "carriers"),
        ("textbook/two-feeders", "feeder"),
        ("textbook/rework-loop", "bay"),
        ("textbook/three-queues", "supply"),
        ("textbook/displacement", "list of orders ends"),
    ],
)
def test_what_is_not_open_is_said(name: str, says: str, scenarios: Path) -> None:
    """A line whose jobs do not simply come and go is named with what is in the way."""
    plan = CheckBench().plan(shipped(scenarios, name))
    assert says in (not_open(plan) or "")


def test_what_shares_or_waits_is_said() -> None:
    """A crew for two stations, a walk, several stalls, and tasks beside each other are each named."""
    raw = free_line([constant(10.0)] * 2, length=3600.0)
    assert not_alone(CheckBench().plan(raw)) is None and not_free(CheckBench().plan(raw)) is None
    for station in raw["station"].values():
        station["task"]["work"]["people"] = 1
    raw["crew"] = {"all": {"people": 1, "covers": ["M1", "M2"]}}
    assert not_alone(CheckBench().plan(raw)) == "crew all works at 2 stations, and one may wait for another"
    raw["crew"]["all"]["people"] = 2
    assert not_alone(CheckBench().plan(raw)) is None
    raw["crew"]["all"]["walk"] = "1 s"
    assert "walk" in (not_alone(CheckBench().plan(raw)) or "")
    raw = free_line([constant(10.0)], length=3600.0)
    raw["station"]["M1"]["places"] = 2
    assert "overtake" in (not_free(CheckBench().plan(raw)) or "")
    raw["station"]["M1"]["task"]["more"] = {"people": 1, "time": "5 s"}
    raw["station"]["M1"]["task"]["most"] = {"people": 2, "time": "5 s"}
    raw["crew"] = {"two": {"people": 2, "covers": ["M1"]}}
    assert "beside each other" in (not_steady(CheckBench().plan(raw)) or "")
