"""Which drive runs the replications, and how it is seen that both do the same."""

from typing import Any

import pytest

from linesim import simulate
from linesim.draws.draws import Draws
from linesim.engine import compiled, machine_code, run
from linesim.engine.arrays import CompiledClock
from linesim.engine.source import book_of
from linesim.errors import LinesimError
from linesim.plan.build import build
from linesim.plan.plan import Plan
from linesim.runs import drive
from linesim.runs.cases import Case, run_cases
from linesim.scenario import from_dict
from linesim.scenario.models import Scenario
from tests.drives import both_drives, fast, one_drive
from tests.lines import tables

LINE = """
[section.line]
pacing = "moving"
stations = ["A", "B"]
[station.A.task.fit]
time = { mean = "9 s", cv = 0.3 }
[station.B.task.close]
time = "7 s"
[crew.all]
people = 2
covers = ["A", "B"]
"""


@pytest.fixture
def line() -> Scenario:
    """Return a line of two stations that now and then stops."""
    return from_dict(tables(LINE, length="10 min"))


@pytest.fixture
def needs_code() -> None:
    """Leave the test out where the rules cannot be compiled."""
    if fast() != "compiled":
        pytest.skip("no machine code can be made here")


def test_the_drive_is_what_was_asked_for_or_the_fast_one(monkeypatch: pytest.MonkeyPatch) -> None:
    """SimPy is taken where it is asked for or numba is missing; another word is refused."""
    assert drive.drive_for("simpy") == "simpy"
    with pytest.raises(ValueError, match="must be simpy or compiled"):
        drive.drive_for("numba")
    monkeypatch.setattr(machine_code, "is_installed", lambda: False)
    monkeypatch.setattr(compiled, "kept_folder", compiled.kept_folder.__wrapped__)
    said: list[str] = []
    assert drive.drive_for(None, said.append) == "simpy"
    assert said == []
    assert drive.drive_for("compiled", said.append) == "simpy"
    assert len(said) == 1
    assert "numba is not installed" in said[0]
    assert "goes on by SimPy" in said[0]


@pytest.mark.usefixtures("needs_code")
def test_figures_do_not_depend_on_the_drive(line: Scenario) -> None:
    """A result is the same by either drive, in one process and in two."""
    by = [
        simulate(line, replications=3, drive=name, workers=workers)
        for name, workers in (("simpy", 1), ("compiled", 1), ("compiled", 2))
    ]
    assert by[0].to_json() == by[1].to_json() == by[2].to_json()


@pytest.mark.usefixtures("needs_code")
def test_the_longer_beginning_is_run_once_in_a_study(line: Scenario, monkeypatch: pytest.MonkeyPatch) -> None:
    """Replication 1 of the first case is compared for longer, of one with other things in it briefly."""
    compared: list[int] = []
    monkeypatch.setattr(
        "linesim.runs.blocks.check_drives", lambda *args, takts: compared.append(takts)
    )  # how it compares is looked at elsewhere
    runs = run_cases([Case("file", line)], numbers=[2, 3], drive="compiled")
    assert compared == []
    runs = runs.extend([1])
    for change in ({"takt": "11 s"}, {"crew.all.people": 3}, {"crew.all.people": 1}):
        runs = runs.add([Case.changed(str(change), line, change)], [1])
    assert compared == list(drive.CHECKED_TAKTS)


def test_of_cases_that_are_alike_one_in_ten_is_looked_at(line: Scenario) -> None:
    """A case with none, one or several where no other had them is looked at; of the others every tenth."""
    looks = drive.Looks()

    def takts(changes: dict[str, Any], add: dict[str, Any] | None = None) -> int:
        return looks.takts(build(line.replace(changes, add=add)))

    longer, brief = drive.CHECKED_TAKTS
    assert takts({}) == longer
    alike = [takts({"takt": f"{11 + n} s"}) for n in range(20)]
    assert alike == [0, 0, 0, 0, 0, 0, 0, 0, 0, brief] * 2
    assert takts({"crew.all.people": 1}) == brief
    assert takts({"crew.all.people": 9}) == takts({"crew.all.people": 1, "takt": "15 s"}) == 0
    assert takts({"station.A.task.fit.time": "9 s"}) == 0  # how long it takes is no rule's business
    assert takts({"station.A.late": 0.25}) == brief
    assert takts({"orders.sequence": "levelled"}) == brief
    assert takts({}, add={"tool.gun": {"count": 1}}) == brief


@pytest.mark.usefixtures("needs_code")
@pytest.mark.parametrize("moved", ["events", "ledger"])
def test_a_tick_that_differs_stops_the_study(
    line: Scenario, moved: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where the compiled drive says something else in replication 1, that is told and nothing is answered."""
    real = run.run_line

    def wrong(plan: Plan, draws: Draws, events: Any = None, **how: Any) -> Any:
        ledger = real(plan, draws, events, **how)
        if how.get("drive") == "compiled":
            if moved == "events" and events:
                events[3] = events[3]._replace(time=events[3].time + 1)
            if moved == "ledger":
                ledger.station_state[0, 0] += 1
        return ledger

    monkeypatch.setattr(run, "run_line", wrong)
    told = "at event 4" if moved == "events" else "in station_state"
    with pytest.raises(drive.DrivesDifferError, match=f"replication 1 of seed 1 {told}"):
        simulate(line, replications=2, seed=1, drive="compiled")


@pytest.mark.usefixtures("needs_code")
def test_a_pool_may_fill_within_one_instant(monkeypatch: pytest.MonkeyPatch) -> None:
    """3,000 jobs that come in the first instant find no room: the run begins anew with more of it."""
    text = """
        flow = ["gate", "lane", "line"]
        [section.gate]
        pacing = "free"
        stations = ["G"]
        [buffer.lane]
        capacity = 3000
        [section.line]
        pacing = "free"
        stations = ["A"]
        [station.A.task.fit]
        time = "9 s"
        people = 0
        """
    rooms = []
    begin = CompiledClock.__init__

    def noted(self: CompiledClock, *args: Any, **how: Any) -> None:
        rooms.append(how["room"])
        begin(self, *args, **how)

    monkeypatch.setattr(CompiledClock, "__init__", noted)
    ledger, events = both_drives(build(from_dict(tables(text, length="1 min"))))
    assert sum(event.what == "line-on" for event in events) > 3000
    assert ledger.jobs_out == 6
    assert rooms == [1, 8, 64]


@pytest.mark.usefixtures("needs_code")
def test_what_goes_wrong_in_a_draw_is_told_as_it_is(monkeypatch: pytest.MonkeyPatch) -> None:
    """An error in the middle of an instant, at the 65th job, comes out of the compiled loop unchanged."""
    real = Draws.block

    def wrong(self: Draws, column: int, attempt: int, b: int, rows: int) -> Any:
        if b:
            raise LinesimError("no luck today")
        return real(self, column, attempt, b, rows)

    monkeypatch.setattr(Draws, "block", wrong)
    with pytest.raises(LinesimError, match="no luck today"):
        one_drive(build(from_dict(tables(LINE, length="20 min"))), 1, 1, drive="compiled")


def test_a_worker_without_machine_code_runs_by_simpy(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the machine that asks can compile and a worker cannot, the worker takes SimPy."""

    def none() -> None:
        raise machine_code.NoMachineCodeError("not here")

    monkeypatch.setattr("linesim.engine.compiled.compiled_loop", none)
    drive.usable.cache_clear()
    try:
        assert drive.usable("compiled") == "simpy"
    finally:
        drive.usable.cache_clear()


def test_cases_with_the_same_tasks_share_what_their_variants_do(line: Scenario) -> None:
    """A takt or a crew changes no task: the work of variants is written once; a mean time changes it."""
    book = book_of(build(line), False)
    assert book_of(build(line.replace({"takt": "11 s", "crew.all.people": 3})), False) is book
    assert book_of(build(line), True) is not book
    changed = ({"station.A.task.fit.time.cv": 0.4}, {"station.A.task.fit.time.mean": "8 s"},
               {"station.B.task.close.people": 2})  # fmt: skip
    assert [book_of(build(line.replace(change)), False) is book for change in changed] == [True, False, False]
    more = line.replace(
        {}, add={"station.A.task.fit.fault.scratch": {"found": "at once", "right": "there", "chance": 0.1}}
    )
    assert book_of(build(more), False) is not book
