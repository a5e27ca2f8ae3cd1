"""`crew`: the study."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import TYPE_CHECKING, Any

from linesim.measures.definitions import DEFINITIONS
from linesim.questions.answer import Answer
from linesim.questions.crew.cautions import cautions
from linesim.questions.crew.gains import Gain, Tally, looks
from linesim.questions.crew.hands import (
    FEWER,
    FLOATER,
    MORE,
    Barred,
    Hand,
    a_floater,
    check_floaters,
    crews_asked,
    one_fewer,
    one_more,
)
from linesim.questions.crew.pay import Pay, Prices, pay
from linesim.questions.crew.sentences import CrewSentences, by_kind
from linesim.questions.crew.stops import StopChange, stops_changed
from linesim.questions.crew.tables import barred_table, gains_table, money_table, stops_table
from linesim.runs.cases import Case, CaseRuns, run_cases
from linesim.runs.main_measure import Measure, main_figure
from linesim.stats import fair_difference, joint_confidence

if TYPE_CHECKING:
    from linesim.scenario import Scenario

PRESENT = "present"
MOST = 12  #: Replications of a change at most, if the scenario has as many and nobody asks for others.
MATTERS = 0.005  #: Share of what the line makes that matters, where nobody says.


@dataclass(frozen=True, slots=True)
class CrewAnswer(Answer):
    """What one more operator buys on each crew, and what one fewer costs.

    Attributes:
        figure: Jobs per shift, or jobs per hour where the run holds no whole shift.
        matters: The smallest difference that matters, in its unit.
        gains: What each change does: one more, then a floater, then one fewer, each the highest first.
        pays: What each change is worth, by its name; empty where the scenario has no prices.
        stops: Which stops the best change takes away.
        barred: Changes that the line does not allow.
    """

    figure: Measure
    matters: float
    gains: tuple[Gain, ...]
    pays: dict[str, Pay]
    stops: tuple[StopChange, ...]
    barred: tuple[Barred, ...]

    @property
    def best(self) -> Gain | None:
        """The crew where one more brings most; None if nobody asked for one more."""
        return next(iter(by_kind(self.gains, MORE)), None)


def crew(
    scenario: Scenario,
    *,
    only: Sequence[str] = (),
    kinds: Sequence[str] = (MORE, FEWER, FLOATER),
    response: str | None = None,
    call_at: float | None = None,
    matters: float | None = None,
    replications: int | None = None,
    seed: int | None = None,
    confidence: float = 0.95,
    file: str = "",
    **how: Any,
) -> CrewAnswer:
    """Say what one more operator brings on each crew, what one fewer costs, and what a floater does.

    Every change is run a few times; only what is not clear then goes on. A floater of its own is tried
    for the crews where a person more brings something.

    Args:
        scenario: The line; its ``[cost]`` turns jobs into money.
        only: Names of the crews asked about; empty means all.
        kinds: Which changes: ``one more``, ``one fewer``, ``a floater``.
        response: Time from a call until a new floater comes, such as ``"30 s"``; None takes after the
            floaters there are.
        call_at: Share of its window at which a station calls that never did; None takes after those
            that call.
        matters: The smallest difference that matters, in jobs; None takes `MATTERS` of what the line makes.
        replications: Of one change at most; None takes what the scenario says, at most `MOST`.
        seed: Seed of all draws; None takes what the scenario says.
        confidence: Of all intervals together.
        file: Name of the scenario's file, for the answer to carry.
        how: How replications are run: ``workers``, ``progress`` and what else `run_cases` takes.

    Raises:
        WrongQuestionError: If there is no such crew, or a floater cannot come so.
        LineStuck: If the line as it is comes to a stand for good.

    Examples:
        >>> from linesim import load
        >>> crew(load("line.toml")).sentences  # doctest: +SKIP
    """
    names = crews_asked(scenario, only)
    check_floaters(response, call_at)
    count = min(scenario.run.replications, MOST) if replications is None else replications
    at = looks(count)
    runs = run_cases([Case(PRESENT, scenario)], numbers=range(1, at[0] + 1), seed=seed, **how)
    figure = main_figure(runs, None)
    made = float(runs.values(PRESENT, *figure).mean())
    matters = round_matter(MATTERS * made) if matters is None else matters
    tally = Tally(runs, figure, confidence, len(names) * len(set(kinds)) * len(at))
    hands, barred = _hands(scenario, names, kinds)
    tally.ask(hands, at[0])
    if FLOATER in kinds:
        tried, not_so = _floaters(scenario, tally, names, MORE in kinds, matters, response, call_at)
        tally.ask(tried, at[0])
        barred += not_so
    for look in at[1:]:
        tally.ask(tally.open(matters), look)
    return _answer(scenario, tally, barred, matters, confidence, file, len(at))


def round_matter(amount: float) -> float:
    """Return an amount to one digit."""
    return float(f"{amount:.1g}") if amount > 0 else 0.1


def _hands(scenario: Scenario, names: Sequence[str], kinds: Sequence[str]) -> tuple[list[Hand], list[Barred]]:
    found: list[Hand | Barred] = []
    for name in names:
        if MORE in kinds:
            found.append(one_more(scenario, name))
        if FEWER in kinds:
            found.append(one_fewer(scenario, name))
    return [h for h in found if isinstance(h, Hand)], [b for b in found if isinstance(b, Barred)]


def _floaters(
    scenario: Scenario,
    tally: Tally,
    names: Sequence[str],
    after_more: bool,
    matters: float,
    response: str | None,
    call_at: float | None,
) -> tuple[list[Hand], list[Barred]]:
    """Return a floater for each crew where one more may bring something that matters."""
    helped = {gain.hand.crew for gain in tally.gains() if gain.hand.kind == MORE and gain.high >= matters}
    found = [
        a_floater(scenario, name, response=response, call_at=call_at)
        for name in names
        if not scenario.crew[name].floater and (name in helped or not after_more)
    ]
    return [h for h in found if isinstance(h, Hand)], [b for b in found if isinstance(b, Barred)]


def _answer(
    scenario: Scenario,
    tally: Tally,
    barred: list[Barred],
    matters: float,
    confidence: float,
    file: str,
    n_looks: int,
) -> CrewAnswer:
    gains = tuple(g for kind in (MORE, FLOATER, FEWER) for g in by_kind(tally.gains(), kind))
    prices = Prices.of(scenario.cost) if tally.figure.measure == "jobs_per_shift" else None
    pays = {} if prices is None else {g.hand.name: _pay(tally.runs, g, prices) for g in gains}
    unit = DEFINITIONS[tally.figure.measure].unit
    words = CrewSentences(tally.figure, unit, matters, prices, tuple(scenario.section))
    barred = [*barred, *tally.stuck]
    stops: tuple[StopChange, ...] = ()
    said: list[str] = []
    more, floaters, fewer = (by_kind(gains, kind) for kind in (MORE, FLOATER, FEWER))
    if more:
        best = more[0]
        stops = stops_changed(tally.runs, PRESENT, best.hand.name, confidence)
        rivals = _rivals(tally, more, confidence, n_looks)
        said += words.lead(best, pays.get(best.hand.name), len(more) - 1, rivals)
        said += words.takes_away(stops) if best.low > 0 else []
        said += words.others(more[1:], pays)
    said += words.floaters(floaters, pays)
    said += words.fewer(fewer, barred)
    if gains:
        said.append(words.pairing(gains[0], gains))
    return CrewAnswer(
        study="crew",
        sentences=tuple(text for text in said if text),
        tables_=(
            gains_table(gains, tally.figure, unit),
            money_table(gains, pays, prices),
            stops_table(stops),
            barred_table(barred),
        ),
        cautions=cautions(scenario, gains, prices),
        card=tally.runs.card(confidence, file=file),
        figure=tally.figure,
        matters=matters,
        gains=gains,
        pays=pays,
        stops=stops,
        barred=tuple(barred),
    )


def _pay(runs: CaseRuns, gain: Gain, prices: Prices) -> Pay:
    name = gain.hand.name
    numbers = runs.common((PRESENT, name))
    jobs = runs.values(name, "jobs_per_shift", numbers=numbers) - runs.values(
        PRESENT, "jobs_per_shift", numbers=numbers
    )
    saved = runs.values(PRESENT, "own_stop", numbers=numbers) - runs.values(name, "own_stop", numbers=numbers)
    return pay(jobs, saved, gain.hand.people, prices, gain.confidence)


def _rivals(tally: Tally, more: Sequence[Gain], confidence: float, n_looks: int) -> list[Gain]:
    """Return the crews where one more may bring as much as in the first, all pairs holding together."""
    pairs = len(list(combinations(more, 2)))
    alone = joint_confidence(confidence, max(1, pairs * n_looks))
    rivals = []
    for gain in more[1:]:
        if gain.high < more[0].low:  # the intervals of all gains hold together: these two leave no doubt
            continue
        numbers = tally.runs.common((more[0].hand.name, gain.hand.name))
        first, other = (
            tally.runs.values(g.hand.name, *tally.figure, numbers=numbers) for g in (more[0], gain)
        )
        low = fair_difference(first, other, alone).interval.low
        if low is None or low <= 0:
            rivals.append(gain)
    return rivals
