"""The answer of `rebalance` in sentences."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from linesim.answers.measure import Measure
from linesim.answers.wording import (
    change_from,
    change_in_words,
    count_of,
    draws_in_words,
    listed,
    number,
)
from linesim.questions.rebalance.movable import Movable, MovesCandidate, why_not

if TYPE_CHECKING:
    from linesim.questions.rebalance.study import MovesGain


def sentences_of(
    measure: Measure,
    matters: float,
    gains: Sequence[MovesGain],
    lead: MovesGain,
    found: Sequence[MovesCandidate],
    above_now: float,
    movable: Movable,
    stuck: Mapping[str, str],
    confidence: float,
) -> tuple[str, ...]:
    """Return the answer, the moves that pay first."""
    said = [f"{_moved(one)}: {change_from(one.gain, measure)}." for one in gains]
    if not any(one.gain.sign == measure.sign for one in gains):
        said.insert(0, f"No move surely brings anything in {measure.label}.")
    said += [_steps(gains, measure)] if len(gains) > 1 else []
    said.append(_paper(gains, found, above_now))
    said.append(_chosen(gains, found, measure, matters, confidence))
    said += [f"With {name} the line comes to a stand for good: {why}" for name, why in stuck.items()]
    said.append(draws_in_words(lead.gain))
    free, stays = len(movable.free), len(movable.stays)
    kept = f" {count_of(stays, 'task')} cannot move. {why_not(movable)}" if stays else ""
    said.append(f"{count_of(free, 'task')} of {len(movable.tasks)} may move.{kept}")
    return tuple(filter(None, said))


def _moved(one: MovesGain) -> str:
    count, name = one.best.count, one.best.name
    return f"The best move, {name}" if count == 1 else f"The best {count} moves, {name}"


def _steps(gains: Sequence[MovesGain], measure: Measure) -> str:
    """Return up to how many moves each further one surely brings more."""
    last = gains[0]
    for one in gains[1:]:
        if one.step is None or one.step.sign != measure.sign:
            break
        last = one
    following = [one for one in gains if one.best.count > last.best.count]
    if not following:
        return "Each further move surely brings more than those before it."
    step = following[0].step
    assert step is not None
    if step.verdict == "the same":
        return f"More than {count_of(last.best.count, 'move')} bring nothing more."
    return (
        f"Whether to go beyond {count_of(last.best.count, 'move')}, the data can't tell: the best "
        f"{following[0].best.count} against the best {last.best.count}, {change_in_words(step, measure)}."
        if not step.sign
        else f"More than {count_of(last.best.count, 'move')} bring less: {change_in_words(step, measure)}."
    )


def _paper(gains: Sequence[MovesGain], found: Sequence[MovesCandidate], above_now: float) -> str:
    parts = listed(
        [f"{number(one.best.above_s, 1)} s with {count_of(one.best.count, 'move')}" for one in gains]
    )
    text = (
        f"On paper {number(above_now, 1)} person-seconds of work a job do not fit what stations and crews "
        f"can do now, and {parts}."
    )
    other = []
    for one in gains:
        alike = [candidate for candidate in found if candidate.count == one.best.count]
        first = min(alike, key=lambda candidate: candidate.above_s)
        if first.above_s < one.best.above_s - 0.05:
            other.append(f"{first.name} ({number(first.above_s, 1)} s)")
    return f"{text} Paper alone would choose {listed(other)}." if other else text


def _chosen(
    gains: Sequence[MovesGain],
    found: Sequence[MovesCandidate],
    measure: Measure,
    matters: float,
    confidence: float,
) -> str:
    open_ones = [one for one in gains if not one.is_sure]
    head = (
        f"{count_of(len(found), 'candidate')}, those with the least such work of each number of moves, were "
        "simulated over common draws"
    )
    amount = f"{matters:g} {measure.label}"
    if not open_ones:
        return (
            f"{head}: with {100 * confidence:g} % confidence none of them is better than the best of as many "
            f"moves by {amount} or more."
        )
    level = [f"{one.best.name} from {listed(one.level, 'or')}" for one in open_ones]
    return f"{head}; by {amount} or more the data can't tell {'; '.join(level)}."
