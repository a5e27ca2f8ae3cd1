"""`crew`: what one more operator brings on each crew, what one fewer costs, and what a floater does."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from linesim.answers.document import Chart, Document, Heading, Part, View, Words, change_in, largest
from linesim.answers.measure import OUTPUT, Measure
from linesim.answers.table import Column, Row, Table
from linesim.answers.wording import Value
from linesim.questions.crew import CrewQuestion
from linesim.questions.crew.hands import (
    FEWER,
    FLOATER,
    MORE,
    Barred,
    Gain,
    Hand,
    Tally,
    a_floater,
    check_response,
    crews_asked,
    looks,
    one_fewer,
    one_more,
    stops_changed,
)
from linesim.questions.crew.sentences import CrewSentences, cautions
from linesim.questions.decision import (
    Money,
    decision_between,
    money_columns,
    money_of,
    money_row,
    money_views,
)
from linesim.questions.run.sentences import cause_in_words, uncalled
from linesim.runs.case_runner import CaseChange
from linesim.runs.cases import Case
from linesim.runs.cost import RunCost
from linesim.runs.select import main_figure
from linesim.scenario import Scenario

PRESENT = "present"
MOST = 12  #: Replications of a change at most, if the scenario has as many and nobody asks for others.
MOST_STOPS = 12  #: Places and causes that get a line on a terminal.


def study(asked: CrewQuestion, scenario: Scenario) -> Document:
    """Return what each change in staffing brings: every one run a few times, what is unclear then longer.

    A floater of its own is tried for the crews where a person more may bring something.
    """
    names = crews_asked(scenario, asked.only)
    check_response(asked.response)
    at = looks(asked.count(scenario, MOST))
    runner = asked.runner(Case(PRESENT, scenario), at[0])
    measure = main_figure(runner.runs, None)
    matters = asked.matters(float(runner.runs.values(PRESENT, *measure).mean()))
    tally = Tally(runner, measure, asked.confidence, at, len(names) * _kinds(asked))
    hands, barred = _sorted_out(
        [one_more(scenario, name) for name in names if not asked.no_more]
        + [one_fewer(scenario, name) for name in names if not asked.no_fewer]
    )
    tally.ask(hands, at[0])
    if not asked.no_floater:
        helped = {gain.crew for gain in tally.gains(MORE) if gain.high >= matters}
        tried, not_so = _sorted_out(
            [
                a_floater(scenario, name, response=asked.response, call_at=asked.call_at)
                for name in names
                if not scenario.crew[name].floater and (name in helped or asked.no_more)
            ]
        )
        tally.ask(tried, at[0])
        barred += not_so
    for look in at[1:]:
        tally.ask(tally.open(matters), look)
    return _answer(asked, scenario, tally, [*barred, *tally.stuck], matters)


def steps(asked: CrewQuestion, scenario: Scenario, first: RunCost) -> RunCost:
    """Return what all steps cost: each change a few times, and every one as often as it may be run."""
    crews, at = len(crews_asked(scenario, asked.only)), looks(asked.count(scenario, MOST))
    least = 1 + crews * (not asked.no_more)  # one fewer may not be possible anywhere
    return first.between(least * at[0], (1 + crews * _kinds(asked)) * at[-1])


def _kinds(asked: CrewQuestion) -> int:
    """Return how many kinds of change are asked about."""
    return 3 - asked.no_more - asked.no_fewer - asked.no_floater


def _sorted_out(found: Sequence[Hand | Barred]) -> tuple[list[Hand], list[Barred]]:
    return [h for h in found if isinstance(h, Hand)], [b for b in found if isinstance(b, Barred)]


def _answer(
    asked: CrewQuestion, scenario: Scenario, tally: Tally, barred: Sequence[Barred], matters: float
) -> Document:
    runs, gains = tally.runner.runs, tally.gains()
    worth: dict[str, Money] = {}
    if tally.measure == OUTPUT:
        people = {gain.hand.name: gain.hand.people for gain in gains}
        worth = money_of(runs, people, asked.confidence, tally.comparisons)
    more, floaters, fewer = (tally.gains(kind) for kind in (MORE, FLOATER, FEWER))
    stops = {gain.hand: stops_changed(runs, gain.hand.name, asked.confidence) for gain in (*more[:1], *fewer)}
    say = CrewSentences(scenario, tally.measure, matters, worth)
    said: list[str] = []
    if more:
        said += say.lead(more[0], len(more) - 1, tally.rivals())
        said += say.takes_away(stops[more[0].hand]) if more[0].gain.sign > 0 else []
        said += say.others(more[1:])
    said += [*say.floaters(floaters), *say.fewer(fewer, barred)]
    said += [*uncalled(scenario, runs, PRESENT), say.pairing(gains) if gains else ""]
    tables = (
        _gains_table(gains, tally.measure), _money_table(gains, worth, say.currency), _stops_table(stops),
        Table.of("barred", tuple(map(Column, ("kind", "crew", "why"))), barred,
                 "Changes that cannot be, and why.", keys=("kind", "crew")),
    )  # fmt: skip
    return asked.told(
        asked.card(runs), said, tables, _parts(tally.measure, *tables),
        cautions(scenario, gains, with_money=bool(worth)),
        decision=decision_between(
            runs, [gain.hand.name for gain in gains], tally.measure, asked.confidence,
            words={gain.hand.name: gain.hand.in_short for gain in gains},
            best=next((gain.hand.name for gain in more), ""), comparisons=tally.comparisons,
        ),
    )  # fmt: skip


_FLAT = (
    "mean=gain low high half_width n=replications correlation saving method confidence comparisons verdict"
)
_CHANGE = (Column("change"), Column("kind"), Column("crew"), Column("people", "count"))


def _hand(hand: Hand) -> dict[str, Value]:
    return {"change": hand.name, "kind": hand.kind, "crew": hand.crew, "people": hand.people}


def _gains_table(gains: Sequence[Gain], measure: Measure) -> Table:
    columns = (
        *_CHANGE,
        Column("measure", "measure", flat="measure"),
        Column("unit"),
        Column("gain", "change", flat=_FLAT, faces=("mean=adds", "interval", "verdict", "saving")),
    )  # fmt: skip
    rows = [{**_hand(one.hand), "measure": measure, "gain": one.gain} for one in gains]
    says = "What one more or one fewer does, paired over common draws; all hold together."
    return Table.of("gains", columns, rows, says)


def _money_table(gains: Sequence[Gain], worth: Mapping[str, Money], currency: str) -> Table:
    """Return what each change is worth; empty where the scenario has no prices."""
    margins = (Column(name, "money", unit=currency) for name in ("break_even_margin", "cautious_margin"))
    rows = [
        {**_hand(one.hand), **money_row(found.amounts), "break_even_margin": found.break_even,
         "cautious_margin": found.cautious}
        for one in gains if (found := worth.get(one.hand.name)) is not None
    ]  # fmt: skip
    says = "Money a shift more than the line as it is, its parts, and the margin of a job from which it pays."
    return Table.of("money", (*_CHANGE, *money_columns(), *margins), rows, says)


def _stops_table(stops: Mapping[Hand, Sequence[CaseChange]]) -> Table:
    columns = (
        Column("change"), Column("kind"), Column("where", head="at"), Column("cause"), Column("because"),
        Column("unit"),
        Column("difference", "change", flat="before mean=difference low high n=replications verdict",
               faces=("before=now", "mean=changes by", "interval")),
    )  # fmt: skip
    rows = [
        {"change": hand.name, "kind": hand.kind, "where": one.measure.where, "cause": one.measure.cause,
         "because": cause_in_words(one.measure.cause), "difference": one.difference}
        for hand, found in stops.items() for one in found
    ]  # fmt: skip
    says = "Minutes of stop that a change takes away or brings, by place and cause, paired."
    return Table.of("stops", columns, rows, says, keys=("change", "where", "cause"))


def _parts(measure: Measure, gains: Table, worth: Table, stops: Table, barred: Table) -> list[Part]:
    """Return what each kind of change brings, what that is worth, and which stops it changes."""
    crew, gain = gains.pick("crew", "gain")
    label = measure.label
    parts: list[Part] = []
    for kind in map(str, dict.fromkeys(gains.column("kind"))):
        rows = gains.places(_is_of(kind))
        view = View("gains", f"{kind[0].upper()}{kind[1:]}: {label}", (crew, gain), rows, note=_NOTE)
        says = "One row a crew, paired over common draws; the intervals of all changes hold together."
        name = f"gains-{kind.replace(' ', '-')}"
        parts.append(Chart("forest", name, says, view, "gain", "{change}", f"more {label}"))
    parts += money_views(worth, worth.pick("break_even_margin", "cautious_margin"))
    change, place, cause, minutes = stops.pick("change", "where", "because", "difference")
    best = next((row["change"] for row in gains if row["kind"] == MORE), "")
    for kind, title, columns in (
        (MORE, f"Which stops {best} changes", (place, cause, minutes)),
        (FEWER, "Which stops one fewer changes", (change, place, cause, minutes)),
    ):
        places = stops.places(_is_of(kind, "difference"), by=largest("difference"))
        if places:
            parts.append(View("stops", f"{title}, minutes a shift", columns, places, most=MOST_STOPS))
        elif stops.places(_is_of(kind)):
            parts += [Heading(f"{title}, minutes a shift"), Words(("None surely.",))]
    return [*parts, View("barred", "Changes that cannot be", barred.columns, only_page=True)]


def _is_of(kind: str, sure: str = "") -> Callable[[Row], bool]:
    """Return whether a row is of a kind of change, and surely not 0 in the column of this name."""
    return lambda row: row["kind"] == kind and (not sure or bool(change_in(row, sure).sign))


_NOTE = "'1 for': one replication with common draws says as much as so many with independent ones."
