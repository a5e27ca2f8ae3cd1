"""What a question about buffers is answered with, in plain sentences."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from linesim.answers.wording import count_of, listed
from linesim.questions.buffers.curve import NO, Curves, PlaceStep, first_not_surely
from linesim.questions.buffers.fewest import Fewest, Reached
from linesim.questions.buffers.gaps import BufferGap
from linesim.questions.buffers.search import BestSplit
from linesim.questions.buffers.splits import Split
from linesim.questions.figures import with_span
from linesim.questions.verdicts import in_words, sign_of, signed_span
from linesim.runs.main_measure import Measure
from linesim.runs.rows import Row

MOST_NAMED = 3  #: Splits that are named where several are level.


def curve_sentences(
    gaps: Sequence[BufferGap], found: Curves, figure: Measure, matters: float, confidence: float
) -> tuple[str, ...]:
    """Return what the curves say: the limits of all buffers, then each buffer, the most promising first."""
    whole = {step.start: step for step in found.steps if not step.buffer}
    now = next(point.level for point in found.points if not point.buffer and point.places == "now")
    rest = figure.words()[2]
    said = [f"The line makes {with_span(now)} {rest}. {_limits(gaps, whole, figure)}"]
    upward = {s.buffer: s for s in found.steps if s.buffer and s.end == "endless" and s.start != "endless"}
    by_size = sorted(gaps, key=lambda gap: -(_mean(upward.get(gap.buffer)) or 0.0))
    said += [_buffer(gap, found, figure, matters) for gap in by_size]
    said.append(
        f"All {found.comparisons} differences hold together with {100 * confidence:g} % confidence."
        if len(found.numbers) > 1
        else "One replication has no interval: run at least 10 before deciding anything."
    )
    return tuple(said)


def _limits(gaps: Sequence[BufferGap], whole: dict[str, PlaceStep], figure: Measure) -> str:
    said, any_must = [], any(gap.least for gap in gaps)
    if "now" in whole:
        gain = whole["now"].gain
        if sign_of(gain) > 0:
            said.append(
                f"Endless places everywhere would make {in_words(gain, figure)}: no buffer gives more."
            )
        else:
            said.append(f"What endless places everywhere would bring, the data {in_words(gain, figure)}.")
    if "least" in whole:
        loss = whole["least"].gain
        text = in_words(loss, figure)
        said.append(
            f"The present places make {text} than {'the fewest there can be' if any_must else 'none'}."
            if sign_of(loss)
            else f"What the present places bring against that, the data {text}."
        )
    return " ".join(said)


def _buffer(gap: BufferGap, found: Curves, figure: Measure, matters: float) -> str:
    mine = [step for step in found.steps if step.buffer == gap.buffer]
    upward = next((s for s in mine if s.start == str(gap.places) and s.end == "endless"), None)
    downward = next(
        (s for s in mine if s.start == str(gap.least) and s.end == str(gap.places) and s.places is None), None
    )
    parts = [_more(gap, mine, upward, figure, matters), _fewer(gap, downward, figure, matters)]
    return f"{gap.buffer}: {' '.join(part for part in parts if part)}"


def _more(
    gap: BufferGap, mine: Sequence[PlaceStep], upward: PlaceStep | None, figure: Measure, matters: float
) -> str:
    if upward is None:
        return "it is never full."
    gain = upward.gain
    if gain.high is not None and gain.high < matters and sign_of(gain) <= 0:
        return f"more places bring nothing that matters, even endless ones ({_bounds(gain, figure)})."
    if sign_of(gain) <= 0:
        return f"what endless places would bring, the data {in_words(gain, figure)}."
    said = f"endless places would bring {in_words(gain, figure)}"
    after = [s for s in mine if s.places is not None and int(s.start) >= gap.places]
    if after and sign_of(after[0].each) > 0:
        said += f"; the next place alone {with_span(after[0].each)}"
    doubtful = first_not_surely(mine, gap.buffer, gap.places)
    if doubtful is None:
        return f"{said}."
    first, last = int(doubtful.start) + 1, int(doubtful.end)
    one = first == last
    which = f"place {first}" if one else f"places {first} to {last}"
    each = _bounds(doubtful.each, figure) + ("" if one else " each")
    if doubtful.verdict.startswith(NO):
        return f"{said}. {which.capitalize()} no longer {doubtful.verb}{'s' if one else ''} ({each})."
    return f"{said}. Whether {which} still {doubtful.verb}{'s' if one else ''}, the data can't tell ({each})."


def _fewer(gap: BufferGap, downward: PlaceStep | None, figure: Measure, matters: float) -> str:
    if downward is None:
        return ""
    gain, least = downward.gain, count_of(gap.least, "place") if gap.least else "none"
    its = f"Its {count_of(gap.places, 'place')}" if gap.places > 1 else "Its place"
    verb = "bring" if gap.places > 1 else "brings"
    if gain.high is not None and gain.high < matters and sign_of(gain) <= 0:
        return f"{its} {verb} nothing that matters against {least} ({_bounds(gain, figure)})."
    if sign_of(gain):
        return f"{its} {verb} {in_words(gain, figure)} against {least}."
    return f"What {its[0].lower()}{its[1:]} {verb} against {least}, the data {in_words(gain, figure)}."


def split_sentences(
    gaps: Sequence[BufferGap], best: BestSplit, level: Row, gain: Row | None, present: Split, figure: Measure,
    confidence: float,
) -> tuple[str, ...]:  # fmt: skip
    """Return which split is the best, what it brings, and how sure that is."""
    rest, total = figure.words()[2], sum(best.split)
    said = [f"Best split of {count_of(total, 'place')}: {split_in_words(gaps, best.split)}. "]
    said[0] += (
        f"The line makes {with_span(level)} {rest} with it, in {count_of(level.replications, 'replication')} "
        "that took no part in the choice."
    )
    if best.split == present:
        said.append("That is how the places stand now.")
    elif gain is not None:
        before = f"{count_of(sum(present), 'place')}, {split_in_words(gaps, present)},"
        said.append(f"Against the present {before} that is {in_words(gain, figure)}.")
        if not sign_of(gain):
            said[-1] = f"Whether it makes more than the present {before} the data {in_words(gain, figure)}."
    said.append(_promise(best, rest, confidence))
    if level_with := _level(best):
        said.append(
            f"Level with it, within what matters: {listed([_figures(split) for split in level_with])} "
            f"(places in line order)."
        )
    return tuple(said)


def _promise(best: BestSplit, rest: str, confidence: float) -> str:
    choice, matters = best.choice, f"{best.choice.matters:g} {rest}"
    if not choice.is_made:
        left = [best.candidates[i] for i in choice.left]
        return (
            f"Can't tell between {count_of(len(left), 'split')} after {choice.used} replications: "
            f"{listed([_figures(split) for split in left[:6]])}; the one named has made the most so far. "
            f"It takes up to {choice.most} replications, or a difference that matters larger than {matters}."
        )
    sure = f"With {100 * confidence:g} % confidence"
    if best.is_of_all:
        if best.out_of == 1:
            return "There is no other split of so many places."
        return f"{sure} no other split makes {matters} more: all {best.out_of} were compared."
    return (
        f"{sure} none of the {len(best.candidates) - 1} splits that move one place elsewhere makes {matters} "
        f"more; {best.looked_at} of {best.out_of} splits were looked at."
    )


def _level(best: BestSplit) -> list[Split]:
    return [best.candidates[i] for i in best.choice.level][:MOST_NAMED] if best.choice.is_made else []


def fewest_sentences(gaps: Sequence[BufferGap], found: Fewest) -> tuple[str, ...]:
    """Return how few places do, what one less would reach, and what the present ones do."""
    enough, less, present, asked = found.enough, found.one_less, found.present, f"{100 * found.share:g} %"
    surely = "reaches" if enough.total == 1 else "reach"
    surely += "" if enough.verdict == "reaches it" else " on average"
    said = [
        f"{count_of(enough.total, 'place')} {surely} {asked} of what endless buffers would give: "
        f"{split_in_words(gaps, enough.split)} make {_percent(enough)} of it."
    ]
    if enough.verdict != "reaches it":
        said.append(
            f"It takes more replications to be sure; {count_of(found.sure.total, 'place')}, "
            f"{split_in_words(gaps, found.sure.split)}, surely reach it: {_percent(found.sure)}."
            if found.sure is not None
            else "It takes more replications to be sure, here and with a few places more."
        )
    if less is not None:
        best = f"With one place less the best found, {split_in_words(gaps, less.split)},"
        if less.verdict == "falls short":
            said.append(f"{best} falls short: {_percent(less)}.")
        else:
            said.append(f"{best} probably falls short, but the data can't tell: {_percent(less)}.")
    told = {reached.split for reached in (enough, less, found.sure) if reached is not None}
    if present.split not in told:
        how = {"reaches it": "reach it", "falls short": "fall short"}.get(present.verdict, "may or may not")
        said.append(
            f"The present {count_of(present.total, 'place')}, {split_in_words(gaps, present.split)}, {how}: "
            f"{_percent(present)}."
        )
    return tuple(said)


def split_in_words(gaps: Sequence[BufferGap], split: Split) -> str:
    """Return places with the names of their buffers, such as ``3 at lane and 1 at bank``."""
    return listed([f"{places} at {gap.buffer}" for gap, places in zip(gaps, split, strict=True)])


def stuck_sentences(gaps: Sequence[BufferGap], stuck: dict[Split, str]) -> Iterator[str]:
    """Yield a caution for each split with which the line came to a stand for good."""
    for split, why in stuck.items():
        yield f"With {split_in_words(gaps, split)} the line comes to a stand for good: {why}"


def _figures(split: Split) -> str:
    return "-".join(map(str, split))


def _percent(found: Reached) -> str:
    share = found.share
    row = Row("", "", "", "share", share.mean, share.low, share.high, share.half_width, share.sd, share.n, "")
    return f"{with_span(row, scale=100)} %"


def _bounds(row: Row, figure: Measure) -> str:
    if row.low is None or row.high is None or row.mean is None:
        return "no interval"
    return f"{signed_span(row)} {figure.words()[2]}"


def _mean(step: PlaceStep | None) -> float | None:
    return None if step is None else step.gain.mean
