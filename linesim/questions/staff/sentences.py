"""What a question about staffing is answered with in plain sentences, and what to look into first."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from linesim.answers.wording import change_in_words, count_of, listed, money, text
from linesim.questions.cautions import cautions_on
from linesim.questions.decision import Money, split_in_words
from linesim.questions.staff.search import MAKES, Search
from linesim.questions.staff.staffings import Heads, Staffings

MOST_NAMED = 4  #: Staffings that are named beside the best.


class StaffSentences:
    """Says what was found."""

    def __init__(self, search: Search) -> None:
        self.search, self.bench, self.staffings = search, search.bench, search.staffings
        self.people, self.is_for_target = self.bench.asked.people, self.bench.is_for_target

    def all(self, best: Heads | None, level: Sequence[Heads], worth: Mapping[str, Money]) -> list[str]:
        """Return the answer, the most important first."""
        said = [self._none(level)] if best is None else [self._best(best), self._who(best)]
        if best is not None and best != self.staffings.now:
            said += [self._now(), self._against_now(best, worth.get(self.staffings.name(best)))]
        said += [self._level(best, level), self._how_sure(best), self._looked()]
        return said

    def _goal(self) -> str:
        """Return what is asked for, with the shifts in tens where they are that."""
        bench = self.bench
        tens = 10 * bench.share
        often = f"{tens:.0f} of 10" if abs(tens - round(tens)) < 1e-9 else f"{100 * bench.share:g} %"
        return f"{bench.target:g} jobs a shift in {often} shifts"

    def _best(self, best: Heads) -> str:
        bench = self.bench
        makes = f"makes {text(bench.makes(best))} {bench.measure.label}"
        if not self.is_for_target:
            who = "any number of people" if self.people is None else count_of(self.people, "person", "people")
            return f"The best staffing found of {who} {makes}{self._met(best)}."
        surely = "" if bench.verdict(best) == MAKES else ", as far as the data show,"
        return (
            f"The cheapest staffing found that makes {self._goal()}{surely} has {self._people(best)}: it "
            f"{makes}{self._met(best)}."
        )

    def _met(self, heads: Heads) -> str:
        found = self.bench.met(heads)
        if found is None:
            return ""
        return f", and {self.bench.target:g} in {text(found).replace(' (', ' % (', 1)} of the shifts"

    def _people(self, heads: Heads) -> str:
        said = count_of(sum(heads), "person", "people")
        if not self.staffings.is_priced:
            return said
        currency = self.staffings.scenario.cost.currency or "money"
        return f"{said} for {money(self.bench.cost(heads), None, currency)} a shift"

    def _who(self, best: Heads) -> str:
        if best == self.staffings.now:
            return "That is the line as it is."
        posts = zip(self.staffings.posts, best, strict=True)
        told = [f"{p.crew} {n} instead of {p.now}" for p, n in posts if n != p.now]
        return f"Against now: {listed(told)}; the other crews stay as they are."

    def _now(self) -> str:
        now, label = self.staffings.now, self.bench.measure.label
        makes = text(self.bench.makes(now))
        return f"As it is, {self._people(now)} make {makes} {label}{self._met(now)}."

    def _against_now(self, best: Heads, worth: Money | None) -> str:
        bench = self.bench
        said = f"Paired, that is {change_in_words(bench.change(best, self.staffings.now), bench.measure)}"
        if worth is None or worth.net is None or bench.measure.measure == "net_money":
            return f"{said}."
        split = split_in_words(worth.amounts)
        return f"{said}, and {text(worth.net)} net money a shift{f': {split}' if split else ''}."

    def _none(self, level: Sequence[Heads]) -> str:
        bench = self.bench
        most = bench.best_mean
        return (
            f"No staffing that was looked at makes {self._goal()}. The most, {text(bench.makes(most))}, "
            f"comes from {self._people(most)} ({self.staffings.name(most)}){self._met(most)}: what holds the "
            "line back there is not people."
        )

    def _level(self, best: Heads | None, level: Sequence[Heads]) -> str:
        if not level:
            return "" if best is None else "The data tell it from every other staffing that was looked at."
        names = [f"{self.staffings.name(heads)} ({self._people(heads)})" for heads in level[:MOST_NAMED]]
        more = len(level) - len(names)
        rest = f", and {count_of(more, 'other')}" if more else ""
        told = "; ".join(names)
        if best is None:
            return f"Of these the data can't tell whether they do: {told}{rest}."
        if not self.is_for_target:
            return f"The data can't tell it from {count_of(len(level), 'other')}: {told}{rest}."
        others = count_of(len(level), "other")
        return (
            f"Of {others} that cost no more the data can't tell whether they make it as often: {told}{rest}."
        )

    def _how_sure(self, best: Heads | None) -> str:
        if best is None or not self.is_for_target or self.bench.verdict(best) == MAKES:
            return ""
        sure = [heads for heads in self.bench.tried if self.bench.verdict(heads) == MAKES]
        if not sure:
            return "No staffing that was looked at surely makes it: to be sure takes more replications."
        first = min(sure, key=lambda heads: (self.bench.cost(heads), -(self.bench.makes(heads).mean or 0.0)))
        return (
            f"The cheapest that surely makes it is {self.staffings.name(first)} ({self._people(first)}); "
            "more replications may tell of cheaper ones."
        )

    def _looked(self) -> str:
        tried = count_of(len(self.bench.tried), "staffing")
        if self.search.is_whole:
            which = "cheaper ones that may make the target" if self.is_for_target else "all that there are"
            return f"{tried} looked at, among them {which}, every one."
        full = " (as many as --most-staffings allows)" if self.bench.is_full else ""
        return (
            f"{tried} looked at{full}, from the desk calculation by steps of one more, one fewer, one from "
            "crew to crew and two of these: a better one further away is not ruled out."
        )


def cautions(staffings: Staffings, best: Heads, *, with_money: bool) -> tuple[str, ...]:
    """Return what a reader should know before acting on the answer."""
    gaps = [(post, n) for post, n in zip(staffings.posts, best, strict=True) if n != post.now]
    said = list(cautions_on(("crew", post.crew, "people") for post, _ in gaps))
    if fewer := [post.crew for post, n in gaps if n < post.now]:
        said.append(
            f"Fewer people in {listed(fewer)}: assess what that means for lifting by two, first aid, lone "
            "work, rest and relief, with the people themselves, before anybody is taken away. That the line "
            "makes its jobs says nothing of it."
        )
    if gaps:
        said.append(
            "Nobody was taught anything and no task was moved: people share the work of their crew as the "
            "file has it, and who moves to another crew is taken to know its work."
        )
    if new := [post for post, n in gaps if post.new is not None and n]:
        response = new[0].new.crew["response"] if new[0].new else ""
        said.append(f"New floaters are assumed to come {response} after a call.")
    if with_money and staffings.scenario.cost.stop_minute:
        said.append(
            "Money counts jobs and minutes of stop side by side: leave stop_minute out of [cost] if its "
            "price already stands for jobs that are not made."
        )
    return tuple(said)
