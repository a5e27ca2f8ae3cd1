"""What a study of doubt says in plain sentences."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from linesim.answers.wording import count_of, listed, number
from linesim.questions.doubt.decision import CLOSES, FLIPS, OPENS, Decision
from linesim.questions.doubt.inputs import DEFAULT_RANGE
from linesim.questions.doubt.moves import Move, RangeEnd
from linesim.questions.figures import with_span
from linesim.questions.precision_text import FEW
from linesim.questions.verdicts import in_words, sign_of
from linesim.runs.main_measure import Measure
from linesim.runs.rows import Row

if TYPE_CHECKING:
    from linesim.scenario import Scenario

MOST_NAMED = 3


def sentences(
    scenario: Scenario,
    moves: Sequence[Move],
    together: Sequence[RangeEnd],
    figure: Measure,
    level: Row,
    decision: Decision | None,
    verdict: int | None,
    base: Row | None,
) -> tuple[str, ...]:
    """Return the answer: what becomes of the decision, then what moves the output most."""
    said: list[str] = []
    if decision is None or verdict is None or base is None:
        said.append(
            f"The line makes {with_span(level, scale=figure.scale)} {figure.words()[2]} with the inputs as "
            "they are. No decision was named: give the scenario a [target], or an alternative."
        )
    else:
        said.append(f"{_stands(decision, verdict, base)} {_decided(moves)}")
        said += _turning(moves, decision)
    said += _ranked(moves, figure)
    said += _together(together, figure, decision)
    said.append(_ranges(moves))
    return tuple(said)


def _stands(decision: Decision, verdict: int, base: Row) -> str:
    """Return the decision with the inputs as they are."""
    figure = decision.figure
    if decision.target is not None:
        makes = f"the line makes {with_span(base)} jobs a shift"
        plan = f"the plan of {decision.target:g}"
        if verdict:
            return f"As it is, {makes}: {plan} is {'made' if verdict > 0 else 'missed'} on average."
        return f"As it is, {makes}: whether {plan} is made on average, the data can't tell."
    text = in_words(base, figure)
    if verdict:
        better = "better" if verdict > 0 else "worse"
        return f"As it is, the alternative ({decision.alternative}) is {better}: {text}."
    return f"As it is, whether the alternative ({decision.alternative}) is better, the data {text}."


def _decided(moves: Sequence[Move]) -> str:
    turning = [move for move in moves if move.turns]
    opening = [move for move in moves if move.opens and not move.turns]
    closing = [move for move in moves if any(end.fate == CLOSES for end in move.ends)]
    n = len(moves)
    if turning:
        more = f"; {count_of(len(opening), 'other makes', 'others make')} it doubtful" if opening else ""
        return f"Of {count_of(n, 'doubtful input')}, {len(turning)} can turn that{more}."
    if opening:
        many = f"{len(opening)} of {n} doubtful inputs" if n > 1 else "the one doubtful input"
        return f"No doubtful input surely turns that, but with {many} at an end the data can't tell any more."
    if closing:
        return f"{len(closing)} of {count_of(n, 'doubtful input')} would settle it at one end."
    if all(end.fate == "stays" for move in moves for end in move.ends):
        return (
            f"None of {count_of(n, 'doubtful input')} turns that, at either end."
            if n > 1
            else ("The one doubtful input does not turn that, at either end.")
        )
    return "No doubtful input settles it, at either end."


def _turning(moves: Sequence[Move], decision: Decision) -> Iterator[str]:
    """Yield how the inputs turn the decision that do, or make it doubtful."""
    for fate, says in ((FLIPS, "turns it"), (OPENS, "makes it doubtful"), (CLOSES, "settles it")):
        found = [(move, end) for move in moves for end in move.ends if end.fate == fate]
        if fate == CLOSES or not found:
            continue
        parts = [f"{_at(move, end)} ({_outcome(end, decision)})" for move, end in found[:MOST_NAMED]]
        more = f" and {len(found) - MOST_NAMED} more" if len(found) > MOST_NAMED else ""
        yield f"What {says}: {'; '.join(parts)}{more}."
    first = [move.input.name for move in moves if move.turns or move.opens][:MOST_NAMED]
    if first:
        yield f"Measure first: {listed(first)}."


def _outcome(end: RangeEnd, decision: Decision) -> str:
    assert end.decided is not None
    if decision.target is not None:
        return f"{with_span(end.decided)} jobs a shift"
    return in_words(end.decided, decision.figure)


def _at(move: Move, end: RangeEnd) -> str:
    ends = move.input.ends
    factor = f"{end.factor:g}" if end.factor is not None else f"{ends[0]:g} to {ends[1]:g}"
    return f"{move.input.name} at {factor} times"


def _ranked(moves: Sequence[Move], figure: Measure) -> Iterator[str]:
    """Yield what moves the output most, and how little the rest can."""
    telling = sorted((move for move in moves if move.tells), key=lambda move: -move.swing)
    for move in telling[:MOST_NAMED]:
        parts = [f"at {end.factor:g} times {in_words(end.change, figure)}" for end in move.ends]
        yield f"{move.input.name} ({move.input.weight}): {'; '.join(parts)}."
    rest = len(telling) - MOST_NAMED
    if rest > 0:
        yield f"{count_of(rest, 'other input moves', 'other inputs move')} the output surely, but less."
    yield from _silent([move for move in moves if not move.tells], bool(telling), figure)


def _silent(moves: Sequence[Move], others_tell: bool, figure: Measure) -> Iterator[str]:
    """Yield how much the inputs can move the output that do not surely move it."""
    if not moves:
        return
    bounds = [move.most for move in moves if move.most is not None]
    if len(bounds) < len(moves):
        yield "One replication has no interval, so nothing surely moves the output."
        return
    which = count_of(len(moves), "other input") if others_tell else "No doubtful input"
    if max(bounds) == 0:
        verb = "change" if len(moves) > 1 and others_tell else "changes"
        yield f"{which} {verb} {'nothing' if others_tell else 'anything'} in any replication."
        return
    most = max(bounds) * figure.scale
    limit = f"{number(most, 1 if most < 10 else 0)} {figure.words()[2]}"
    if others_tell:
        yield f"{which} {'moves' if len(moves) == 1 else 'move'} it by at most {limit}, if at all."
    else:
        yield f"No doubtful input surely moves the output; none by more than {limit}."


def _together(together: Sequence[RangeEnd], figure: Measure, decision: Decision | None) -> Iterator[str]:
    if not together:
        return
    worse, better = together
    text = (
        f"Everything at its worse end at once: {in_words(worse.change, figure)}; everything at its better "
        f"end: {in_words(better.change, figure)}. So much these ranges allow; it is not what is likely."
    )
    if decision is not None and FLIPS not in (worse.fate, better.fate) and sign_of(worse.change) == 0:
        text += " Not even that surely changes anything."
    yield text


def _ranges(moves: Sequence[Move]) -> str:
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


def standing_cautions(moves: Sequence[Move], replications: int) -> tuple[str, ...]:
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
            'about each alone with `group="none"` (on the command line --each).'
        )
    said.append(
        "Inputs that carry no `confidence` count as known here. `linesim explain` tells how many times say "
        "nothing of themselves."
    )
    return tuple(said)
