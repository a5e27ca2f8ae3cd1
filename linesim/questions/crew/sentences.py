"""What a question about crews is answered with, in plain sentences, and what to look into before acting."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from linesim.answers.measure import Measure
from linesim.answers.wording import (
    change_in_words,
    count_of,
    draws_in_words,
    interval_text,
    listed,
    mean_text,
    money,
    text,
)
from linesim.questions.cautions import cautions_on
from linesim.questions.crew.hands import FEWER, FLOATER, Barred, Gain
from linesim.questions.decision import Money, split_in_words
from linesim.questions.run.sentences import cause_in_words
from linesim.runs.case_runner import CaseChange
from linesim.scenario import Scenario

MOST_STOPS = 3  #: Stops taken away, and brought, that are told of a change.


class CrewSentences:
    """Says what was found, with the words and prices of one scenario."""

    def __init__(
        self, scenario: Scenario, measure: Measure, matters: float, worth: Mapping[str, Money]
    ) -> None:
        self.measure, self.matters, self.worth = measure, matters, worth
        self.sections, self.cost = tuple(scenario.section), scenario.cost
        self.currency = scenario.cost.currency or "money"

    def lead(self, gain: Gain, others: int, rivals: Sequence[Gain]) -> list[str]:
        """Return what the best place for one more operator brings, and whether it is surely the best."""
        brings = change_in_words(gain.gain, self.measure)
        if gain.gain.verdict == "the same":
            return [
                "One more operator brings nothing more in any crew; in the first of them, "
                f"{gain.crew}, there is {brings}."
            ]
        if not gain.gain.sign:
            return [f"One more operator brings most in crew {gain.crew}, if it brings anything: {brings}."]
        worth = self.worth.get(gain.hand.name)
        net = "" if worth is None else self._net(worth)
        said = [f"With {gain.hand.in_words} the line makes {brings}{net}."]
        said += [] if worth is None else [*self._split(worth), *self._margin(worth)]
        if rivals:
            names = listed([rival.crew for rival in rivals], "or")
            said.append(f"Whether one more in {names} would bring as much the data can't tell.")
        elif others:
            said.append("In no other crew does one more bring as much.")
        return said

    def _net(self, worth: Money) -> str:
        """Return what a change is worth at the prices of the scenario, as the end of a sentence."""
        operator = "" if worth.wage is None else self._price(worth.wage)
        if worth.net is None:
            return f"; an operator costs {operator} a shift" if operator else ""
        at = [f"{self._price(self.cost.margin_per_job or 0.0)} a job"]
        if self.cost.stop_minute:
            at.append(f"{self._price(self.cost.stop_minute)} a minute of stop")
        if operator:
            at.append(f"{operator} an operator's shift")
        return f"; at {listed(at)} that is {text(worth.net)} a shift"

    def _price(self, amount: float) -> str:
        return money(amount, None, self.currency)

    def _split(self, worth: Money) -> list[str]:
        """Return what net money is made of, where it is made of more than jobs and wages."""
        told = "" if worth.net is None else split_in_words(worth.amounts, 3)
        return [f"Of that {told}."] if told else []

    def _margin(self, worth: Money) -> list[str]:
        if worth.cautious == 0:
            return ["It pays at any margin, even on the cautious end: the stops it saves cost more."]
        if worth.cautious is None:
            if worth.break_even is None:
                return []
            at = f"{self._price(worth.break_even)} a job" if worth.break_even else "any margin"
            return [f"On average it pays from {at}; on the cautious end no margin makes it pay."]
        return [
            f"On the cautious end it pays down to a margin of {self._price(round(worth.cautious))} a job."
        ]

    def takes_away(self, stops: Sequence[CaseChange]) -> list[str]:
        """Return which stops the best change surely takes away, and which it surely brings."""
        gone = [stop for stop in stops if stop.difference.sign < 0]
        come = [stop for stop in reversed(stops) if stop.difference.sign > 0]
        said = []
        if gone:
            said.append(f"It takes away stops at {listed([self._stop(stop) for stop in gone[:MOST_STOPS]])}.")
        if come:
            said.append(
                f"More comes through, and stops grow at {listed([self._stop(s) for s in come[:MOST_STOPS]])}."
            )
        return said

    def _stop(self, stop: CaseChange) -> str:
        _, where, cause = stop.measure
        why, amount = cause_in_words(cause, of_section=where in self.sections), stop.difference.amount
        return f"{where} ({why}) by {mean_text(amount)} minutes a shift ({interval_text(amount)})"

    def others(self, gains: Sequence[Gain]) -> list[str]:
        """Return what one more does in the other crews, those that help one by one, the rest together."""
        helping = [gain for gain in gains if gain.gain.sign > 0]
        nothing = [g for g in gains if g not in helping and -self.matters < g.low and g.high < self.matters]
        rest = [gain for gain in gains if gain not in (*helping, *nothing)]
        none = f"One more brings nothing that matters in {listed([g.crew for g in nothing])}: less than "
        return [
            *(f"One more in {g.crew}: {self._brings(g)}." for g in helping),
            *([f"{none}{self.measure.amount(self.matters)}."] if nothing else []),
            *(f"One more in {g.crew}: {self._brings(g)}." for g in rest),
        ]

    def _brings(self, gain: Gain) -> str:
        """Return what a change brings, in money too where it surely brings anything."""
        money = self._short(gain) if gain.gain.sign else ""
        return f"{change_in_words(gain.gain, self.measure)}{money}"

    def _short(self, gain: Gain) -> str:
        worth = self.worth.get(gain.hand.name)
        return "" if worth is None or worth.net is None else f", {text(worth.net)} a shift"

    def floaters(self, gains: Sequence[Gain]) -> list[str]:
        """Return what floaters of their own bring."""
        words = [(gain.hand.in_words, self._brings(gain)) for gain in gains]
        return [f"{who[0].upper()}{who[1:]}: {brings}." for who, brings in words]

    def fewer(self, gains: Sequence[Gain], barred: Sequence[Barred]) -> list[str]:
        """Return which crews could give somebody up, and which surely could not."""
        free = [gain for gain in gains if gain.low > -self.matters]
        jobs = self.measure.words()[2]
        said = []
        if free:
            said.append(
                f"One fewer costs nothing that matters in {listed([g.crew for g in free])}: less than "
                f"{self.measure.amount(self.matters)}{self._saved(free)}."
            )
        hurt = sorted((g for g in gains if g not in free and g.gain.sign < 0), key=lambda g: -g.mean)
        if hurt:
            texts = [f"{g.crew} {text(g.gain.amount)}{self._short(g)}" for g in hurt]
            said.append(f"One fewer costs {jobs} in {listed(texts)}.")
        said += [
            f"One fewer in {g.crew}: {change_in_words(g.gain, self.measure)}."
            for g in gains
            if g not in free and g not in hurt
        ]
        few = [b.crew for b in barred if b.kind == FEWER and b.is_too_few]
        if few:
            said.append(f"One fewer would leave too few people for a task or a bay in {listed(few)}.")
        said += [f"One fewer in {b.crew}: {b.why}." for b in barred if b.kind == FEWER and not b.is_too_few]
        return said

    def _saved(self, gains: Sequence[Gain]) -> str:
        """Return which wages are saved where one fewer costs nothing; they differ with premiums."""
        given = [self.worth[gain.hand.name].wage for gain in gains if gain.hand.name in self.worth]
        wages = sorted({-wage for wage in given if wage is not None})
        if not wages:
            return ""
        most = f" to {self._price(wages[-1])}" if len(wages) > 1 else ""
        return f", and saves {self._price(wages[0])}{most} a shift"

    def pairing(self, gains: Sequence[Gain]) -> str:
        """Return what common draws were worth, for the first change and over all."""
        said = draws_in_words(gains[0].gain)
        ratios = sorted(g.gain.saving for g in gains if g.gain.saving is not None)
        if not said or len(ratios) < 2:
            return said
        middle = ratios[len(ratios) // 2]
        return f"{said} Over all {count_of(len(gains), 'change')} it is {middle:.0f} times in the middle."


def cautions(scenario: Scenario, gains: Sequence[Gain], *, with_money: bool) -> tuple[str, ...]:
    """Return what a reader should know before acting on the answer."""
    said = list(cautions_on(("crew", gain.crew, "people") for gain in gains))
    said.append(
        "Nobody was taught anything and no task was moved: a person more shares the work of the crew as the "
        "file has it. A new balance of the tasks may bring more, or the same with nobody more."
    )
    if new := [gain.hand for gain in gains if gain.hand.kind == FLOATER]:
        example = listed([line.split(" = ")[-1] for line in new[0].case.changes if "call_at" in line][:1])
        called = f" and stations call at {example} of their window" if example else ""
        crews = new[0].case.scenario.crew
        response = [crews[name].response for name in crews if name.startswith(f"{new[0].crew}-floater"[:60])][
            -1
        ]
        said.append(
            f"Floaters are assumed to come {response} after a call{called}; an answer about them is as good "
            "as that."
        )
    if with_money and scenario.cost.stop_minute:
        said.append(
            "Money counts jobs and minutes of stop side by side: leave stop_minute out of [cost] if its "
            "price already stands for jobs that are not made."
        )
    if with_money:
        said.append("More jobs are worth their margin only as long as somebody buys them.")
    return tuple(said)
