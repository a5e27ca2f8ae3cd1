"""`sequence`: orders found by rules and drift, the best few simulated against the list as it came."""

from __future__ import annotations

from collections.abc import Sequence as Row
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from linesim.answers.document import Chart, Document, Part, View
from linesim.answers.measure import Measure
from linesim.answers.table import Column, Table
from linesim.answers.values import Change
from linesim.answers.wording import change_in_words, count_of, draws_in_words, level_text, listed, number
from linesim.capacity.balance import Balance
from linesim.capacity.loads import Loads
from linesim.draws.arrange import arrange
from linesim.draws.spacing import violations
from linesim.errors import WrongQuestionError
from linesim.plan.build import build
from linesim.questions.cautions import cautions_on
from linesim.questions.crew.study import round_matter
from linesim.questions.sequence.lists import OrderList, read_list
from linesim.questions.sequence.program import Kinds, SequenceProgram, why_infeasible
from linesim.questions.sequence.question import Sequence
from linesim.questions.sequence.search import DriftSearch
from linesim.runs.case_runner import Runner, change_of
from linesim.runs.cases import Case
from linesim.runs.cost import CostOnly
from linesim.runs.main_measure import main_figure
from linesim.runs.select import FIRST, Choice
from linesim.runs.select_case import choose_case

if TYPE_CHECKING:
    from linesim.scenario import Scenario

CAME, CHASED = "as it came", "goal chasing"
MOST = 20  #: Replications of an order while they are compared, where nobody says.
TOLD = 12  #: Further replications of what is told, if the scenario has as many and nobody asks for others.
MATTERS = 0.005  #: Share of what the line makes that matters, where nobody says.
MOST_CELLS = 6000  #: Places times kinds of a list up to which the constraint program is asked.
LEVEL_EFFORT = 5.0  #: Of the search for the most even order, in the solver's own measure.


@dataclass(frozen=True, slots=True)
class Candidate:
    """An order of the list.

    Attributes:
        numbers: Which order of the list stands at each place.
        broken: Full windows that break a rule.
        overload_s: Work that crews cannot do within their windows, over the list [person-s].
        case: The line that builds it, over and over.
    """

    numbers: tuple[int, ...]
    broken: int
    overload_s: float
    case: Case

    @property
    def name(self) -> str:
        """What tables call it."""
        return self.case.name


def study(asked: Sequence, scenario: Scenario) -> Document:
    """Return the best order of a list, and what it brings against the list as it came and goal chasing."""
    from linesim.answers.measure import measure_named

    wanted = None if asked.measure is None else measure_named(asked.measure)
    orders = read_list(scenario, asked.orders)
    line = _listing(scenario, orders.texts)
    plan = build(line)
    search = DriftSearch(
        Balance(Loads(plan)), plan.orders.listed, orders.due, plan.orders.spacings, asked.within
    )
    kinds = Kinds.of(plan.orders.listed, orders.due)
    is_small = kinds.n * len(kinds.orders) <= MOST_CELLS
    why = why_infeasible(kinds, search.rules, asked.within) if is_small else ()
    if why and not asked.may_break:
        raise WrongQuestionError(
            f"no order of this list keeps the rules: {listed(why)}. Change the list or a rule, or let rules "
            "be broken as seldom as can be: --may-break."
        )
    candidates = _candidates(scenario, orders, search, kinds, is_small=is_small, is_broken=bool(why))
    most = asked.max_replications or MOST
    count = min(scenario.run.replications, TOLD) if asked.replications is None else asked.replications
    longest = most * len(candidates) + 3 * count
    first = range(1, min(FIRST, most) + 1)
    try:
        runner = Runner(candidates[0].case, first, seed=asked.seed, **asked.how)
    except CostOnly as only:
        raise CostOnly(
            replace(only.cost, cases=len(candidates), replications=longest, is_most=True)
        ) from None
    runner.foretell(len(candidates), longest)
    measure = main_figure(runner.runs, wanted)
    made = abs(float(runner.runs.values(CAME, *measure).mean()))
    matters = round_matter(MATTERS * made) if asked.min_effect is None else asked.min_effect
    allowed = [one for one in candidates if np.isfinite(search.cost(np.array([one.numbers]))[0])]
    fewest = min(one.broken for one in allowed)
    choosable = [one for one in allowed if one.broken == fewest]
    name, choice = choose_case(
        runner, [one.case for one in choosable], measure, matters=matters, error=1 - asked.confidence,
        first=min(FIRST, most), most=most,
    )  # fmt: skip
    level = [choosable[i].name for i in choice.left if choosable[i].name != name]
    used = max(n for case in runner.runs.names for n in runner.runs.numbers_of(case))
    further = range(used + 1, used + 1 + count)
    told = [one for one in candidates if one.name in (CAME, CHASED, name)]
    runner.ask([one.case for one in told], further)
    best = next(one for one in candidates if one.name == name)
    others = [one.name for one in told if one.name != name]
    fresh = runner.runs.only([one.name for one in told]).take(further)
    gains = {
        other: change_of(fresh, other, name, measure, asked.confidence, max(1, len(others)))
        for other in others
    }
    return _answer(asked, runner, search, orders, candidates, best, gains, choice, level, measure, matters)


def _listing(scenario: Scenario, texts: Row[str]) -> Scenario:
    return scenario.replace({("orders", "sequence"): "listed", ("orders", "list"): list(texts)})


def _candidates(
    scenario: Scenario,
    orders: OrderList,
    search: DriftSearch,
    kinds: Kinds,
    *,
    is_small: bool,
    is_broken: bool,
) -> list[Candidate]:
    """Return the list as it came, goal chasing, and orders of which crews drift least, each once."""
    came = tuple(range(len(orders.texts)))
    chased = search.of_kinds(arrange(search.orders, levelled=True, spacings=search.rules))
    found: dict[tuple[str, ...], str] = {}
    rows: list[tuple[str, tuple[int, ...]]] = [(CAME, came), (CHASED, chased)]
    every = search.best_of_all()
    if every is not None:
        rows.append(("least drift", every))
    else:
        starts = [came, chased]
        if is_small:
            program = SequenceProgram(kinds, search.rules, search.within, may_break=is_broken)
            program.level()
            sequence, _ = program.solve(LEVEL_EFFORT)
            if sequence is not None:
                even = search.of_kinds([kinds.orders[k] for k in sequence])
                starts.append(even)
                rows.append(("evenly spread", even))
        ends = sorted((search.from_start(start) for start in starts), key=lambda one: _cost(search, one))
        rows += [("least drift" if k == 0 else f"little drift {k}", end) for k, end in enumerate(ends)]
    candidates = []
    for name, numbers in rows:
        texts = tuple(orders.texts[i] for i in numbers)
        if texts in found:
            continue
        found[texts] = name
        changes = {("orders", "sequence"): "listed", ("orders", "list"): list(texts)}
        candidates.append(
            Candidate(
                numbers, int(search.broken(np.array([numbers]))[0]), round(search.total(numbers), 3),
                Case.changed(name, scenario, changes),
            )
        )  # fmt: skip
    return candidates


def _cost(search: DriftSearch, numbers: tuple[int, ...]) -> float:
    return float(search.cost(np.array([numbers]))[0])


_FLAT = "before after mean=gain low high half_width n=replications method confidence comparisons verdict"


def _answer(
    asked: Sequence,
    runner: Runner,
    search: DriftSearch,
    orders: OrderList,
    candidates: Row[Candidate],
    best: Candidate,
    gains: dict[str, Change],
    choice: Choice,
    level: Row[str],
    measure: Measure,
    matters: float,
) -> Document:
    came = candidates[0]
    against = Table.of(
        "gains",
        (Column("against"), Column("case", head="order"), Column("measure", "measure"), Column("unit"),
         Column("gain", "change", flat=_FLAT, faces=("before", "after", "mean=adds", "interval", "verdict"))),
        [{"against": other, "case": best.name, "measure": measure, "unit": gain.unit, "gain": gain}
         for other, gain in gains.items()],
        "The order that brought most against others, paired over common draws.",
    )  # fmt: skip
    every = Table.of(
        "candidates",
        (Column("case", head="order"), Column("broken", "count", head="broken windows"),
         Column("overload_s", "number", head="drift past windows, s"), Column("moved", "count"),
         Column("furthest", "count", head="places at most"), Column("measure", "measure"),
         Column("mean", "estimate", head=measure.label)),
        [{"case": one.name, "broken": one.broken, "overload_s": one.overload_s,
          "moved": _moved(orders, one)[0],
          "furthest": _moved(orders, one)[1], "measure": measure,
          "mean": None if one.name not in runner.runs.names
          else runner.estimate(one.name, measure, asked.confidence)}
         for one in candidates],
        "Every order that was simulated: rules, drift of the crews on paper, and what it makes.",
    )  # fmt: skip
    in_order = Table.of(
        "sequence",
        (Column("place", "count"), Column("came", "count"), Column("due", "count"), Column("model"),
         Column("options")),
        [{"place": place + 1, "came": i + 1, "due": orders.due[i] + 1,
          "model": orders.texts[i].partition("+")[0],
          "options": ";".join(orders.texts[i].split("+")[1:])} for place, i in enumerate(best.numbers)],
        "The list in the order that brought most, with the place that each order came at and is due at.",
    )  # fmt: skip
    kept = [violations([search.orders[i] for i in one.numbers], search.rules) for one in (came, best)]
    rules = Table.of(
        "rules",
        (Column("rule"), Column("at_most", "count"), Column("in_any", "count"), Column("orders", "count"),
         Column("broken_before", "count", head="broken as it came"), Column("broken", "count"),
         Column("first", head="windows that begin at")),
        [{"rule": rule.name, "at_most": rule.at_most, "in_any": rule.in_any, "orders": now.jobs,
          "broken_before": was.broken, "broken": now.broken,
          "first": ", ".join(str(place + 1) for place in now.first)}
         for rule, was, now in zip(search.rules, *kept, strict=True)],
        "Full windows of the list that break a spacing rule.",
    )  # fmt: skip
    names = search.balance.plan.names.crew
    both = np.array([came.numbers, best.numbers])
    crews = Table.of(
        "crews",
        (Column("crew"), Column("before_s", "number", head="as it came, s"),
         Column("after_s", "number", head="then, s")),
        [{"crew": names[c], "before_s": float(search.overload(both, c)[0]),
          "after_s": float(search.overload(both, c)[1])} for c in search.crews],
        "Work that a crew cannot do within its window, over the list, in person-seconds, on paper.",
    )  # fmt: skip
    title = f"{best.name} against other orders: {measure.label}"
    view = View("gains", title, (against.columns[0], against.columns[-1]))
    parts: list[Part] = [
        Chart("forest", "gains", "One row an order, paired over common draws.", view, "gain",
              "against {against}", f"more {measure.label}"),
        View("candidates", "Every order that was simulated",
             tuple(column for column in every.columns if column.name != "measure")),
        View("rules", "Spacing rules", rules.columns[:6]),
        View("crews", "Drift of crews past their windows, on paper", crews.columns),
        View("sequence", "The list in this order", in_order.columns, only_page=True),
    ]  # fmt: skip
    return Document(
        study="sequence",
        sentences=_sentences(orders, candidates, best, gains, choice, level, rules, measure, matters),
        tables_=(against, every, in_order, rules, crews),
        parts=tuple(parts),
        cautions=(
            *cautions_on([("orders", "list")]),
            "Parts are brought in the order of the list: whoever brings them has to know the new one.",
        ),
        card=runner.runs.card(asked.confidence, file=asked.file),
        asked=asked.echo(),
    )


def _moved(orders: OrderList, one: Candidate) -> tuple[int, int]:
    """Return how many orders stand at another place than they are due at, and how far at most."""
    far = [abs(place - orders.due[i]) for place, i in enumerate(one.numbers)]
    return sum(map(bool, far)), max(far)


def _sentences(
    orders: OrderList,
    candidates: Row[Candidate],
    best: Candidate,
    gains: dict[str, Change],
    choice: Choice,
    level: Row[str],
    rules: Table,
    measure: Measure,
    matters: float,
) -> tuple[str, ...]:
    said = []
    for other, gain in gains.items():
        text = f"The order {best.name!r} against {other!r}: {change_in_words(gain, measure)}"
        if gain.sign:
            text += f", {level_text(gain.after, gain)} instead of {level_text(gain.before, gain)}"
        said.append(f"{text}.")
    if best.name == CAME:
        said.insert(0, "No order that was looked at makes more than the list as it came.")
    count, far = _moved(orders, best)
    moved = f"{count_of(count, 'order')} of {len(orders.texts)} change their place, by up to {far} places"
    said.append(f"{moved}." if count else "Every order stands where it is due.")
    broken = [f"{row['rule']} in {row['broken']} windows" for row in rules if row["broken"]]
    if len(rules):
        before = candidates[0].broken
        told = f"broken: {listed(broken)}" if broken else "kept"
        said.append(
            f"Spacing rules are {told}; the list as it came breaks them in {count_of(before, 'window')}."
        )
    said.append(
        f"On paper crews cannot do {number(best.overload_s, 0)} person-seconds of the list's work within "
        f"their windows, and {number(candidates[0].overload_s, 0)} as it came."
    )
    if not choice.is_made and level:
        said.append(
            f"By {matters:g} {measure.label} or more the data can't tell it from {listed([*level], 'or')}."
        )
    said += [text for gain in list(gains.values())[:1] if (text := draws_in_words(gain))]
    return tuple(said)
