"""What a question about crews is answered with, in plain sentences."""

from __future__ import annotations

from collections.abc import Sequence

from linesim.answers.wording import count_of, decimals, listed, number
from linesim.questions.crew.gains import Gain
from linesim.questions.crew.hands import FEWER, FLOATER, MORE, Barred
from linesim.questions.crew.pay import Pay, Prices
from linesim.questions.crew.stops import StopChange
from linesim.questions.money import money, money_with_span
from linesim.questions.run_sentences import cause_in_words
from linesim.questions.verdicts import in_words, saving_in_words, sign_of
from linesim.runs.main_measure import Measure
from linesim.runs.rows import Row

MOST_STOPS = 3  #: Stops taken away, and brought, that are told of the best change.


class CrewSentences:
    """Says what was found, with the words and prices of one scenario."""

    def __init__(
        self, figure: Measure, unit: str, matters: float, prices: Prices | None, sections: Sequence[str]
    ) -> None:
        self.figure, self.unit, self.matters = figure, unit, matters
        self.prices, self.sections = prices, sections

    def row(self, gain: Gain) -> Row:
        """Return a gain as a row that sentences are made of."""
        return gain.as_row(self.figure, self.unit)

    def lead(self, gain: Gain, pay: Pay | None, others: int, rivals: Sequence[Gain]) -> list[str]:
        """Return what the best place for one more operator brings, and whether it is surely the best."""
        said = [f"With {gain.hand.in_words} the line makes {in_words(self.row(gain), self.figure)}"]
        if gain.low == gain.high == 0:
            return [
                "One more operator brings nothing more in any crew; in the first of them, "
                f"{gain.hand.crew}, there is {in_words(self.row(gain), self.figure)}."
            ]
        if not sign_of(self.row(gain)):
            return [
                f"One more operator brings most in crew {gain.hand.crew}, if it brings anything: "
                f"{in_words(self.row(gain), self.figure)}."
            ]
        said[0] += f"; {self._net(pay)}." if pay is not None and self.prices is not None else "."
        said += self._margin(pay)
        if rivals:
            names = listed([rival.hand.crew for rival in rivals], "or")
            said.append(f"Whether one more in {names} would bring as much the data can't tell.")
        elif others:
            said.append("In no other crew does one more bring as much.")
        return said

    def _net(self, pay: Pay) -> str:
        prices = self.prices
        assert prices is not None
        operator = money(prices.operator, None, prices.currency)
        if pay.net is None or prices.margin is None:
            return f"an operator costs {operator} a shift"
        stop = ""
        if prices.stop_minute:
            stop = f", {money(prices.stop_minute, None, prices.currency)} a minute of stop"
        margin = money(prices.margin, None, prices.currency)
        return (
            f"at {margin} a job{stop} and {operator} an operator's shift that is "
            f"{money_with_span(pay.net, prices.currency)} a shift"
        )

    def _margin(self, pay: Pay | None) -> list[str]:
        if pay is None or self.prices is None:
            return []
        currency = self.prices.currency
        if pay.cautious == 0:
            return ["It pays at any margin, even on the cautious end: the stops it saves cost more."]
        if pay.cautious is None:
            if pay.break_even is None:
                return []
            at = money(pay.break_even, None, currency) if pay.break_even else "any margin"
            return [f"On average it pays from {at} a job; on the cautious end no margin makes it pay."]
        at = money(round(pay.cautious), None, currency)
        return [f"On the cautious end it pays down to a margin of {at} a job."]

    def takes_away(self, stops: Sequence[StopChange]) -> list[str]:
        """Return which stops the best change surely takes away, and which it surely brings."""
        gone = [stop for stop in stops if sign_of(stop.change) < 0]
        come = [stop for stop in reversed(stops) if sign_of(stop.change) > 0]
        said = []
        if gone:
            said.append(f"It takes away stops at {listed([self._stop(stop) for stop in gone[:MOST_STOPS]])}.")
        if come:
            said.append(
                f"More comes through, and stops grow at {listed([self._stop(s) for s in come[:MOST_STOPS]])}."
            )
        return said

    def _stop(self, stop: StopChange) -> str:
        change = stop.change
        assert change.mean is not None
        assert change.low is not None
        assert change.high is not None
        places = decimals(change.mean, (change.high - change.low) / 2)
        near, far = sorted((abs(change.low), abs(change.high)))
        why = cause_in_words(stop.cause, of_section=stop.where in self.sections)
        return (
            f"{stop.where} ({why}) by {number(abs(change.mean), places)} minutes a shift "
            f"({number(near, places)} to {number(far, places)})"
        )

    def others(self, gains: Sequence[Gain], pays: dict[str, Pay]) -> list[str]:
        """Return what one more does in the other crews, those that help one by one, the rest together."""
        said = []
        helping = [gain for gain in gains if gain.low > 0]
        for gain in helping:
            brings = in_words(self.row(gain), self.figure)
            said.append(f"One more in {gain.hand.crew}: {brings}{self._short(gain, pays)}.")
        nothing = [g for g in gains if g not in helping and -self.matters < g.low and g.high < self.matters]
        if nothing:
            said.append(
                f"One more brings nothing that matters in {listed([g.hand.crew for g in nothing])}: "
                f"less than {self.matters:g} {self.figure.words()[2]}."
            )
        said += [
            f"One more in {g.hand.crew}: {in_words(self.row(g), self.figure)}."
            for g in gains
            if g not in helping and g not in nothing
        ]
        return said

    def _short(self, gain: Gain, pays: dict[str, Pay]) -> str:
        pay = pays.get(gain.hand.name)
        if pay is None or pay.net is None or self.prices is None:
            return ""
        return f", {money_with_span(pay.net, self.prices.currency)} a shift"

    def floaters(self, gains: Sequence[Gain], pays: dict[str, Pay]) -> list[str]:
        """Return what floaters of their own bring."""
        said = []
        for gain in gains:
            text = f"{_start(gain.hand.in_words)}: {in_words(self.row(gain), self.figure)}"
            said.append(f"{text}{self._short(gain, pays) if sign_of(self.row(gain)) else ''}.")
        return said

    def fewer(self, gains: Sequence[Gain], barred: Sequence[Barred]) -> list[str]:
        """Return which crews could give somebody up, and which surely could not."""
        free = [gain for gain in gains if gain.low > -self.matters]
        said = []
        if free:
            save = ""
            if self.prices is not None:
                save = f", and saves {money(self.prices.operator, None, self.prices.currency)} a shift"
            said.append(
                f"One fewer costs nothing that matters in {listed([g.hand.crew for g in free])}: less than "
                f"{self.matters:g} {self.figure.words()[2]}{save}."
            )
        hurt = sorted((g for g in gains if g not in free and g.high < 0), key=lambda g: -g.mean)
        if hurt:
            texts = [f"{g.hand.crew} {self._loss(g)}" for g in hurt]
            said.append(f"One fewer costs {self.figure.words()[2]} in {listed(texts)}.")
        said += [
            f"One fewer in {g.hand.crew}: {in_words(self.row(g), self.figure)}."
            for g in gains
            if g not in free and g not in hurt
        ]
        few = [b.crew for b in barred if b.kind == FEWER and b.is_too_few]
        if few:
            said.append(f"One fewer would leave too few people for a task or a bay in {listed(few)}.")
        said += [f"One fewer in {b.crew}: {b.why}." for b in barred if b.kind == FEWER and not b.is_too_few]
        return said

    def _loss(self, gain: Gain) -> str:
        places = decimals(gain.mean, (gain.high - gain.low) / 2)
        return f"{number(-gain.mean, places)} ({number(-gain.high, places)} to {number(-gain.low, places)})"

    def pairing(self, lead: Gain, gains: Sequence[Gain]) -> str:
        """Return what common draws were worth, for the best change and over all."""
        said = saving_in_words(lead.found)
        ratios = sorted(g.found.variance_ratio for g in gains if g.found.variance_ratio is not None)
        if not said or len(ratios) < 2:
            return said
        middle = ratios[len(ratios) // 2]
        return f"{said} Over all {count_of(len(gains), 'change')} it is {middle:.0f} times in the middle."


def _start(text: str) -> str:
    return text[0].upper() + text[1:]


def by_kind(gains: Sequence[Gain], kind: str) -> list[Gain]:
    """Return the changes of one kind, the highest gain first."""
    assert kind in (MORE, FEWER, FLOATER)
    return [gain for gain in gains if gain.hand.kind == kind]
