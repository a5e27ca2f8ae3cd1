"""What a study of doubt says in plain sentences, and what to know about every one."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from linesim.answers.measure import Measure
from linesim.answers.values import Change, Estimate
from linesim.answers.wording import change_in_words, count_of, listed, text
from linesim.questions.cautions import FEW
from linesim.questions.doubt.inputs import DEFAULT_RANGE
from linesim.questions.doubt.moves import CLOSES, FLIPS, OPENS, STAYS, Decision, InputMove, RangeEnd, reach

MOST_NAMED = 3


def sentences(
    moves: Sequence[InputMove],
    together: Sequence[RangeEnd],
    measure: Measure,
    level: Estimate,
    decision: Decision | None,
    base: tuple[int, Estimate] | None,
) -> tuple[str, ...]:
    """Return the answer: what becomes of the decision, then what moves the output most.

    Args:
        moves: Each input at both ends, in the order of rank.
        together: All of them at their worse and at their better end; empty for a single one.
        measure: The measure that counts.
        level: What the line makes of it with the inputs as they are.
        decision: What is decided; None if nothing is.
        base: The verdict with the inputs as they are, and the figure behind it.
    """
    said: list[str] = []
    if decision is None or base is None:
        said.append(
            f"The line makes {text(level)} {measure.words()[2]} with the inputs as they are. No decision was "
            "named: give the scenario a [target], or an alternative."
        )
    else:
        said.append(f"{_stands(decision, *base)} {_decided(moves)}")
        said += _turning(moves, decision)
    said += [*_ranked(moves, measure), *_together(together, measure, decision), _ranges(moves)]
    return tuple(said)


def _stands(decision: Decision, verdict: int, base: Estimate) -> str:
    """Return the decision with the inputs as they are."""
    if decision.target is not None:
        makes = f"the line makes {text(base)} jobs a shift"
        plan = f"the plan of {decision.target:g}"
        if verdict:
            return f"As it is, {makes}: {plan} is {'made' if verdict > 0 else 'missed'} on average."
        return f"As it is, {makes}: whether {plan} is made on average, the data can't tell."
    assert isinstance(base, Change)
    said = change_in_words(base, decision.measure)
    if verdict:
        better = "better" if verdict > 0 else "worse"
        return f"As it is, the alternative ({decision.alternative}) is {better}: {said}."
    return f"As it is, whether the alternative ({decision.alternative}) is better, the data {said}."


def _decided(moves: Sequence[InputMove]) -> str:
    turning = [move for move in moves if move.turns]
    opening = [move for move in moves if move.opens and not move.turns]
    closing = [move for move in moves if any(end.fate == CLOSES for _, end in move.ends)]
    n = len(moves)
    if turning:
        more = f"; {count_of(len(opening), 'other makes', 'others make')} it doubtful" if opening else ""
        return f"Of {count_of(n, 'doubtful input')}, {len(turning)} can turn that{more}."
    if opening:
        many = f"{len(opening)} of {n} doubtful inputs" if n > 1 else "the one doubtful input"
        return f"No doubtful input surely turns that, but with {many} at an end the data can't tell any more."
    if closing:
        return f"{len(closing)} of {count_of(n, 'doubtful input')} would settle it at one end."
    if all(end.fate == STAYS for move in moves for _, end in move.ends):
        return (
            f"None of {count_of(n, 'doubtful input')} turns that, at either end."
            if n > 1
            else ("The one doubtful input does not turn that, at either end.")
        )
    return "No doubtful input settles it, at either end."


def _turning(moves: Sequence[InputMove], decision: Decision) -> Iterator[str]:
    """Yield how the inputs turn the decision that do, or make it doubtful."""
    for fate, says in ((FLIPS, "turns it"), (OPENS, "makes it doubtful")):
        parts = [
            f"{move.input.name} at {factor:g} times ({_outcome(end, decision)})"
            for move in moves
            for factor, end in move.ends
            if end.fate == fate
        ]
        if not parts:
            continue
        more = f" and {len(parts) - MOST_NAMED} more" if len(parts) > MOST_NAMED else ""
        yield f"What {says}: {'; '.join(parts[:MOST_NAMED])}{more}."
    first = [move.input.name for move in moves if move.turns or move.opens][:MOST_NAMED]
    if first:
        yield f"Measure first: {listed(first)}."


def _outcome(end: RangeEnd, decision: Decision) -> str:
    assert end.decided is not None
    if isinstance(end.decided, Change):
        return change_in_words(end.decided, decision.measure)
    return f"{text(end.decided)} jobs a shift"


def _ranked(moves: Sequence[InputMove], measure: Measure) -> Iterator[str]:
    """Yield what moves the output most, and how little the rest can."""
    telling = sorted((move for move in moves if move.tells), key=lambda move: -move.swing)
    for move in telling[:MOST_NAMED]:
        parts = [f"at {at:g} times {change_in_words(end.change, measure)}" for at, end in move.ends]
        yield f"{move.input.name} ({move.input.weight}): {'; '.join(parts)}."
    rest = len(telling) - MOST_NAMED
    if rest > 0:
        yield f"{count_of(rest, 'other input moves', 'other inputs move')} the output surely, but less."
    yield from _silent([move for move in moves if not move.tells], bool(telling), measure)


def _silent(moves: Sequence[InputMove], others_tell: bool, measure: Measure) -> Iterator[str]:
    """Yield how much the inputs can move the output that do not surely move it."""
    if not moves:
        return
    bounds = [move.most for move in moves if move.most is not None]
    if len(bounds) < len(moves):
        yield "One replication has no interval, so nothing surely moves the output."
        return
    which = count_of(len(moves), "other input") if others_tell else "No doubtful input"
    most = max(bounds, key=reach)
    if reach(most) == 0:
        verb = "change" if len(moves) > 1 and others_tell else "changes"
        yield f"{which} {verb} {'nothing' if others_tell else 'anything'} in any replication."
        return
    limit = f"{text(Estimate(reach(most), unit=most.unit, currency=most.currency))} {measure.words()[2]}"
    if others_tell:
        yield f"{which} {'moves' if len(moves) == 1 else 'move'} it by at most {limit}, if at all."
    else:
        yield f"No doubtful input surely moves the output; none by more than {limit}."


def _together(together: Sequence[RangeEnd], measure: Measure, decision: Decision | None) -> Iterator[str]:
    if not together:
        return
    worse, better = together
    said = (
        f"Everything at its worse end at once: {change_in_words(worse.change, measure)}; everything at its "
        f"better end: {change_in_words(better.change, measure)}. So much these ranges allow; it is not what "
        "is likely."
    )
    if decision is not None and FLIPS not in (worse.fate, better.fate) and worse.change.sign == 0:
        said += " Not even that surely changes anything."
    yield said


def _ranges(moves: Sequence[InputMove]) -> str:
    usual = sum(move.input.count for move in moves if move.input.is_default)
    every = sum(move.input.count for move in moves)
    guess, estimated = (f"{low:g} to {high:g} times" for low, high in DEFAULT_RANGE.values())
    if not usual:
        return "All of them carry a range of their own."
    which = (
        f"{usual} of {every} inputs {'carry' if usual > 1 else 'carries'}"
        if every > 1
        else "The input carries"
    )
    return (
        f"{which} no range: a guess was taken from {guess} what it is, an estimate from {estimated}. "
        "A `range` of your own replaces that."
    )


def standing_cautions(moves: Sequence[InputMove], replications: int) -> tuple[str, ...]:
    """Return what to know about every study of doubt."""
    said = []
    if 1 < replications < FEW:
        said.append(
            f"{replications} replications are few where so many comparisons hold together: their intervals "
            f"are wide for that reason alone, and {FEW} or more tell much more."
        )
    if len(moves) > 1:
        said.append(
            "Inputs were moved one at a time: no interactions seen. Two that each change little may matter "
            "together; the worse and better ends of all at once bound that only if each moves the line to "
            "one side."
        )
    if any(move.input.count > 1 for move in moves):
        said.append(
            "Estimated times of a station were moved together, as if one method sheet erred to one side. Ask "
            "about each alone with --each (`each=True`)."
        )
    silent, every = (sum(one) for one in zip(*((m.input.silent, m.input.count) for m in moves), strict=True))
    if silent:
        which = "says nothing of itself and counts as an estimate"
        if silent > 1:
            which = "say nothing of themselves and count as estimates"
        said.append(
            f"{silent} of {count_of(every, 'input')} {which}; write "
            '`confidence = "measured"` beside what was measured, and it stays as it is.'
        )
    return tuple(said)
