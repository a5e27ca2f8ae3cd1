"""Money of a line and of a change, added up by hand from a cycle of whole seconds."""

import pytest

from linesim import crew, sweep
from linesim.answers.document import Document
from linesim.answers.values import Change
from linesim.commands.report import told_of
from linesim.measures import measure
from linesim.questions.run.sentences import answer as sentences
from linesim.runs.result import Result
from linesim.runs.simulation import simulate
from linesim.scenario import load_text
from tests.lines import run

#: A works 12 s and B 2 x 8 s under a takt of 10 s; no place between them. A shift has 480 s.
LINE = """
title = "Two sections without a place between"
takt = "10 s"
flow = ["first", "second"]
[run]
warm_up = "48 s"
length = "16 min"
shift = "8 min"
replications = 2
[section.first]
pacing = "moving"
stations = ["A"]
[section.second]
pacing = "moving"
stations = ["B"]
[crew.a]
people = 1
covers = ["A"]
[crew.b]
people = 1
covers = ["B"]
[station.A.task.fit]
time = "12 s"
[station.B.task.left]
time = "8 s"
[station.B.task.right]
time = "8 s"
[cost]
operator_per_shift = 30
margin_per_job = 5
stop_minute = 60
currency = "EUR"
"""


def minutes(result: Result) -> dict[tuple[str, str], float | None]:
    """Return all minutes of stop a shift, by place and cause."""
    rows = result.rows("line_stop")
    return {(row.where, row.cause): row.mean for row in rows if row.cause and row.mean}


def test_money_of_a_line_adds_up() -> None:
    """A cycle of B takes 16 s, 30 a shift: A stops 2 s of it by itself and 4 s for B, B stops 6 s by itself.

    60 + 180 = 240 s of own stops at 60 a minute are 240; 30 jobs at 5 are 150, two people at 30 are 60. The
    120 s in which A only waits for B are not paid again, neither in the measure nor in the report.
    """
    scenario = load_text(LINE)
    result = simulate(scenario)
    assert minutes(result) == {("A", "overrun"): 1, ("A", "blocked"): 2, ("B", "overrun"): 3}
    money = {row.cause: row.mean for row in result.rows("net_money")}
    assert money == {"": 150 - 240 - 60, "jobs": 150, "stops": -240, "people": -60}
    said = sentences(result)[-1]
    assert said.startswith("A shift brings -EUR 150: jobs EUR 150, own stops -EUR 240 and people -EUR 60;")
    told = told_of(scenario, result, "linesim report")
    shown = told.view("money")
    assert shown is not None
    assert {row[0].text: row[1].text for row in shown.rows} == {
        "net money": "-EUR 150", "jobs": "EUR 150", "own stops": "-EUR 240", "people": "-EUR 60",
    }  # fmt: skip


@pytest.fixture(scope="module")
def answer() -> Document:
    """Ask what one more for B brings."""
    return crew(load_text(LINE), only=["b"], no_fewer=True, no_floater=True)


def test_money_of_a_change_adds_up(answer: Document) -> None:
    """With two people B needs 8 s and never stops, but A, 2 s late for each mark, waits 8 s for the next one.

    A cycle takes 20 s, 24 a shift: 6 jobs fewer lose 30, and the operator costs 30. B stands 180 s less,
    which is 180 won. A stops 48 s by itself instead of 60, but stands 240 s instead of 180: these 12 s win
    nothing.
    """
    two = load_text(LINE).replace({"crew.b.people": 2})
    assert minutes(simulate(two)) == {("A", "overrun"): 0.8, ("A", "blocked"): 3.2}
    row = answer.table("money").row("b +1")
    parts = {name: found.mean for name, found in row.items() if isinstance(found, Change)}
    assert parts == pytest.approx(
        {"net": -30 + 180 - 30, "from_jobs": -30, "from_stops": 180, "from_people": -30}
    )
    assert "that is +EUR 120 a shift" in answer.sentences[0]
    assert answer.sentences[1] == "Of that -EUR 30 from jobs, +EUR 180 from stops and -EUR 30 from people."


#: A job every ten minutes; a shift of eight hours without breaks makes 48.
SHIFT_MODEL = """
takt = "10 min"
flow = ["line"]
[run]
warm_up = "2 shifts"
length = "5 shifts"
calendar = "model"
start = "full"
[calendar.model]
shifts = {shifts}
days = ["mon", "tue", "wed", "thu", "fri"]
[cost]
operator_per_shift = 300
margin_per_job = 50
currency = "EUR"
[cost.premium.night]
hours = "22:00-06:00"
share = 0.25
[section.line]
pacing = "moving"
stations = ["A"]
[crew.all]
people = 2
covers = ["A"]
[station.A.task.fit]
time = "5 min"
"""


@pytest.mark.parametrize(
    ("shifts", "a_day", "net"),
    [
        (["06:00-14:00"], 48, 5 * (48 * 50 - 600)),
        (["06:00-14:00", "14:00-22:00"], 96, 10 * (48 * 50 - 600)),
        (["06:00-14:00", "14:00-22:00", "22:00-06:00"], 144, 15 * 48 * 50 - 10 * 600 - 5 * 750),
    ],
)
def test_shift_models_by_the_day_and_week(shifts: list[str], a_day: int, net: int) -> None:
    """One, two, three shifts: 48 jobs each, and two people at 300 a shift, a quarter more at night."""
    ran = run(SHIFT_MODEL.format(shifts=shifts))
    found = {row[:3]: row.value for row in measure(ran.plan, ran.ledger)}
    assert found["jobs_per_shift", "segment", ""] == pytest.approx(48)
    assert found["jobs_per_day", "segment", ""] == pytest.approx(a_day)
    assert found["jobs_per_week", "segment", ""] == pytest.approx(5 * a_day)
    assert found["net_money_per_week", "segment", ""] == pytest.approx(net)


def test_shift_models_are_compared_by_the_week() -> None:
    """A second shift brings 5 x (48 x 50 - 600) a week more, in a study as by hand, and none a shift."""
    line = load_text(
        SHIFT_MODEL.format(shifts=["06:00-14:00"])
        + '[calendar.two]\nshifts = ["06:00-14:00", "14:00-22:00"]\n'
        + 'days = ["mon", "tue", "wed", "thu", "fri"]\n'
    )
    for name, gain in (("net_money_per_week", 5 * (48 * 50 - 600)), ("net_money", 0)):
        found = sweep(line, {"run.calendar": ["model", "two"]}, measure=name, replications=2)
        change = found.table("against_base").row("run.calendar = two")["difference"]
        assert isinstance(change, Change)
        assert (change.mean, change.currency) == (pytest.approx(gain), "EUR")
