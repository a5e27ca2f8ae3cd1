"""The curve of each buffer: what the line makes with fewer and more places, and what each place adds."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from linesim.questions.buffers.bench import SplitBench, places_in_words
from linesim.questions.buffers.gaps import ENDLESS
from linesim.questions.buffers.splits import Split, given
from linesim.runs.rows import Row
from linesim.stats import joint_confidence

NO = "does not"  #: How the verdict on a step begins that brings nothing.
FURTHEST = 64  #: The curve is not followed further than so many places more than now.
EVERY_UP_TO = 6  #: So many places fewer are looked at one by one, of more only some.


class PlacePoint(NamedTuple):
    """One point of a curve.

    Attributes:
        buffer: Whose curve; empty for all buffers alike.
        places: Places of the buffer, as text: ``endless`` if it is never full, ``least`` for all buffers.
        split: Places of all buffers.
        level: What the line makes; the interval holds for this point alone.
    """

    buffer: str
    places: str
    split: Split
    level: Row


class PlaceStep(NamedTuple):
    """From one point of a curve to the next.

    Attributes:
        buffer: Whose curve; empty for all buffers alike.
        start, end: Places before and after, as text.
        places: Places added; None up to endless ones.
        gain: What the step adds, with the interval of a paired difference that holds together with
            all other steps.
        per_place: The same for each place added; None up to endless places.
        correlation, saving: What common draws were worth; see `linesim.stats.Difference`.
        verdict: ``helps`` if each place surely adds something, ``does not help`` if surely not, else
            ``can't tell``; where a place must add a certain amount, ``pays`` and ``does not pay``.
    """

    buffer: str
    start: str
    end: str
    places: int | None
    gain: Row
    per_place: Row | None
    correlation: float | None
    saving: float | None
    verdict: str

    @property
    def each(self) -> Row:
        """What each place of the step adds; up to endless places, what all of them add."""
        return self.per_place or self.gain

    @property
    def verb(self) -> str:
        """What is in question: that places help, or that they pay."""
        return "pay" if "pay" in self.verdict else "help"


class Curves(NamedTuple):
    """The curves of all buffers.

    Attributes:
        points: Points of each buffer, by places; then none and endless places everywhere.
        steps: From each point to the next; then from the present places to endless ones and from none to
            the present ones, of each buffer and of all together.
        numbers: Replications of each point.
        comparisons: Intervals of the steps, all holding together.
    """

    points: tuple[PlacePoint, ...]
    steps: tuple[PlaceStep, ...]
    numbers: tuple[int, ...]
    comparisons: int


def curves(
    bench: SplitBench, numbers: Sequence[int], *, matters: float, worth: float, confidence: float
) -> Curves:
    """Return the curves: the limits first, and more points only where the limits leave something to win.

    Args:
        bench: The line.
        numbers: Replications of each point.
        matters: A difference that is too small to look closer.
        worth: What a place must add to pay.
        confidence: Of all intervals of the steps together.
    """
    on_curve = [_limits(bench, b) for b in range(len(bench.gaps))]
    bench.ask(
        [bench.present, *(split for splits in on_curve for split in splits), *_outermost(bench)], numbers
    )
    looking = True
    while looking:
        more = [_closer(bench, b, splits, numbers, matters) for b, splits in enumerate(on_curve)]
        looking = any(more)
        bench.ask([split for splits in more for split in splits], numbers)
        for splits, new in zip(on_curve, more, strict=True):
            splits.update(new)
    return _drawn(bench, [sorted(splits) for splits in on_curve], numbers, worth, confidence)


def _limits(bench: SplitBench, b: int) -> set[Split]:
    now = bench.present
    least = given(now, b, bench.least[b] - now[b])
    return {least, now, given(now, b, ENDLESS - now[b])}


def _outermost(bench: SplitBench) -> tuple[Split, Split]:
    return bench.least, tuple(ENDLESS for _ in bench.gaps)


def _closer(
    bench: SplitBench, b: int, known: set[Split], numbers: Sequence[int], matters: float
) -> list[Split]:
    """Return the next points of a curve that are worth having."""
    now = bench.present
    mean = {split[b]: float(bench.value(split, numbers).mean()) for split in known}
    more: list[int] = []
    finite = max(places for places in mean if places != ENDLESS)
    if mean[ENDLESS] - mean[finite] >= matters and finite - now[b] < FURTHEST:
        more.append(now[b] + max(1, 2 * (finite - now[b])))
    fewer = now[b] - bench.least[b]
    if len(known) == 3 and fewer > 1 and mean[now[b]] - mean[bench.least[b]] >= matters:
        below = range(1, fewer) if fewer <= EVERY_UP_TO else [2**k for k in range(fewer.bit_length() - 1)]
        more += [now[b] - places for places in below]
    return [given(now, b, places - now[b]) for places in more if places not in mean]


def _drawn(
    bench: SplitBench,
    on_curve: Sequence[Sequence[Split]],
    numbers: Sequence[int],
    worth: float,
    confidence: float,
) -> Curves:
    least, endless = _outermost(bench)
    points: list[PlacePoint] = []
    wanted: list[tuple[str, Split, Split, int | None]] = []
    for b, splits in enumerate(on_curve):
        name = bench.gaps[b].buffer
        points += [_point(bench, name, places_in_words(s[b]), s, numbers, confidence) for s in splits]
        wanted += [
            (name, one, other, None if other[b] == ENDLESS else other[b] - one[b])
            for one, other in itertools.pairwise(splits)
        ]
    for b, splits in enumerate(on_curve):
        name = bench.gaps[b].buffer
        wanted += [(name, bench.present, splits[-1], None), (name, splits[0], bench.present, None)]
    wanted += [("", bench.present, endless, None), ("", least, bench.present, None)]
    for words, split in (("least", least), ("now", bench.present), ("endless", endless)):
        points.append(_point(bench, "", words, split, numbers, confidence))
    wanted = [w for w in dict.fromkeys(wanted) if w[1] != w[2]]
    steps = tuple(_steps(bench, wanted, numbers, worth, joint_confidence(confidence, max(1, len(wanted)))))
    return Curves(tuple(points), steps, tuple(numbers), len(wanted))


def _point(
    bench: SplitBench, buffer: str, places: str, split: Split, numbers: Sequence[int], confidence: float
) -> PlacePoint:
    return PlacePoint(buffer, places, split, bench.level(split, numbers, confidence))


def _steps(
    bench: SplitBench,
    wanted: Sequence[tuple[str, Split, Split, int | None]],
    numbers: Sequence[int],
    worth: float,
    confidence: float,
) -> Iterator[PlaceStep]:
    names = [gap.buffer for gap in bench.gaps]
    for buffer, start, end, places in wanted:
        found = bench.gain(start, end, numbers, confidence)
        gain = bench.row(found.interval, is_change=True)
        per_place = None if places is None else _share(gain, places)
        if buffer:
            b = names.index(buffer)
            words = places_in_words(start[b]), places_in_words(end[b])
        else:
            words = ("now", "endless") if start == bench.present else ("least", "now")
        yield PlaceStep(
            buffer, *words, places, gain, per_place, found.correlation, found.variance_ratio,
            _verdict(per_place or gain, worth),
        )  # fmt: skip


def _share(gain: Row, places: int) -> Row:
    def part(value: float | None) -> float | None:
        return None if value is None else value / places

    return gain._replace(
        mean=part(gain.mean), low=part(gain.low), high=part(gain.high),
        half_width=part(gain.half_width), sd=part(gain.sd),
    )  # fmt: skip


def _verdict(row: Row, worth: float) -> str:
    yes, verb = ("pays", "pay") if worth else ("helps", "help")
    if row.low is not None and row.low > worth:
        return yes
    if row.high is not None and (row.high < worth or row.high <= 0):
        return f"{NO} {verb}"
    return "can't tell"


def first_not_surely(steps: Sequence[PlaceStep], buffer: str, now: int) -> PlaceStep | None:
    """Return the first step beyond the present places whose places do not surely pay, None if all do."""
    beyond = [s for s in steps if s.buffer == buffer and s.places is not None and int(s.start) >= now]
    return next((s for s in beyond if s.verdict not in ("pays", "helps")), None)
