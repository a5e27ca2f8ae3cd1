"""`staff`: answers known by hand or by looking at every staffing, limits, and what is told beforehand."""

import json
from collections.abc import Iterator, Mapping
from itertools import product

import pytest

from linesim import Store, staff
from linesim.answers.document import Document
from linesim.answers.values import Change, Estimate
from linesim.capacity.ceiling import desk_of, hours_a_shift, out_of_reach
from linesim.capacity.loads import Loads
from linesim.errors import WrongQuestionError
from linesim.plan.build import build
from linesim.questions.staff.study import FIRST, SHARP
from linesim.runs.cases import Case, run_cases
from linesim.runs.cost import CostOnly
from linesim.runs.replication import Label
from linesim.runs.rows import plan_met_row
from linesim.scenario import Scenario, load_text
from tests.unit.questions.crew.lines import SHARED

#: Three crews whose times vary; two people lift at D. A replication takes some ten milliseconds.
THREE = """
title = "Three crews"
takt = "60 s"
flow = ["front", "lane", "back"]
[target]
jobs_per_shift = 24
[run]
length = "1 h"
warm_up = "10 min"
replications = 6
shift = "30 min"
seed = 3
[cost]
operator_per_shift = 300
margin_per_job = 100
currency = "EUR"
[section.front]
pacing = "free"
stations = ["A", "B"]
[section.back]
pacing = "moving"
stations = ["C", "D"]
[station.C]
late = 0.2
[buffer.lane]
capacity = 2
[crew.cab]
people = 1
covers = ["A"]
[crew.trim]
people = 2
covers = ["B"]
[crew.final]
people = 3
covers = ["C", "D"]
[station.A.task.left]
time = { mean = "40 s", cv = 0.3 }
[station.A.task.right]
time = { mean = "40 s", cv = 0.3 }
[station.B.task.left]
time = { mean = "30 s", cv = 0.3 }
[station.B.task.right]
time = { mean = "35 s", cv = 0.3 }
[station.C.task.left]
time = { mean = "50 s", cv = 0.3 }
[station.C.task.right]
time = { mean = "40 s", cv = 0.3 }
[station.D.task.lift]
time = { mean = "45 s", cv = 0.3 }
people = 2
"""


@pytest.fixture(scope="module")
def three() -> Scenario:
    """Return the line of three crews."""
    return load_text(THREE)


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    """Give where replications are kept that several tests need."""
    with Store(tmp_path_factory.mktemp("kept")) as found:
        yield found


@pytest.fixture(scope="module")
def cheapest(three: Scenario, store: Store) -> Document:
    """Ask for the cheapest staffing of three crews."""
    return staff(three, no_floater=True, store=store)


@pytest.fixture(scope="module")
def every(three: Scenario, store: Store) -> Mapping[tuple[int, ...], tuple[float, float]]:
    """Return jobs a shift and the share of shifts that make 24, of each staffing that could be the answer."""
    cases = [
        Case.changed(f"{cab} {trim} {final}", three, _people(cab, trim, final))
        for cab, trim, final in product((1, 2, 3), (1, 2), (2, 3, 4))
    ]
    runs = run_cases(cases, replications=6, store=store)
    label = Label("plan_met", "segment", "", "share")
    found = {}
    for case in cases:
        met = plan_met_row(label, 24, runs.found[case.name].finished, 0.95).mean
        made = runs.row(case.name, "jobs_per_shift").mean
        assert met is not None and made is not None
        found[tuple(map(int, case.name.split()))] = (made, met)
    return found


def _people(cab: int, trim: int, final: int) -> dict[tuple[str, str, str], int]:
    return {
        ("crew", crew, "people"): n
        for crew, n in {"cab": cab, "trim": trim, "final": final}.items()
    }  # fmt: skip


def best(answer: Document) -> tuple[int, ...]:
    """Return how many people each crew has in the answer."""
    people = answer.table("crews").column("best")
    return tuple(n for n in people if isinstance(n, int))


def level(answer: Document) -> set[str]:
    """Return the staffings that cannot be told from the answer."""
    return {str(row["staffing"]) for row in answer.table("staffings") if row["is_level"]}


def test_the_cheapest_is_that_of_looking_at_every_staffing(
    cheapest: Document, every: Mapping[tuple[int, ...], tuple[float, float]]
) -> None:
    """Of all staffings the cheapest that makes 24 in 80 % of the shifts, of equals that with most jobs."""
    good = [heads for heads, (_, met) in every.items() if met >= 0.8]
    expected = min(good, key=lambda heads: (sum(heads), -every[heads][0]))
    assert best(cheapest) == expected
    row = next(row for row in cheapest.table("staffings") if row["is_best"])
    makes, met = row["makes"], row["met"]
    assert isinstance(makes, Estimate) and isinstance(met, Estimate)
    assert (makes.mean, met.mean) == (pytest.approx(every[expected][0]), pytest.approx(every[expected][1]))
    assert row["cost"] == 300 * sum(expected)
    assert "every one" in cheapest.sentences[-1]


def test_the_most_of_so_many_people_is_that_of_looking_at_every_staffing(
    three: Scenario, store: Store, every: Mapping[tuple[int, ...], tuple[float, float]]
) -> None:
    """Seven people are spread as the best of all their staffings is, and rivals make as much."""
    found = staff(three, people=7, no_floater=True, store=store)
    sevens = {heads: made for heads, (made, _) in every.items() if sum(heads) == 7}
    assert sevens[best(found)] == max(sevens.values())
    assert all(row["people"] == 7 for row in found.table("staffings") if row["is_best"] or row["is_level"])


def test_what_the_data_cannot_tell_from_the_best_may_make_it_and_costs_no_more(cheapest: Document) -> None:
    """Rivals cost no more than the answer, and are not surely too seldom."""
    rows = list(cheapest.table("staffings"))
    limit = next(float(str(row["cost"])) for row in rows if row["is_best"])
    for row in rows:
        may = row["verdict"] != "too seldom" and float(str(row["cost"])) <= limit
        assert may == bool(row["is_level"] or (row["is_best"] and may))
        met = row["met"]
        assert isinstance(met, Estimate) and met.high is not None
        assert (row["verdict"] == "too seldom") == (met.high < 0.8 - 1e-9)


def test_the_frontier_rises_with_cost(cheapest: Document) -> None:
    """On the frontier every staffing makes more than all that cost no more."""
    rows = list(cheapest.table("staffings"))
    assert [row["cost"] for row in rows] == sorted(float(str(row["cost"])) for row in rows)
    for place, row in enumerate(rows):
        makes = row["makes"]
        assert isinstance(makes, Estimate)
        before = [one["makes"] for one in rows[:place]]
        most = max((one.mean or 0.0 for one in before if isinstance(one, Estimate)), default=float("-inf"))
        assert row["on_frontier"] == ((makes.mean or 0.0) > most)


def test_money_and_steps_by_hand() -> None:
    """One operator for two tasks of 10 min makes 24 jobs a shift, two 48; who covers nothing is in vain."""
    line = load_text(SHARED)
    found = staff(line, 40, replications=3)
    assert best(found)[:2] == (2, 0)
    money = found.table("money").row("pair +1, idle -1")
    jobs, people = money["from_jobs"], money["from_people"]
    assert isinstance(jobs, Change) and isinstance(people, Change)
    assert (jobs.mean, people.mean) == (2400, 0)
    fewer = found.table("steps").row("one fewer in pair")["change"]
    assert isinstance(fewer, Change)
    assert (fewer.mean, fewer.before, fewer.after) == (-24, 48, 24)
    assert best(staff(line, people=2, replications=2))[:2] == (2, 0)
    assert "idle -1" in {
        row["staffing"] for row in staff(line, 20, replications=2).table("staffings") if row["is_best"]
    }


def test_most_of_a_measure_with_any_number_of_people() -> None:
    """A second operator brings 24 jobs at EUR 100 for EUR 300: net money is most with two and nobody idle."""
    found = staff(load_text(SHARED), measure="net_money", replications=2)
    assert best(found)[:2] == (2, 0)
    row = next(row for row in found.table("staffings") if row["is_best"])
    assert isinstance(row["makes"], Estimate)
    assert row["makes"].mean == 48 * 100 - 2 * 300


def test_limits_are_kept(three: Scenario) -> None:
    """Nobody comes to or leaves a crew that is kept; least, most and two at a task bound the others."""
    found = staff(
        three, 20, keep=["cab"], least={"trim": 2}, most=("final=3",), no_floater=True, replications=2
    )
    rows = {str(row["crew"]): row for row in found.table("crews")}
    assert [(rows[c]["least"], rows[c]["most"]) for c in ("cab", "trim", "final")] == [(1, 1), (2, 6), (2, 3)]
    assert "needs 2 at once" in str(rows["final"]["why_least"])
    assert best(found)[0] == 1
    for case in found.card.cases[1:]:
        assert not any("crew.cab.people" in line for line in case.changes)


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        ({"target": 31}, "takt of back lets no more than 30 through in a shift even if nothing"),
        ({"keep": ["cab"]}, "of every staffing that is allowed: station A lets no more than 22.5"),
        ({"target": 24, "most": {"cab": 0}}, "at most 0 cannot be, it needs 1 at least"),
        ({"people": 3}, "the crews need 4 at least"),
        ({"keep": ["door"]}, "'door' is not a crew"),
        ({"most": ["cab=few"]}, "cab=few is no limit"),
        ({"target": 24, "measure": "net_money"}, "leave --measure out"),
    ],
)
def test_what_cannot_be_is_told_before_anything_is_simulated(
    three: Scenario, asked: Mapping[str, object], told: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A target above the ceiling, too few people and limits that contradict are refused with the reason."""
    monkeypatch.setattr("linesim.runs.cases.CaseRuns.add", None)
    with pytest.raises(WrongQuestionError, match=told):
        staff(three, no_floater=True, **asked)  # type: ignore[arg-type]


def test_without_a_target_there_is_no_question() -> None:
    """A file without a target needs one on the command line, and is told so."""
    with pytest.raises(WrongQuestionError, match="there is no target"):
        staff(load_text(SHARED))


def test_what_is_out_of_reach_follows_from_the_average_too(three: Scenario) -> None:
    """In two shifts of ten more may be made than ever on average, and no more than five times as much."""
    loads = Loads(build(three))
    assert hours_a_shift(loads.plan) == (0.5, 0.5)
    # Two tasks of 40 s for the one person of cab: 22.5 jobs in half an hour.
    assert not out_of_reach(loads, 22, 0.8)
    assert "station A lets no more than 22.5" in out_of_reach(loads, 23, 0.8)
    assert not out_of_reach(loads, 100, 0.2)
    assert "on average" in out_of_reach(loads, 120, 0.2)


def test_the_desk_calculation(three: Scenario) -> None:
    """Work per job over takt: 80 s of 60 in cab, 65 in trim, 90 + 2 × 45 in final."""
    found = desk_of(Loads(build(three)))
    assert [round(one.mean, 9) for one in found] == [round(80 / 60, 9), round(65 / 60, 9), 3.0]
    assert [one.people for one in found] == [2, 2, 3]


def test_the_cost_is_told_before(three: Scenario) -> None:
    """A dry run gives the range of what the search may take, and a study says it before it starts."""
    with pytest.raises(CostOnly) as told:
        staff(three, most_staffings=30, only_cost=True)
    assert told.value.cost.least == 6 < told.value.cost.replications == 30 * FIRST + SHARP * (6 - FIRST)
    said: list[str] = []
    staff(three, people=6, replications=1, most_staffings=2, no_floater=True, notice=said.append)
    assert "as the figures decide" in said[0] and "about" in said[0]


def test_cautions_and_json(cheapest: Document) -> None:
    """Fewer people is a risk assessment, people are named by the standards, and JSON reads back."""
    text = " ".join(cheapest.cautions)
    assert "ISO 45001" in text
    assert "Fewer people in" in text
    raw = json.loads(cheapest.to_json())
    assert Document.from_dict(raw, cheapest.card).as_dict() == cheapest.as_dict()


def test_a_floater_of_its_own_is_among_the_steps(three: Scenario) -> None:
    """Where stations have limits and no floater, one that comes when called is tried, with its calls."""
    found = staff(three, 20, replications=2)
    new = [case for case in found.card.cases if "final-floater" in case.name]
    assert new and any("call_at" in line for line in new[0].changes)
    assert not any("trim-floater" in case.name for case in found.card.cases)  # a free section has no limit


def test_a_target_out_of_reach_is_told_before_anything_runs(
    three: Scenario, monkeypatch: pytest.MonkeyPatch
) -> None:
    """More jobs than every takt, station and crew allow is refused with the reason; nothing is simulated."""

    def never(*_: object, **__: object) -> None:
        raise AssertionError("something was simulated")

    monkeypatch.setattr("linesim.runs.case_runner.Runner", never)
    monkeypatch.setattr("linesim.runs.case_runner.foretell", never)
    with pytest.raises(WrongQuestionError, match="out of reach of every staffing"):
        staff(three, 120)
