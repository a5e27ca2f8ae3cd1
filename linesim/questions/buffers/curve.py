"""The curve of each buffer: what the line makes with fewer and more places, and what each place adds."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

from linesim.answers.values import Change, Estimate
from linesim.questions.buffers.bench import SplitBench, places_in_words
from linesim.questions.buffers.splits import ENDLESS, BufferGap, Split, given

NO = "does not"  #: How the verdict on a step begins that brings nothing.
FURTHEST = 64  #: The curve is not followed further than so many places more than now.
EVERY_UP_TO = 6  #: So many places fewer are looked at one by one, of more only some.


@dataclass(frozen=True, slots=True)
class PlaceStep:
    """From one point of a curve to the next.

    Attributes:
        buffer: Whose curve; empty for all buffers alike.
        start, end: Places before and after: a number, ``endless`` if it is never full; for all buffers alike
            ``least``, ``now`` or ``endless``.
        places: Places added; None up to endless ones.
        gain: What the step adds, with the interval of a paired difference that holds together with
            all other steps.
        per_place: The same for each place added; None up to endless places.
        verdict: ``helps`` if each place surely adds something, ``does not help`` if surely not, else
            ``can't tell``; where a place must add a certain amount, ``pays`` and ``does not pay``.
    """

    buffer: str
    start: str
    end: str
    places: int | None
    gain: Change
    per_place: Change | None
    verdict: str

    @property
    def each(self) -> Change:
        """What each place of the step adds; up to endless places, what all of them add."""
        return self.per_place or self.gain

    @property
    def verb(self) -> str:
        """What is in question: that places help, or that they pay."""
        return "pay" if "pay" in self.verdict else "help"


@dataclass(frozen=True, slots=True)
class PlacePoint:
    """One point of a curve.

    Attributes:
        buffer: Whose curve; empty for all buffers alike.
        places: Places of the buffer, as text, see `PlaceStep`.
        split: Places of all buffers.
        level: What the line makes; the interval holds for this point alone.
        step: From the point before to this one; None for the first, and for all buffers alike.
    """

    buffer: str
    places: str
    split: Split
    level: Estimate
    step: PlaceStep | None


@dataclass(frozen=True, slots=True)
class Curves:
    """The curves of all buffers.

    Attributes:
        points: Points of each buffer, by places; then none and endless places everywhere.
        steps: From each point to the next; then from the present places to endless ones and from none to
            the present ones, of each buffer and of all together.
        numbers: Replications of each point.
    """

    points: tuple[PlacePoint, ...]
    steps: tuple[PlaceStep, ...]
    numbers: tuple[int, ...]

    def step(self, buffer: str, start: str, end: str, *, whole: bool = False) -> PlaceStep | None:
        """Return the step of a buffer between two numbers of places; None if they are the same.

        Args:
            buffer: Whose; empty for all buffers alike.
            start: Places before.
            end: Places after.
            whole: Whether it is not meant for each place.
        """
        for step in self.steps:
            is_meant = (step.buffer, step.start, step.end) == (buffer, start, end)
            if is_meant and not (whole and step.places is not None):
                return step
        return None


def curves(bench: SplitBench, numbers: Sequence[int], *, matters: float, worth: float) -> Curves:
    """Return the curves: the limits first, and more points only where the limits leave something to win.

    Args:
        bench: The line.
        numbers: Replications of each point.
        matters: A difference that is too small to look closer.
        worth: What a place must add to pay.
    """
    now, least = bench.present, bench.least
    on_curve = [_limits(now, least, b) for b in range(len(now))]
    bench.ask(sorted(limits_of(now, least)), numbers)
    looking = True
    while looking:
        more = [_closer(bench, b, splits, numbers, matters) for b, splits in enumerate(on_curve)]
        looking = any(more)
        bench.ask([split for splits in more for split in splits], numbers)
        for splits, new in zip(on_curve, more, strict=True):
            splits.update(new)
    return _drawn(bench, [sorted(splits) for splits in on_curve], tuple(numbers), worth)


def limits_of(now: Split, least: Split) -> set[Split]:
    """Return the splits that every curve begins with: the line as it is, and the limits of one and of all."""
    each = (split for b in range(len(now)) for split in _limits(now, least, b))
    return {now, *each, least, tuple(ENDLESS for _ in least)}


def _limits(now: Split, least: Split, b: int) -> set[Split]:
    return {given(now, b, least[b] - now[b]), now, given(now, b, ENDLESS - now[b])}


def _closer(
    bench: SplitBench, b: int, known: set[Split], numbers: Sequence[int], matters: float
) -> list[Split]:
    """Return the next points of a curve that are worth having."""
    now = bench.present
    mean = {split[b]: float(bench.value(split, numbers).mean()) for split in known}
    more: list[int] = []
    finite = max(places for places in mean if places != ENDLESS)
    falls = mean[finite] <= max(made for places, made in mean.items() if places != ENDLESS) - matters
    if mean[ENDLESS] - mean[finite] >= matters and finite - now[b] < FURTHEST and not falls:
        more.append(now[b] + max(1, 2 * (finite - now[b])))
    fewer = now[b] - bench.least[b]
    if len(known) == 3 and fewer > 1 and mean[now[b]] - mean[bench.least[b]] >= matters:
        below = range(1, fewer) if fewer <= EVERY_UP_TO else [2**k for k in range(fewer.bit_length() - 1)]
        more += [now[b] - places for places in below]
    return [given(now, b, places - now[b]) for places in more if places not in mean]


def points_at_most(gap: BufferGap) -> int:
    """Return how many points a curve may have beside its limits and the line as it is."""
    fewer = gap.places - gap.least
    return FURTHEST.bit_length() + (fewer if fewer <= EVERY_UP_TO else fewer.bit_length())


def _drawn(
    bench: SplitBench, on_curve: Sequence[Sequence[Split]], numbers: tuple[int, ...], worth: float
) -> Curves:
    now, names = bench.present, [gap.buffer for gap in bench.gaps]
    ends = {bench.least: "least", now: "now", bench.endless: "endless"}
    wanted: list[tuple[str, Split, Split, int | None]] = []
    for b, splits in enumerate(on_curve):
        wanted += [
            (names[b], one, other, None if other[b] == ENDLESS else other[b] - one[b])
            for one, other in itertools.pairwise(splits)
        ]
    for b, splits in enumerate(on_curve):
        wanted += [(names[b], now, splits[-1], None), (names[b], splits[0], now, None)]
    wanted += [("", now, bench.endless, None), ("", bench.least, now, None)]
    wanted = [step for step in dict.fromkeys(wanted) if step[1] != step[2]]

    def places(buffer: str, split: Split) -> str:
        return places_in_words(split[names.index(buffer)]) if buffer else ends[split]

    steps: list[PlaceStep] = []
    into: dict[tuple[str, Split], PlaceStep] = {}
    for buffer, start, end, n in wanted:
        gain = bench.gain(start, end, numbers, len(wanted))
        per_place = None if n is None else gain.scaled(1 / n, gain.unit)
        verdict = _verdict(per_place or gain, worth)
        words = places(buffer, start), places(buffer, end)
        steps.append(PlaceStep(buffer, *words, n, gain, per_place, verdict))
        into.setdefault((buffer, end), steps[-1])
    marked = [(names[b], places_in_words(s[b]), s) for b, splits in enumerate(on_curve) for s in splits]
    marked += [("", "least", bench.least), ("", "now", now), ("", "endless", bench.endless)]
    points = tuple(
        PlacePoint(
            buffer, word, split, bench.level(split, numbers), into.get((buffer, split)) if buffer else None
        )
        for buffer, word, split in marked
    )
    return Curves(points, tuple(steps), numbers)


def _verdict(found: Change, worth: float) -> str:
    yes, verb = ("pays", "pay") if worth else ("helps", "help")
    if found.low is not None and found.low > worth:
        return yes
    if found.high is not None and (found.high < worth or found.high <= 0):
        return f"{NO} {verb}"
    return "can't tell"


def first_not_surely(steps: Sequence[PlaceStep], now: int) -> PlaceStep | None:
    """Return the first step of a buffer beyond the present places whose places do not surely pay, if any."""
    beyond = [step for step in steps if step.places is not None and int(step.start) >= now]
    return next((step for step in beyond if step.verdict not in ("pays", "helps")), None)
