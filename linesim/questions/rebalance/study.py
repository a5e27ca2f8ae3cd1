"""`rebalance`: moves that a program finds, simulated over common draws, and the best of each number."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from linesim.answers.document import Chart, Document, Part, View
from linesim.answers.measure import OUTPUT, Measure
from linesim.answers.table import Column, Table
from linesim.answers.values import Change
from linesim.capacity.balance import Balance
from linesim.capacity.loads import Loads
from linesim.errors import WrongQuestionError
from linesim.plan.build import build
from linesim.questions.cautions import cautions_on
from linesim.questions.decision import Money, decision_between, money_of, money_table
from linesim.questions.rebalance import Rebalance
from linesim.questions.rebalance.movable import Movable, MovesCandidate
from linesim.questions.rebalance.search import EACH, FEW, Candidates
from linesim.questions.rebalance.sentences import sentences_of
from linesim.runs.case_runner import Runner, change_of
from linesim.runs.cases import Case
from linesim.runs.cost import RunCost
from linesim.runs.select import FIRST, choose_case, main_figure
from linesim.scenario import Scenario
from linesim.scenario.toml import quoted

PRESENT = "present"
MOST = 20  #: Replications of a candidate while they are compared, where nobody says.
TOLD = 12  #: Further replications of the best, if the scenario has as many and nobody asks for others.
MOST_SHOWN = 12  #: Candidates that a terminal shows.


@dataclass(frozen=True, slots=True)
class MovesGain:
    """What the best moves of a number do, over replications that took part in no choice.

    Attributes:
        best: The moves.
        is_sure: Whether the choice among the candidates of as many moves is made.
        level: Candidates of as many moves that could not be told from them.
        gain: What they bring against the line as it is.
        step: What they bring against the best of the next lower number; None for the lowest.
    """

    best: MovesCandidate
    is_sure: bool
    level: tuple[str, ...]
    gain: Change
    step: Change | None


def study(asked: Rebalance, scenario: Scenario) -> Document:
    """Return the best moves of each number: found on paper, chosen and measured by simulation."""
    wanted = asked.wanted
    _check_save(asked)
    balance = Balance(Loads(build(scenario)))
    movable = Movable(scenario, asked.to, asked.keep)
    found = Candidates(scenario, balance, movable).found(asked.most)
    first = min(FIRST, asked.max_replications or MOST)
    runner = asked.runner(Case(PRESENT, scenario), first, foretells=True)
    measure = main_figure(runner.runs, wanted)
    matters = asked.matters(float(runner.runs.values(PRESENT, *measure).mean()))
    runner.ask([one.case for one in found], range(1, first + 1))
    gains = _gains(asked, runner, found, measure, matters, asked.count(scenario, TOLD))
    return _answer(asked, runner, balance, movable, found, gains, measure, matters)


def steps(asked: Rebalance, scenario: Scenario, first: RunCost) -> RunCost:
    """Return what all steps cost: one candidate of each number of moves, and all that may be found."""
    most, count = asked.max_replications or MOST, asked.count(scenario, TOLD)
    moves = FEW + 1 if asked.most is None else asked.most
    candidates = EACH * min(moves, FEW) + max(0, moves - FEW)
    return first.between(
        min(FIRST, most) * 2 + count * 2, min(FIRST, most) + most * candidates + count * (1 + moves)
    )


def _check_save(asked: Rebalance) -> None:
    if asked.save and asked.file and not (Path(asked.save).parent / asked.file).is_file():
        raise WrongQuestionError(
            f"--save {asked.save}: the scenario that is written extends {asked.file} and has to stand beside "
            "it; name a file in the same folder."
        )


def _gains(
    asked: Rebalance, runner: Runner, found: Sequence[MovesCandidate], measure: Measure, matters: float,
    count: int,
) -> tuple[MovesGain, ...]:  # fmt: skip
    """Choose the best of each number of moves, and measure it over replications that chose nothing."""
    by_name, most = {one.name: one for one in found}, asked.max_replications or MOST
    by_count: dict[int, list[Case]] = {}
    for one in found:
        by_count.setdefault(one.count, []).append(one.case)
    numbers = [n for n, cases in by_count.items() if any(case.name not in runner.stuck for case in cases)]
    if not numbers:
        raise WrongQuestionError(
            f"with every one of the moves the line comes to a stand: {next(iter(runner.stuck.values()))}"
        )
    chosen = [
        choose_case(
            runner, by_count[n], measure, matters=matters, error=(1 - asked.confidence) / len(numbers),
            first=min(FIRST, most), most=most,
        )
        for n in numbers
    ]  # fmt: skip
    fresh = runner.fresh([runner.runs.cases[0], *(by_name[name].case for name, _, _ in chosen)], count)
    gains = []
    for (before, _, _), (name, choice, level) in itertools.pairwise([("", None, ()), *chosen]):
        gain = change_of(fresh, PRESENT, name, measure, asked.confidence, len(chosen))
        step = change_of(fresh, before, name, measure, asked.confidence, len(chosen) - 1) if before else None
        assert choice is not None
        gains.append(MovesGain(by_name[name], choice.is_made, level, gain, step))
    return tuple(gains)


def lead_of(gains: Sequence[MovesGain], measure: Measure) -> MovesGain:
    """Return the gain that is written and drawn: the highest mean, of equals the one with fewer moves."""
    return max(gains, key=lambda one: (measure.sign * (one.gain.mean or 0.0), -one.best.count))


def extending(asked: Rebalance, answer: Document) -> str:
    """Return the line with the moves that brought most, as a scenario that extends the present one."""
    lead = next(str(row["case"]) for row in answer.table("moves"))
    changes = next(case.changes for case in answer.card.cases if case.name == lead)
    file = answer.card.file.replace("\\", "\\\\").replace('"', '\\"')
    lines = [f"# {lead}, as `linesim rebalance` proposes it.", f'extends = "{file}"', ""]
    return "\n".join([*lines, *map(quoted, (*asked.add, *asked.sets)), *changes]) + "\n"


def _answer(
    asked: Rebalance, runner: Runner, balance: Balance, movable: Movable, found: Sequence[MovesCandidate],
    gains: Sequence[MovesGain], measure: Measure, matters: float,
) -> Document:  # fmt: skip
    lead, above_now = lead_of(gains, measure), balance.fit(balance.at).total
    named = [one.best.name for one in gains]
    worth: dict[str, Money] = {}
    if measure == OUTPUT:
        worth = money_of(runner.runs, dict.fromkeys(named, 0), asked.confidence, len(gains))
    tables = (
        _gains_table(gains, measure, above_now), _moves_table([lead, *(g for g in gains if g is not lead)]),
        _candidates_table(runner, found, gains, measure, asked.confidence, above_now),
        money_table({name: one.amounts for name, one in worth.items()}, "moves", "the line as it is"),
        _stations_table(balance, lead.best),
        _piles_table(balance, movable, lead.best),
        Table.of("stay", tuple(map(Column, ("task", "station", "why"))), movable.stays,
                 "Tasks that cannot move, and why."),
    )  # fmt: skip
    stuck = {one.name: runner.stuck[one.name] for one in found if one.name in runner.stuck}
    said = sentences_of(measure, matters, gains, lead, found, above_now, movable, stuck, asked.confidence)
    runs = runner.runs.only([PRESENT, *named])
    fresh = runs.take(runs.numbers[-lead.gain.n :])  # those that took part in no choice
    return asked.told(
        asked.card(runner.runs), said, tables, _parts(tables, measure, lead),
        (
            *cautions_on(
                ("station", first, "task", then, "at")
                for first, then in (move.task.split(".", 1) for move in lead.best.moves)
            ),
            "Every move means teaching, tools, parts racks and a look at quality, none of which is in these "
            "figures. What may come before what is what the file's `after` says: look whether the part can "
            "be reached and fitted there.",
        ),
        decision=decision_between(fresh, named, measure, asked.confidence, best=lead.best.name),
    )  # fmt: skip


_FLAT = "before after mean=gain low high half_width n=replications method confidence comparisons verdict"


def _gains_table(gains: Sequence[MovesGain], measure: Measure, above_now: float) -> Table:
    columns = (
        Column("moves", "count"),
        Column("case", head="what moves"),
        Column("measure", "measure"),
        Column("unit"),
        Column("gain", "change", flat=_FLAT, faces=("mean=adds", "interval", "verdict")),
        Column("step", "change", flat="mean=step low=step_low high=step_high verdict=step_verdict n=step_n",
               faces=("mean=more than the line above", "interval")),
        Column("above_now_s", "number", head="above now, s"),
        Column("above_s", "number", head="above then, s"),
    )  # fmt: skip
    rows = [
        {
            "moves": one.best.count, "case": one.best.name, "measure": measure,
            "gain": one.gain, "step": one.step, "above_now_s": above_now, "above_s": one.best.above_s,
        }
        for one in gains
    ]  # fmt: skip
    says = (
        "The best moves of each number, paired over common draws, beside the work that does not fit on paper."
    )
    return Table.of("gains", columns, rows, says)


def _moves_table(gains: Sequence[MovesGain]) -> Table:
    columns = (
        Column("case"), Column("task"), Column("source", head="from"), Column("target", head="to"),
        Column("crew_before", head="crew"), Column("crew_after", head="crew then"),
        Column("work_s", "number", head="work, s a job"),
    )  # fmt: skip
    rows = [
        {"case": one.best.name, **{name: getattr(move, name) for name in move.__slots__}}
        for one in gains
        for move in one.best.moves
    ]
    says = "The tasks that move, those that brought most first; work in person-seconds a job."
    return Table.of("moves", columns, rows, says, keys=("case", "task"))


def _candidates_table(
    runner: Runner,
    found: Sequence[MovesCandidate],
    gains: Sequence[MovesGain],
    measure: Measure,
    confidence: float,
    above_now: float,
) -> Table:
    columns = (
        Column("case", head="what moves"), Column("moves", "count"),
        Column("above_s", "number", head="above, s"), Column("is_proved", head="least on paper"),
        Column("measure", "measure"), Column("unit"),
        Column("gain", "change", flat=_FLAT, faces=("mean=adds", "interval", "n")),
        Column("chosen"),
    )  # fmt: skip
    best = {one.best.name for one in gains}
    level = {name for one in gains for name in one.level}
    rows = [
        {
            "case": one.name, "moves": one.count, "above_s": one.above_s, "is_proved": one.is_proved,
            "measure": measure, "unit": gains[0].gain.unit,
            "gain": None if one.name in runner.stuck
            else runner.change(one.name, measure, confidence, len(found)),
            "chosen": "best" if one.name in best else "can't tell" if one.name in level
            else "stands" if one.name in runner.stuck else "",
        }
        for one in found
    ]  # fmt: skip
    says = (
        "What the program found and the simulation compared, over all replications of each; work that does "
        f"not fit in person-seconds a job, {above_now:.1f} now."
    )
    return Table.of("candidates", columns, rows, says)


def _stations_table(balance: Balance, best: MovesCandidate) -> Table:
    mean = balance.mean_s @ balance.share
    rows = []
    for s, post in enumerate(balance.posts):
        now, then = (sum(mean[t] for t, at in enumerate(where) if at == s) for where in (balance.at, best.at))
        rows.append({"place": post.station, "kind": "station", "people": post.people, "takt_s": post.takt_s,
                     "window_s": post.window_s, "now_s": float(now), "then_s": float(then)})  # fmt: skip
    for c, name in enumerate(balance.plan.names.crew):
        now, then = (balance.crew_load(at, c)[0] for at in (balance.at, best.at))
        takt = balance.crew_takt_s(c)
        if takt:
            rows.append({"place": name, "kind": "crew", "people": float(balance.people[c]), "takt_s": takt,
                         "window_s": takt, "now_s": now, "then_s": then})  # fmt: skip
    columns = (
        Column("place"), Column("kind"), Column("people", "number"),
        Column("takt_s", "number", head="takt, s"), Column("window_s", "number", head="window, s"),
        Column("now_s", "number", head="work now, s"), Column("then_s", "number", head="work then, s"),
    )  # fmt: skip
    says = "Work of stations and crews in person-seconds a job, now and with the moves that brought most."
    return Table.of("stations", columns, rows, says, keys=("kind", "place"))


def _piles_table(balance: Balance, movable: Movable, best: MovesCandidate) -> Table:
    mean = balance.mean_s @ balance.share
    touched = {place for t, s in enumerate(best.at) if s != balance.at[t] for place in (s, balance.at[t])}
    sections = {balance.posts[s].section for s in touched}
    rows = []
    for s, post in enumerate(balance.posts):
        if post.section not in sections or not post.people:
            continue
        for t, work in enumerate(mean):
            now, then = balance.at[t] == s, best.at[t] == s
            if work > 0 and (now or then):
                each = float(work) / post.people
                rows.append({
                    "station": post.station, "task": movable.tasks[t].full_name, "takt_s": post.takt_s,
                    "now_s": each if now else 0.0, "then_s": each if then else 0.0,
                    "moved": "" if now and then else "away" if now else "here",
                })  # fmt: skip
    columns = (
        Column("station"), Column("task"), Column("takt_s", "number", head="takt, s"),
        Column("now_s", "number", head="now, s"), Column("then_s", "number", head="then, s"), Column("moved"),
    )  # fmt: skip
    says = "Work per job for each person, if stations share their crews evenly, task by task."
    return Table.of("piles", columns, rows, says, keys=("station", "task"))


def _parts(tables: Sequence[Table], measure: Measure, lead: MovesGain) -> list[Part]:
    gains, moves, candidates, money, stations, piles, stay = tables
    view = View("gains", f"The best moves: {measure.label}", gains.pick("case", "gain", "above_s"))
    says = "One row a number of moves, paired over common draws; the intervals hold together."
    mine = moves.places(lambda row: row["case"] == lead.best.name)
    parts: list[Part] = [
        Chart("forest", "gains", says, view, "gain", "{case}", f"more {measure.label}"),
        View("moves", "What moves", moves.columns[1:], mine, most=MOST_SHOWN),
        Chart(
            "balance", "moved-piles", "Work of each person at the stations, before and after, against takt.",
            View("piles", "Work per person before and after", piles.columns, only_page=True), "then_s",
            "{station}", "s",
        ),
    ]  # fmt: skip
    columns = tuple(c for c in candidates.columns if c.name not in ("measure", "unit", "is_proved"))
    parts.append(View("candidates", "Paper and simulation: every candidate", columns, most=MOST_SHOWN))
    if len(money):
        parts.append(View("money", "What that is worth a shift", tuple(
            c for c in money.columns if c.name != "currency"
        ), only_page=True))  # fmt: skip
    loads = stations.places(lambda row: row["now_s"] != row["then_s"])
    parts.append(View("stations", "Work of stations and crews that changes", stations.columns, loads))
    return [*parts, View("stay", "What cannot move", stay.columns, only_page=True)]
