"""What a question about buffers is answered with, in plain sentences, and what to look into before acting."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from linesim.answers.values import Change, Estimate
from linesim.answers.wording import change_in_words, count_of, interval_text, listed, money, text
from linesim.questions.buffers.bench import SplitBench, Worth, split_text
from linesim.questions.buffers.curve import NO, Curves, PlaceStep, first_not_surely
from linesim.questions.buffers.search import BestSplit, Fewest
from linesim.questions.buffers.splits import ENDLESS, BufferGap, price_of
from linesim.questions.decision import split_in_words as money_split

MOST_NAMED = 3  #: Splits that are named where several are level.


class BufferSentences:
    """Says what was found of some buffers by a measure."""

    def __init__(self, bench: SplitBench) -> None:
        self.bench, self.gaps, self.measure = bench, bench.gaps, bench.measure
        self.sure = f"{100 * bench.confidence:g} % confidence"
        self.rest, self.currency = bench.measure.words()[2], bench.currency

    def _words(self, change: Change) -> str:
        return change_in_words(change, self.measure)

    def least(self, matters: float) -> str:
        """Return the smallest difference that matters."""
        return money(matters, None, self.currency) if self.currency else f"{matters:g}"

    def _bounds(self, change: Change) -> str:
        bounds = interval_text(change)
        return f"{bounds} {self.rest}" if bounds else "no interval"

    # ---- curves ----

    def curves(self, found: Curves, matters: float, worth: Mapping[str, Worth]) -> tuple[str, ...]:
        """Return the limits of all buffers, then each buffer, the most promising first."""
        now = next(point.level for point in found.points if not point.buffer and point.places == "now")
        said = [f"The line makes {text(now)} {self.rest}. {self._limits(found)}"]

        def promise(gap: BufferGap) -> float:
            step = found.step(gap.buffer, str(gap.places), "endless")
            return 0.0 if step is None else step.gain.mean or 0.0

        for gap in sorted(self.gaps, key=promise, reverse=True):
            parts = [self._more(gap, found, matters), self._fewer(gap, found, matters)]
            parts.append(_next_in_money(gap, worth))
            said.append(f"{gap.buffer}: {' '.join(filter(None, parts))}")
        said.append(
            f"All {len(found.steps)} differences hold together with {self.sure}."
            if len(found.numbers) > 1
            else "One replication has no interval: run at least 10 before deciding anything."
        )
        return tuple(said)

    def _limits(self, found: Curves) -> str:
        said = []
        more, fewer = found.step("", "now", "endless"), found.step("", "least", "now")
        if more is not None:
            said.append(
                f"Endless places everywhere would make {self._words(more.gain)}: no buffer gives more."
                if more.gain.sign > 0
                else f"What endless places everywhere would bring, the data {self._words(more.gain)}."
            )
        if fewer is not None:
            least = "the fewest there can be" if any(gap.least for gap in self.gaps) else "none"
            said.append(
                f"The present places make {self._words(fewer.gain)} than {least}."
                if fewer.gain.sign
                else f"What the present places bring against that, the data {self._words(fewer.gain)}."
            )
        return " ".join(said)

    def _more(self, gap: BufferGap, found: Curves, matters: float) -> str:
        upward = found.step(gap.buffer, str(gap.places), "endless")
        if upward is None:
            return "it is never full."
        if _is_nothing(upward.gain, matters):
            return f"more places bring nothing that matters, even endless ones ({self._bounds(upward.gain)})."
        if upward.gain.sign <= 0:
            return f"what endless places would bring, the data {self._words(upward.gain)}."
        said = f"endless places would bring {self._words(upward.gain)}"
        mine = [step for step in found.steps if step.buffer == gap.buffer and step.places is not None]
        after = next((step for step in mine if int(step.start) >= gap.places), None)
        if after is not None and after.each.sign > 0:
            said += f"; the next place alone {text(after.each.amount)}"
        return f"{said}. {self._up_to(first_not_surely(mine, gap.places))}".strip()

    def _up_to(self, step: PlaceStep | None) -> str:
        """Return from which place on more of them do not surely help; empty if all do."""
        if step is None:
            return ""
        first, last = int(step.start) + 1, int(step.end)
        one = first == last
        which = f"place {first}" if one else f"places {first} to {last}"
        verb, each = f"{step.verb}{'s' if one else ''}", self._bounds(step.each) + ("" if one else " each")
        if step.verdict.startswith(NO):
            return f"{which.capitalize()} no longer {verb} ({each})."
        return f"Whether {which} still {verb}, the data can't tell ({each})."

    def _fewer(self, gap: BufferGap, found: Curves, matters: float) -> str:
        downward = found.step(gap.buffer, str(gap.least), str(gap.places), whole=True)
        if downward is None:
            return ""
        gain, least = downward.gain, count_of(gap.least, "place") if gap.least else "none"
        its = f"Its {count_of(gap.places, 'place')}" if gap.places > 1 else "Its place"
        verb = "bring" if gap.places > 1 else "brings"
        if _is_nothing(gain, matters):
            return f"{its} {verb} nothing that matters against {least} ({self._bounds(gain)})."
        if gain.sign:
            return f"{its} {verb} {self._words(gain)} against {least}."
        return f"What {its[0].lower()}{its[1:]} {verb} against {least}, the data {self._words(gain)}."

    # ---- the best split ----

    def split(self, best: BestSplit, level: Estimate, gain: Change | None, worth: Worth) -> tuple[str, ...]:
        """Return which split is the best, what it brings, what that is worth, and how sure it is."""
        total, present = sum(best.split), self.bench.present
        said = [
            f"Best split of {count_of(total, 'place')}: {self.bench.in_words(best.split)}. The line "
            f"makes {text(level)} {self.rest} with it, in {count_of(level.n, 'replication')} that took no "
            "part in the choice."
        ]
        if gain is None:
            said.append("That is how the places stand now.")
        else:
            before = f"{count_of(sum(present), 'place')}, {self.bench.in_words(present)},"
            said.append(
                f"Against the present {before} that is {self._words(gain)}."
                if gain.sign
                else f"Whether it makes more than the present {before} the data {self._words(gain)}."
            )
            said += self._in_money(worth)
        said.append(self._promise(best))
        level_with = [best.candidates[i] for i in best.choice.level][:MOST_NAMED]
        if level_with and best.choice.is_made:
            names = listed([split_text(split) for split in level_with])
            said.append(f"Level with it, within what matters: {names} (places in line order).")
        return tuple(said)

    def _in_money(self, worth: Worth) -> list[str]:
        split = money_split(worth)
        if self.currency:
            return [f"Of that {split}."] if split else []
        return [f"In money that is {_amounts(worth)}."] if worth else []

    def _promise(self, best: BestSplit) -> str:
        choice, matters = best.choice, f"{self.least(best.choice.matters)} {self.rest}"
        if not choice.is_made:
            left = [split_text(best.candidates[i]) for i in choice.left]
            return (
                f"Can't tell between {count_of(len(left), 'split')} after {choice.used} replications: "
                f"{listed(left[:6])}; the one named has made the most so far. It takes up to {choice.most} "
                f"replications, or a difference that matters larger than {matters}."
            )
        sure = f"With {self.sure}"
        if best.is_of_all:
            if best.out_of == 1:
                return "There is no other split of so many places."
            return f"{sure} no other split makes {matters} more: all {best.out_of} were compared."
        return (
            f"{sure} none of the {len(best.candidates) - 1} splits that move one place elsewhere makes "
            f"{matters} more; {best.looked_at} of {best.out_of} splits were looked at."
        )

    # ---- the fewest places ----

    def fewest(self, found: Fewest, worth: Worth) -> tuple[str, ...]:
        """Return how few places do, what one less would reach, and what the present ones do."""
        enough, less, present, sure = found.enough, found.one_less, found.present, found.sure
        surely = "reaches" if enough.total == 1 else "reach"
        surely += "" if enough.verdict == "reaches it" else " on average"
        said = [
            f"{count_of(enough.total, 'place')} {surely} {100 * found.share:g} % of what endless buffers "
            f"would give: {self.bench.in_words(enough.split)} make {text(enough.share)} % of it."
        ]
        if enough.verdict != "reaches it":
            said.append(
                f"It takes more replications to be sure; {count_of(sure.total, 'place')}, "
                f"{self.bench.in_words(sure.split)}, surely reach it: {text(sure.share)} %."
                if sure is not None
                else "It takes more replications to be sure, here and with a few places more."
            )
        if less is not None:
            best = f"With one place less the best found, {self.bench.in_words(less.split)},"
            if less.verdict == "falls short":
                said.append(f"{best} falls short: {text(less.share)} %.")
            else:
                said.append(f"{best} probably falls short, but the data can't tell: {text(less.share)} %.")
        if present.split not in {one.split for one in (enough, less, sure) if one is not None}:
            how = {"reaches it": "reach it", "falls short": "fall short"}.get(
                present.verdict, "may or may not"
            )
            its = f"{count_of(present.total, 'place')}, {self.bench.in_words(present.split)}"
            said.append(f"The present {its}, {how}: {text(present.share)} %.")
        if worth:
            said.append(f"Against the present places the {enough.total} bring {_amounts(worth)}.")
        return tuple(said)


def _is_nothing(gain: Change, matters: float) -> bool:
    """Return whether a gain is surely none that matters."""
    return gain.high is not None and gain.high < matters and gain.sign <= 0


def _amounts(worth: Worth) -> str:
    """Return net money with what it is made of; what is priced where there is no net."""
    if "" not in worth:
        return f"{listed([f'{text(found)} from {part}' for part, found in worth.items()])} a shift"
    split = money_split(worth)
    return f"{text(worth[''])} a shift" + (f", {split}" if split else "")


def _next_in_money(gap: BufferGap, worth: Mapping[str, Worth]) -> str:
    """Return what the nearest larger number of places that was run is worth; empty where nobody priced it."""
    priced = (name.rpartition(" ") for name in worth)
    larger = min(
        (int(n) for buffer, _, n in priced if buffer == gap.buffer and int(n) > gap.places), default=None
    )
    if larger is None:
        return ""
    return f"{count_of(larger, 'place')} would bring {_amounts(worth[f'{gap.buffer} {larger}'])}."


def cautions(bench: SplitBench, *, with_curve: bool) -> tuple[str, ...]:
    """Return what a reader should know before acting on the answer.

    Args:
        bench: The line, with everything that was run.
        with_curve: Whether buffers without a place were looked at.
    """
    scenario = bench.scenario
    said = [
        f"With {bench.in_words(split)} the line comes to a stand for good: {why}"
        for split, why in bench.stuck.items()
    ]
    travels = [gap.buffer for gap in bench.gaps if scenario.buffer[gap.buffer].travel.seconds > 0]
    if travels and with_curve:
        said.append(
            f"Without a place the sections hand over directly and the way through {listed(travels)} falls "
            "away: no place is another line, not only a place less. A longer buffer may take longer to pass; "
            "here its travel stays what the file says."
        )
    if scenario.carrier:
        loops = listed(
            [f"{name} ({count_of(loop.count, 'piece')})" for name, loop in scenario.carrier.items()]
        )
        said.append(f"Carriers bound what buffers in their loop can hold, however many places: {loops}.")
    if full := list(dict.fromkeys(_ever_full(bench))):
        said.append(f"Endless places were not endless: {listed(full)} was full at some moment.")
    more = "more stock, a longer way through the line, and floor space that people and vehicles may need"
    priced = [gap.buffer for gap in bench.gaps if price_of(scenario, gap.buffer) is not None]
    if not priced:
        said.append(f"A place more holds a job more: {more}. None of it is in these figures.")
    else:
        said.append(
            f"A place more holds a job more: {more}. Of that net money holds the price of a place, at "
            f"{listed(priced)}; what endless places bring is told as if they cost no more than the present "
            "ones."
        )
    return tuple(said)


def _ever_full(bench: SplitBench) -> Iterator[str]:
    """Yield the buffers that were full although their places stand for endless ones."""
    for case in bench.runs.cases:
        for gap in bench.gaps:
            if case.scenario.buffer[gap.buffer].capacity < ENDLESS:
                continue
            numbers = bench.runs.numbers_of(case.name)
            if (bench.runs.values(case.name, "buffer_full", gap.buffer, numbers=numbers) > 0).any():
                yield gap.buffer
