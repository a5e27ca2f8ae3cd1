"""`crew`: what one more operator brings on each crew, what one fewer costs, and what a floater does."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from itertools import combinations
from typing import TYPE_CHECKING

from linesim.answers.document import Chart, Document, Heading, Part, View, Words
from linesim.answers.measure import OUTPUT
from linesim.answers.table import Column, Row, Table
from linesim.answers.values import Change
from linesim.questions.crew import CrewQuestion
from linesim.questions.crew.gains import Gain, StopChange, Tally, looks, stops_changed
from linesim.questions.crew.hands import (
    FEWER,
    FLOATER,
    MORE,
    Barred,
    Hand,
    a_floater,
    check_response,
    crews_asked,
    one_fewer,
    one_more,
)
from linesim.questions.crew.sentences import CrewSentences, by_kind, cautions
from linesim.questions.decision import decision_between
from linesim.questions.money import Money, money_columns, money_of, money_row, money_views
from linesim.questions.run.sentences import uncalled
from linesim.runs.case_runner import Runner
from linesim.runs.cases import Case
from linesim.runs.select import main_figure

if TYPE_CHECKING:
    from linesim.runs.cost import RunCost
    from linesim.scenario import Scenario

PRESENT = "present"
MOST = 12  #: Replications of a change at most, if the scenario has as many and nobody asks for others.
MATTERS = 0.005  #: Share of what the line makes that matters, where nobody says.
MOST_STOPS = 12  #: Places and causes that get a line on a terminal.


def study(asked: CrewQuestion, scenario: Scenario) -> Document:
    """Return what each change in staffing brings: every one run a few times, what is unclear then longer.

    A floater of its own is tried for the crews where a person more may bring something.
    """
    names = crews_asked(scenario, asked.only)
    check_response(asked.response)
    kinds = [
        kind
        for kind, is_left_out in (
            (MORE, asked.no_more), (FEWER, asked.no_fewer), (FLOATER, asked.no_floater)
        )
        if not is_left_out
    ]  # fmt: skip
    at = looks(_count(asked, scenario))
    runner = Runner(Case(PRESENT, scenario), range(1, at[0] + 1), seed=asked.seed, **asked.how)
    measure = main_figure(runner.runs, None)
    made = float(runner.runs.values(PRESENT, *measure).mean())
    matters = round_matter(MATTERS * made) if asked.min_effect is None else asked.min_effect
    tally = Tally(runner, measure, asked.confidence, max(1, len(names) * len(kinds) * len(at)))
    hands, barred = _sorted_out(
        [one_more(scenario, name) for name in names if MORE in kinds]
        + [one_fewer(scenario, name) for name in names if FEWER in kinds]
    )
    tally.ask(hands, at[0])
    if FLOATER in kinds:
        helped = {gain.crew for gain in tally.gains() if gain.kind == MORE and gain.high >= matters}
        tried, not_so = _sorted_out(
            [
                a_floater(scenario, name, response=asked.response, call_at=asked.call_at)
                for name in names
                if not scenario.crew[name].floater and (name in helped or MORE not in kinds)
            ]
        )
        tally.ask(tried, at[0])
        barred += not_so
    for look in at[1:]:
        tally.ask(tally.open(matters), look)
    return _answer(asked, scenario, tally, [*barred, *tally.stuck], matters, len(at))


def steps(asked: CrewQuestion, scenario: Scenario, first: RunCost) -> RunCost:
    """Return what all steps cost: each change a few times, and every one as often as it may be run."""
    crews = len(crews_asked(scenario, asked.only))
    at = looks(_count(asked, scenario))
    least = 1 + crews * (not asked.no_more)  # one fewer may not be possible anywhere
    most = 1 + crews * (3 - asked.no_more - asked.no_fewer - asked.no_floater)
    return first.between(least * at[0], most * at[-1])


def _count(asked: CrewQuestion, scenario: Scenario) -> int:
    return min(scenario.run.replications, MOST) if asked.replications is None else asked.replications


def round_matter(amount: float) -> float:
    """Return an amount to one digit."""
    return float(f"{amount:.1g}") if amount > 0 else 0.1


def _sorted_out(found: Sequence[Hand | Barred]) -> tuple[list[Hand], list[Barred]]:
    return [h for h in found if isinstance(h, Hand)], [b for b in found if isinstance(b, Barred)]


def _answer(
    asked: CrewQuestion,
    scenario: Scenario,
    tally: Tally,
    barred: Sequence[Barred],
    matters: float,
    n_looks: int,
) -> Document:
    runs = tally.runner.runs
    gains = tuple(gain for kind in (MORE, FLOATER, FEWER) for gain in by_kind(tally.gains(), kind))
    worth: dict[str, Money] = {}
    for gain in gains if tally.measure == OUTPUT else ():
        found = money_of(runs, PRESENT, gain.change, gain.people, asked.confidence, tally.comparisons)
        if found is not None:
            worth[gain.change] = found
    more, floaters, fewer = (by_kind(gains, kind) for kind in (MORE, FLOATER, FEWER))
    looked_at = [gain.hand for gain in (*more[:1], *fewer)]
    stops = tuple(stop for hand in looked_at for stop in stops_changed(runs, PRESENT, hand, asked.confidence))
    say = CrewSentences(scenario, tally.measure, matters, worth)
    said: list[str] = []
    if more:
        pairs = len(list(combinations(more, 2)))
        said += say.lead(more[0], len(more) - 1, tally.rivals(more, max(1, pairs * n_looks)))
        said += say.takes_away([s for s in stops if s.kind == MORE]) if more[0].gain.sign > 0 else []
        said += say.others(more[1:])
    said += [*say.floaters(floaters), *say.fewer(fewer, barred)]
    said += [*uncalled(scenario, runs, PRESENT), say.pairing(gains) if gains else ""]
    tables = (
        _gains_table(gains), _money_table(gains, worth, say.currency), _stops_table(stops),
        _barred(barred),
    )  # fmt: skip
    return Document(
        study="crew",
        sentences=tuple(filter(None, said)),
        tables_=tables,
        parts=tuple(_parts(gains, *tables)),
        cautions=cautions(scenario, gains, with_money=bool(worth)),
        card=runs.card(asked.confidence, file=asked.file),
        asked=asked.echo(),
        decision=decision_between(
            runs, [gain.change for gain in gains], tally.measure, asked.confidence,
            words={gain.change: _in_words(gain) for gain in gains},
            best=next((gain.change for gain in more), ""), comparisons=tally.comparisons,
        ),
    )  # fmt: skip


def _in_words(gain: Gain) -> str:
    """Return a change in staffing as people say it."""
    many = {MORE: "one more in", FEWER: "one fewer in"}
    return f"{many[gain.kind]} {gain.crew}" if gain.kind in many else f"a floater for {gain.crew}"


_FLAT = (
    "mean=gain low high half_width n=replications correlation saving method confidence comparisons verdict"
)
_CHANGE = (Column("change"), Column("kind"), Column("crew"), Column("people", "count"))


def _gains_table(gains: Sequence[Gain]) -> Table:
    columns = (
        *_CHANGE,
        Column("measure", "measure", flat="measure"),
        Column("unit"),
        Column("gain", "change", flat=_FLAT, faces=("mean=adds", "interval", "verdict", "saving")),
    )  # fmt: skip
    return Table.of(
        "gains", columns, gains,
        "What one more or one fewer does, paired over common draws; all hold together.",
    )  # fmt: skip


def _money_table(gains: Sequence[Gain], worth: Mapping[str, Money], currency: str) -> Table:
    """Return what each change is worth; empty where the scenario has no prices."""
    columns = (*_CHANGE, *money_columns(), *_margins(currency))
    rows = [
        {
            "change": gain.change, "kind": gain.kind, "crew": gain.crew, "people": gain.people,
            **money_row({**({} if found.net is None else {"": found.net}), **found.parts}),
            "break_even_margin": found.break_even, "cautious_margin": found.cautious,
        }
        for gain in gains
        if (found := worth.get(gain.change)) is not None
    ]  # fmt: skip
    says = "Money a shift more than the line as it is, its parts, and the margin of a job from which it pays."
    return Table.of("money", columns, rows, says)


def _stops_table(stops: Sequence[StopChange]) -> Table:
    columns = (
        Column("change"), Column("kind"), Column("where", head="at"), Column("cause"), Column("because"),
        Column("unit"),
        Column("difference", "change", flat="before mean=difference low high n=replications verdict",
               faces=("before=now", "mean=changes by", "interval")),
    )  # fmt: skip
    says = "Minutes of stop that a change takes away or brings, by place and cause, paired."
    return Table.of("stops", columns, stops, says, keys=("change", "where", "cause"))


def _barred(barred: Sequence[Barred]) -> Table:
    columns = tuple(map(Column, ("kind", "crew", "why")))
    return Table.of("barred", columns, barred, "Changes that cannot be, and why.", keys=("kind", "crew"))


def _parts(gains: Sequence[Gain], of_gains: Table, worth: Table, stops: Table, barred: Table) -> list[Part]:
    """Return what each kind of change brings, what that is worth, and which stops it changes."""
    crew, gain = of_gains.pick("crew", "gain")
    parts: list[Part] = []
    for kind in dict.fromkeys(one.kind for one in gains):
        label = gains[0].measure.label
        view = View(
            "gains", f"{kind[0].upper()}{kind[1:]}: {label}", (crew, gain), of_gains.places(_is_of(kind)),
            note=_NOTE,
        )  # fmt: skip
        says = "One row a crew, paired over common draws; the intervals of all changes hold together."
        name = f"gains-{kind.replace(' ', '-')}"
        parts.append(Chart("forest", name, says, view, "gain", "{change}", f"more {label}"))
    parts += money_views(worth, worth.pick("break_even_margin", "cautious_margin"))
    best = next((one.change for one in gains if one.kind == MORE), "")
    change, place, cause, minutes = stops.pick("change", "where", "because", "difference")
    for kind, title, columns in (
        (MORE, f"Which stops {best} changes", (place, cause, minutes)),
        (FEWER, "Which stops one fewer changes", (change, place, cause, minutes)),
    ):
        places = stops.places(_is_sure_of(kind), by=_by_size)
        if places:
            parts.append(View("stops", f"{title}, minutes a shift", columns, places, most=MOST_STOPS))
        elif stops.places(_is_of(kind)):
            parts += [Heading(f"{title}, minutes a shift"), Words(("None surely.",))]
    return [*parts, View("barred", "Changes that cannot be", barred.columns, only_page=True)]


def _margins(currency: str) -> tuple[Column, ...]:
    return tuple(Column(name, "money", unit=currency) for name in ("break_even_margin", "cautious_margin"))


def _is_of(kind: str) -> Callable[[Row], bool]:
    return lambda row: row["kind"] == kind


def _is_sure_of(kind: str) -> Callable[[Row], bool]:
    """Return whether a row is of a kind of change and surely not 0."""
    return lambda row: row["kind"] == kind and bool(_difference(row).sign)


def _by_size(row: Row) -> float:
    return -abs(_difference(row).mean or 0.0)


def _difference(row: Row) -> Change:
    found = row["difference"]
    assert isinstance(found, Change)
    return found


_NOTE = "'1 for': one replication with common draws says as much as so many with independent ones."
