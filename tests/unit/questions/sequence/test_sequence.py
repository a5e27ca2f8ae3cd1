"""`sequence`: lists read, rules kept or named, orders judged by drift, chosen by simulation, and written."""

import csv
import io
from itertools import permutations
from pathlib import Path

import numpy as np
import pytest

from linesim import sequence, simulate
from linesim.answers.document import Document
from linesim.answers.values import Change
from linesim.capacity.balance import Balance
from linesim.capacity.loads import Loads
from linesim.errors import ScenarioError, WrongQuestionError
from linesim.plan.build import build
from linesim.plan.orders import PlannedOrder, PlannedSpacing
from linesim.questions.sequence import Sequence, program
from linesim.questions.sequence.program import SequenceProgram, keep_rules
from linesim.questions.sequence.search import DriftSearch, teams_of
from linesim.scenario import Scenario, load_text
from tests.formulas.drift import displacement_trace
from tests.formulas.sequences import spacing_rule

#: One person builds heavy jobs (70 s) and light ones (52 s) at 60 s; the station reaches a third of a takt
#: further, so 80 s long. Times do not vary.
LINE = """
title = "Heavy and light"
takt  = "60 s"
flow  = ["line"]
[run]
length = "2 h"
shift  = "1 h"
replications = 2
[cost]
margin_per_job = 100
[model.H]
[model.B]
[option.roof]
take = 0.5
[section.line]
pacing   = "moving"
stations = ["K1", "K2"]
[station.K1]
late = 0.3333333333333
[crew.one]
people = 1
covers = ["K1"]
[station.K1.task.fit]
time     = "52 s"
time_for = { H = "70 s" }
"""
LISTED = '[orders]\nsequence = "listed"\nlist = ["H", "H", "H", "H", "B", "B", "B", "B", "B", "B"]\n'


def line(*texts: str, rule: str = "") -> Scenario:
    """Return the line with a list, and a spacing rule if there is one."""
    listed = ", ".join(f'"{text}"' for text in texts)
    return load_text(f'{LINE}[orders]\nsequence = "listed"\nlist = [{listed}]\n{rule}')


def search_of(scenario: Scenario, within: int | None = None, due: list[int] | None = None) -> DriftSearch:
    """Return what judges orders of the list of a line."""
    plan = build(scenario)
    listed = plan.orders.listed
    teams = teams_of(Balance(Loads(plan)), listed)
    return DriftSearch(teams, listed, due or list(range(len(listed))), plan.orders.spacings, within)


@pytest.fixture(scope="module")
def answer() -> Document:
    """Ask about a list whose heavy jobs come one after the other."""
    return sequence(load_text(LINE + LISTED))


def test_the_search_judges_as_the_recursion_does() -> None:
    """Overload of one person at one station is that of the displacement recursion, for any order."""
    texts = ("H", "H", "B", "H", "B", "H", "B", "B", "H")
    search = search_of(line(*texts))
    luck = np.random.default_rng(3)
    many = np.array([luck.permutation(len(texts)) for _ in range(50)])
    for one, found in zip(many, search.teams[0].overload(many), strict=True):
        work = [{"H": 70.0, "B": 52.0}[texts[i]] for i in one]
        assert found == pytest.approx(sum(displacement_trace(work, 60, 80).overloads), abs=1e-6)


@pytest.mark.parametrize("few", [0, 5000])
def test_a_rule_of_the_theory_and_the_search_both_end_without_overload(
    few: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Two heavy jobs in any five never overload this station (Bolat & Yano 1992); the search finds no less.

    Twelve jobs, five heavy: all heavy first is overloaded; what keeps the rule is not, and neither is what
    enumeration, and exchanges and shifts from that worst order, end with.
    """
    texts = ["H"] * 5 + ["B"] * 7
    search = search_of(line(*texts))
    assert search.overload(range(12)) > 0
    at_most, in_any = spacing_rule(70, 52, takt=60, length=80)
    assert (at_most, in_any) == (2, 5)
    kept = keep_rules(search.orders, range(12), [PlannedSpacing("heavy", 0, -1, at_most, in_any)], None)
    assert kept.numbers is not None
    assert search.overload(kept.numbers) == 0
    monkeypatch.setattr("linesim.questions.sequence.search.FEW", few)
    found = search.best_of_all() or search.from_start(range(12))
    assert search.overload(found) == 0


def test_the_simulated_line_has_no_overload_either(answer: Document) -> None:
    """With constant times the chosen order leaves nothing undone at its limit; the list as it came does."""
    gain = answer.table("gains").row("as it came")["gain"]
    assert isinstance(gain, Change)
    assert gain.sign == 1
    rows = {row["case"]: row for row in answer.table("candidates")}
    assert (
        rows["as it came"]["overload_s"] == 20
    )  # by hand: starts 0, 10, 20, 20; the last two leave 10 s each
    best = next(row for row in rows.values() if row["chosen"] == "best")
    assert best["overload_s"] == 0
    order = [f"{row['model']}" for row in answer.table("sequence")]
    assert sorted(order) == ["B"] * 6 + ["H"] * 4
    made = {}
    for name, texts in (("then", order), ("came", ["H"] * 4 + ["B"] * 6)):
        made[name] = simulate(line(*texts), replications=1).row("overload", "K1").mean
    assert made["then"] == 0
    assert made["came"] is not None
    assert made["came"] > 0


def test_money_comes_from_the_jobs(answer: Document) -> None:
    """A job brings 100: the money of the order is that of its jobs, and the sentence says so."""
    gain, net = (answer.table(t).row(k)[c] for t, k, c in (
        ("gains", "as it came", "gain"), ("money", answer.table("gains").column("case")[0], "net")
    ))  # fmt: skip
    assert isinstance(gain, Change)
    assert isinstance(net, Change)
    assert net.mean == pytest.approx(100 * (gain.mean or 0))
    assert any(text.startswith("That is worth") for text in answer.sentences)


@pytest.mark.parametrize("texts", [("H", "H", "B", "B", "B"), ("H", "H", "H", "B", "B")])
def test_on_a_short_list_none_of_all_orders_makes_more(texts: tuple[str, ...]) -> None:
    """Each of the ten distinct orders simulated by itself: none makes more than the one that is chosen."""
    asked = sequence(line(*texts))
    best = next(row["mean"] for row in asked.table("candidates") if row["chosen"] == "best")
    made = [
        simulate(line(*order), replications=1).row("jobs_per_shift", "segment").mean or 0.0
        for order in sorted(set(permutations(texts)))
    ]
    assert best is not None
    assert best.mean == pytest.approx(max(made))  # type: ignore[union-attr]


@pytest.mark.parametrize(("within", "due"), [(None, None), (1, None), (2, [3, 3, 3, 0, 1, 5])])
def test_enumeration_is_that_of_all_permutations(within: int | None, due: list[int] | None) -> None:
    """Of all 720 permutations of six orders none costs less than the best, also where places are bound."""
    search = search_of(line("H", "B", "H", "B", "B", "H"), within, due)
    least = search.cost(np.array(list(permutations(range(6))))).min()
    best = search.best_of_all()
    assert best is not None
    assert search.cost_of(best) == pytest.approx(least)


def _orders(text: str) -> list[PlannedOrder]:
    return [PlannedOrder(int(one.isupper()), int(one.lower() == "r")) for one in text]


@pytest.mark.parametrize("text", ["RRbb", "rRbbB", "RRRbb", "rrrBb", "rbRbrb"])
@pytest.mark.parametrize("within", [None, 0, 1, 2])
def test_rules_are_kept_where_any_permutation_keeps_them(text: str, within: int | None) -> None:
    """An order is found where one of all permutations keeps rules and places, else there is a reason."""
    orders = _orders(text)
    rules = [PlannedSpacing("roof", -1, 0, 1, 2), PlannedSpacing("big", 1, -1, 1, 3)]
    search = DriftSearch((), orders, list(range(len(orders))), rules, within)
    every = np.array(list(permutations(range(len(orders)))))
    possible = bool((search.cost(every) < 1).any())  # a broken window costs far more than places
    kept = keep_rules(orders, range(len(orders)), rules, within)
    assert (kept.numbers is not None, bool(kept.why)) == (possible, not possible)
    if kept.numbers is not None:
        assert search.cost_of(kept.numbers) < 1


@pytest.mark.parametrize("text", ["RRRbb", "RRRRb", "rrrBb"])
def test_where_rules_must_be_broken_the_fewest_windows_are(text: str) -> None:
    """With rules that no order can keep, the program's order breaks as few windows as any permutation."""
    orders = _orders(text)
    rules = [PlannedSpacing("roof", -1, 0, 1, 2), PlannedSpacing("big", 1, -1, 1, 3)]
    search = DriftSearch((), orders, list(range(len(orders))), rules, None)
    every = np.array(list(permutations(range(len(orders)))))
    found, _ = SequenceProgram(orders, range(len(orders)), rules, None, even=True, may_break=True).solve(5.0)
    assert found is not None
    assert search.broken(np.array([found]))[0] == search.broken(every).min()


def never(*_: object) -> None:
    """Fail if anything is simulated."""
    raise AssertionError("something was simulated")


RULE = '[orders.spacing.roof]\nof = "roof"\nat_most = 1\nin_any = 2\n'


@pytest.mark.parametrize(
    ("texts", "asked", "told"),
    [
        (("H+roof", "H+roof", "B+roof", "B"), {}, "roof: 3 of 4 orders count for it, and it has room for 2"),
        (("H+roof", "B+roof", "B", "H", "H"), {"within": 0}, "nobody moved more than 0 places"),
    ],
)
def test_rules_that_no_order_keeps_are_told_before_anything_runs(
    texts: tuple[str, ...], asked: dict[str, int], told: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The rule is named with the reason, and no replication is run, not even to say what it would cost."""
    monkeypatch.setattr("linesim.runs.case_runner.Runner", never)
    monkeypatch.setattr("linesim.runs.case_runner.foretell", never)
    with pytest.raises(WrongQuestionError, match="no order of this list keeps the rules: ") as error:
        sequence(line(*texts, rule=RULE), **asked)  # type: ignore[arg-type]
    assert told in str(error.value)
    assert "--may-break" in str(error.value)


def test_broken_rules_are_counted_and_named() -> None:
    """With --may-break the answer says which rule is broken in how many windows, and that it has to be."""
    scenario = line("H+roof", "H+roof", "B+roof", "B+roof", "B", "B", rule=RULE)
    found = sequence(scenario, may_break=True, max_replications=2)
    row = found.table("rules").row("roof")
    assert (row["orders"], row["broken_before"], row["broken"]) == (4, 3, 1)  # r r b r b r: one pair left
    text = " ".join(found.sentences)
    assert "Spacing rules are broken: roof in 1 window" in text
    assert "No order of this list keeps them all: roof: 4 of 6 orders count for it" in text


def test_what_is_not_known_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the program is not asked and a rule stays broken, nobody says that it has to be."""
    monkeypatch.setattr(program, "MOST_CELLS", 0)
    scenario = line("H+roof", "H+roof", "B", "B", rule=RULE)
    found = sequence(scenario, within=0, max_replications=2)
    assert "Whether an order of this list keeps them all is not known." in found.sentences


def test_nobody_is_moved_further_than_asked() -> None:
    """With --within 2 no order of the answer stands further from its place, and goal chasing is left out."""
    found = sequence(load_text(LINE + LISTED), within=2)
    assert max(abs(row["place"] - row["due"]) for row in found.table("sequence")) <= 2  # type: ignore[operator]
    rows = {row["case"]: row["chosen"] for row in found.table("candidates")}
    assert rows["goal chasing"] == "moves too far"


def test_all_that_is_told_of_an_order_holds_together() -> None:
    """Against two orders, jobs and money have intervals of the same joint confidence."""
    found = sequence(load_text(LINE + LISTED), within=2)
    gains = [row["gain"] for row in found.table("gains")]
    net = next(row["net"] for row in found.table("money"))
    assert isinstance(net, Change)
    assert len(gains) == 2
    assert {gain.comparisons for gain in gains if isinstance(gain, Change)} == {net.comparisons} == {2}


def written(folder: Path, text: str) -> Path:
    """Return a table of orders in a file."""
    path = folder / "today.csv"
    path.write_text(text, encoding="utf-8")
    return path


def test_the_list_is_written_with_all_its_columns(tmp_path: Path) -> None:
    """What --save writes has the rows of the table, whole, in the order of the answer; due places count."""
    rows = [("H", "roof", 1, "a"), ("H", "", 2, "b"), ("B", "", 4, "c"), ("B", "roof", 3, "d")]
    text = "model,options,due,number\n" + "".join(f"{','.join(map(str, row))}\n" for row in rows)
    table = written(tmp_path, text)
    asked = Sequence(table, within=0, save="better.csv", max_replications=2)
    found = asked.answer(load_text(LINE))
    back = list(csv.reader(io.StringIO(asked.text_of("save", found))))
    assert back[0] == ["model", "options", "due", "number"]
    assert [row[3] for row in back[1:]] == ["a", "b", "d", "c"]  # each stands where it is due
    assert [row["due"] for row in found.table("sequence")] == [1, 2, 3, 4]


@pytest.mark.parametrize(
    ("text", "error", "told"),
    [
        ("model,options,due\nH,,1\nB,,9\n", WrongQuestionError, 'due "9" is no place in the list'),
        ("model,options,due\nH,,x\nB,,1\n", WrongQuestionError, 'due "x" is no place in the list'),
        ("model,options\nH,\n", WrongQuestionError, "a list has 2 to 1000 orders, this one has 1"),
        ("model,options\nH,\nZ,\n", WrongQuestionError, '"Z" is no model; it has H, B'),
        ("model,options\nH,roof\nB,sail\n", WrongQuestionError, '"sail" is no option; it has roof'),
        ("model\nH\n", ScenarioError, 'no column "options"'),
    ],
)
def test_wrong_lists_are_refused(tmp_path: Path, text: str, error: type[Exception], told: str) -> None:
    """A place that is none, a list of one, a model or option that the line does not know: each is told."""
    with pytest.raises(error) as found:
        sequence(load_text(LINE), written(tmp_path, text))
    assert told in str(found.value)


def test_a_line_without_a_list_asks_for_one() -> None:
    """Where neither the file nor the question has a list, the message says how to name one."""
    with pytest.raises(WrongQuestionError, match="name a table of them with --orders"):
        sequence(load_text(LINE))


def test_what_it_takes_is_said_beforehand() -> None:
    """The first word is how long it may take, over all steps; with `only_cost` that is all."""
    from linesim.runs.cost import CostOnly

    heard: list[str] = []
    sequence(load_text(LINE + LISTED), max_replications=2, notice=heard.append)
    assert "replications, as the figures decide" in heard[0]
    with pytest.raises(CostOnly) as only:
        sequence(load_text(LINE + LISTED), only_cost=True)
    assert only.value.cost.least is not None
    assert only.value.cost.least < only.value.cost.replications
    made = len(sequence(load_text(LINE + LISTED)).table("candidates"))
    assert made * 2 <= only.value.cost.replications


def test_the_same_question_has_the_same_answer(answer: Document) -> None:
    """Search and program are not drawn: asked again, every table is the same."""
    assert sequence(load_text(LINE + LISTED)).to_json() == answer.to_json()


def test_cautions_name_people_and_parts(answer: Document) -> None:
    """Another order changes what people have to do one after the other, and what is brought to them."""
    text = " ".join(answer.cautions)
    assert "the new one" in text
