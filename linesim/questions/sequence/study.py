"""`sequence`: orders found by rules and drift, the best few simulated against the list as it came."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from linesim.answers.document import Document
from linesim.answers.measure import OUTPUT, Measure
from linesim.answers.table import csv_text
from linesim.answers.values import Change
from linesim.capacity.balance import Balance
from linesim.capacity.loads import Loads
from linesim.draws.arrange import arrange
from linesim.errors import WrongQuestionError
from linesim.plan.build import build
from linesim.questions.alternatives import open_table, raise_notes
from linesim.questions.cautions import cautions_on
from linesim.questions.decision import Money, decision_between, money_of
from linesim.questions.sequence import Sequence
from linesim.questions.sequence.program import LEVEL, Kept, SequenceProgram, keep_rules
from linesim.questions.sequence.search import BROKEN, DriftSearch, teams_of
from linesim.questions.sequence.tables import parts_of, sentences_of, tables_of
from linesim.runs.case_runner import Runner, change_of
from linesim.runs.cases import Case
from linesim.runs.cost import RunCost
from linesim.runs.select import FIRST, choose_case, main_figure
from linesim.scenario import Scenario
from linesim.scenario.cells import read_orders
from linesim.scenario.problems import Notes, has, shown

MOST_ORDERS = 1000  #: Orders of a list.


@dataclass(frozen=True, slots=True)
class OrderList:
    """Orders as they came.

    Attributes:
        texts: Each as ``model+option+option``.
        due: Place at which each is due, counted from 0.
    """

    texts: tuple[str, ...]
    due: tuple[int, ...]


def read_list(scenario: Scenario, table: Any) -> OrderList:
    """Return the orders of a table, or those that the scenario lists.

    Raises:
        ScenarioError: If the table cannot be read.
        WrongQuestionError: If there are no orders, too many, or some name what the line does not have.
    """
    if table is None:
        texts = tuple(scenario.orders.listed)
        if not texts:
            raise WrongQuestionError("the file lists no orders; name a table of them with --orders.")
        due = list(range(len(texts)))
    else:
        grid, notes = open_table(table, prefer="orders"), Notes()
        found, _ = read_orders(grid, notes)
        raise_notes(notes, grid.file)
        texts, due = tuple(found), list(range(len(found)))
        names = [cell.text.strip().lower() for cell in grid.heading]
        model, wrong = names.index("model"), []
        for place, (row, text) in enumerate(zip(grid.rows, texts, strict=True)):
            where, (kind, *options) = f"{grid.file}: {row[model].place}", text.split("+")
            if kind not in scenario.model:
                wrong.append(f"{where}: {shown(kind)} is no model; {has(scenario.model, kind, 'model')}.")
            wrong += [
                f"{where}: {shown(option)} is no option; {has(scenario.option, option, 'option')}."
                for option in options if option not in scenario.option
            ]  # fmt: skip
            cell = row[names.index("due")] if "due" in names else None
            if cell and cell.text:
                number = cell.text.strip()
                if number.isascii() and number.isdigit() and 1 <= int(number[:9]) <= len(texts):
                    due[place] = int(number) - 1
                else:
                    wrong.append(
                        f"{where}: due {shown(number)} is no place in the list; write a whole number from "
                        f"1 to {len(texts)}."
                    )
        if wrong:
            raise WrongQuestionError(wrong)
    if not 2 <= len(texts) <= MOST_ORDERS:
        raise WrongQuestionError(f"a list has 2 to {MOST_ORDERS} orders, this one has {len(texts)}.")
    return OrderList(texts, tuple(due))


def saved(table: Any, answer: Document) -> str:
    """Return the list in the order of an answer as CSV, all columns of its table kept."""
    came = [int(str(row["came"])) - 1 for row in answer.table("sequence")]
    if table is None:
        rows = [(row["model"], row["options"]) for row in answer.table("sequence")]
        return csv_text(("model", "options"), [(str(a), str(b)) for a, b in rows])
    grid = open_table(table, prefer="orders")
    return csv_text(
        [cell.text for cell in grid.heading], [[cell.text for cell in grid.rows[place]] for place in came]
    )


CAME, CHASED = "as it came", "goal chasing"
FOUND = 4  #: Orders that are simulated beside these two.
MOST = 20  #: Replications of an order while they are compared, where nobody says.
TOLD = 12  #: Further replications of what is told, if the scenario has as many and nobody asks for others.


@dataclass(frozen=True, slots=True)
class OrderCandidate:
    """An order of the list.

    Attributes:
        name: What tables call it.
        numbers: Which order of the list stands at each place.
        broken: Full windows that break a rule.
        overload_s: Work that people cannot do within their windows, over the list [person-s].
        far: How far each order stands from where it is due.
        is_allowed: Whether none is moved too far.
        case: The line that builds it, over and over.
    """

    name: str
    numbers: tuple[int, ...]
    broken: int
    overload_s: float
    far: tuple[int, ...]
    is_allowed: bool
    case: Case


@dataclass(frozen=True, slots=True)
class OrderFound:
    """What is told.

    Attributes:
        orders: The list as it came.
        search: What judged orders on paper.
        rules: Whether its rules can be kept.
        candidates: What was simulated: the list as it came, goal chasing, and orders that were found.
        best: The order that brought most.
        gains: What it brings against the list as it came and against goal chasing.
        level: Orders that could not be told from it.
        money: What it is worth against the list as it came; None where nothing has a price.
        measure, matters: What decided, and the smallest difference in it that matters.
        runner, confidence: The replications, and the confidence of intervals.
    """

    orders: OrderList
    search: DriftSearch
    rules: Kept
    candidates: tuple[OrderCandidate, ...]
    best: OrderCandidate
    gains: dict[str, Change]
    level: tuple[str, ...]
    money: Money | None
    measure: Measure
    matters: float
    runner: Runner
    confidence: float


def study(asked: Sequence, scenario: Scenario) -> Document:
    """Return the best order of a list, and what it brings against the list as it came and goal chasing."""
    orders = read_list(scenario, asked.orders)
    base = _building(CAME, scenario, orders.texts)
    plan = build(base.scenario)
    teams = teams_of(Balance(Loads(plan)), plan.orders.listed)
    search = DriftSearch(teams, plan.orders.listed, orders.due, plan.orders.spacings, asked.within)
    kept = _kept(asked, search)
    most = asked.max_replications or MOST
    first = min(FIRST, most)
    runner = asked.runner(base, first, foretells=True)
    candidates = _candidates(base, scenario, orders, search, kept)
    measure = main_figure(runner.runs, asked.wanted)
    matters = asked.matters(float(runner.runs.values(CAME, *measure).mean()))
    allowed = [one for one in candidates if one.is_allowed]
    if not allowed:
        raise WrongQuestionError(
            f"no order was found with nobody moved more than {asked.within} places, and it is not known "
            "whether there is one; give more room with --within."
        )
    fewest = min(one.broken for one in allowed)
    cases = [one.case for one in allowed if one.broken == fewest]
    name, _, level = choose_case(
        runner, cases, measure, matters=matters, error=1 - asked.confidence, first=first, most=most
    )
    told = [one.case for one in candidates if one.name in (CAME, CHASED, name)]
    fresh = runner.fresh(told, asked.count(scenario, TOLD))
    others = [other for other in fresh.names if other != name]
    worth = {}
    if name != CAME and measure == OUTPUT:
        worth = money_of(fresh, {name: 0}, asked.confidence, len(others))
    found = OrderFound(
        orders, search, kept, candidates, next(one for one in candidates if one.name == name),
        {other: change_of(fresh, other, name, measure, asked.confidence, len(others)) for other in others},
        level, worth.get(name), measure, matters, runner, asked.confidence,
    )  # fmt: skip
    tables = tables_of(found)
    return asked.told(
        asked.card(runner.runs), sentences_of(found, tables[0]), tables, parts_of(found, tables),
        (
            *cautions_on([("orders", "list")]),
            "Parts are brought in the order of the list: whoever brings them has to know the new one. The "
            "line builds the list over and over; only windows within the list count for a rule.",
        ),
        decision=decision_between(
            fresh, [other for other in fresh.names if other != CAME] if name != CAME else [], measure,
            asked.confidence, best="" if name == CAME else name, comparisons=len(others),
        ),
    )  # fmt: skip


def steps(asked: Sequence, scenario: Scenario, first: RunCost) -> RunCost:
    """Return what all steps cost: two orders a few times, and as many as may be found."""
    most, count = asked.max_replications or MOST, asked.count(scenario, TOLD)
    return first.between(2 * (min(FIRST, most) + count), (2 + FOUND) * most + 3 * count)


def _building(name: str, scenario: Scenario, texts: tuple[str, ...]) -> Case:
    """Return the line that builds orders as they stand."""
    return Case.changed(name, scenario, {("orders", "sequence"): "listed", ("orders", "list"): list(texts)})


def _kept(asked: Sequence, search: DriftSearch) -> Kept:
    """Return a sequence that keeps the rules if there is one.

    Raises:
        WrongQuestionError: If no order can keep them, and rules may not be broken.
    """
    kept = keep_rules(search.orders, tuple(search.due.tolist()), search.rules, search.within)
    if kept.why and not asked.may_break:
        raise WrongQuestionError(
            f"no order of this list keeps the rules: {kept.why}. Change the list or a rule, or let rules be "
            "broken as seldom as can be: --may-break."
        )
    return kept


def _candidates(
    base: Case, scenario: Scenario, orders: OrderList, search: DriftSearch, kept: Kept
) -> tuple[OrderCandidate, ...]:
    """Return the list as it came, goal chasing, and orders of which people drift least, each once."""
    came = tuple(range(len(orders.texts)))
    chased = search.of_kinds(arrange(search.orders, levelled=True, spacings=search.rules))
    rows = [(CAME, came), (CHASED, chased)]
    every = search.best_of_all()
    if every is not None:
        rows.append(("least drift", every))
    else:
        even, _ = SequenceProgram(
            search.orders, orders.due, search.rules, search.within, even=True, may_break=kept.numbers is None
        ).solve(LEVEL, kept.numbers or chased)
        if even is not None:
            rows.append(("evenly spread", even))
        starts = [came, chased]
        if kept.numbers and search.cost_of(chased) >= BROKEN:
            starts.append(kept.numbers)
        ends = sorted((search.from_start(start) for start in starts), key=search.cost_of)
        rows += [("least drift" if k == 0 else f"little drift {k}", end) for k, end in enumerate(ends)]
    found: dict[tuple[str, ...], OrderCandidate] = {}
    for name, numbers in rows:
        texts = tuple(orders.texts[i] for i in numbers)
        if texts not in found:
            one = np.array([numbers])
            found[texts] = OrderCandidate(
                name, numbers, int(search.broken(one)[0]), round(search.overload(numbers), 3),
                tuple(search.moved(one)[0].tolist()), bool(np.isfinite(search.cost(one)[0])),
                base if name == CAME else _building(name, scenario, texts),
            )  # fmt: skip
    return tuple(found.values())
