"""`doubt`: whether what nobody measured could turn the answer."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from linesim.answers.document import Chart, Document, Part, View
from linesim.answers.measure import Measure
from linesim.answers.table import BESIDE_CHANGE, Column, Table
from linesim.answers.values import Change, Estimate
from linesim.answers.wording import Value, change_in_words, count_of, listed, text
from linesim.errors import WrongQuestionError
from linesim.questions.alternatives import Alternative, the_alternative
from linesim.questions.cautions import cautions_on, few_compared
from linesim.questions.changes import changes_between
from linesim.questions.decision import decision_between
from linesim.questions.doubt import Doubt
from linesim.questions.doubt.inputs import DEFAULT_RANGE, MOST_SINGLE, Doubtful, by_station, doubtful_in
from linesim.questions.doubt.moves import (
    BASE,
    BETTER,
    CLOSES,
    FLIPS,
    OPENS,
    STAYS,
    WORSE,
    Decision,
    InputMove,
    RangeEnd,
    cases_of_doubt,
    decision_on,
    end_of,
    reach,
    worse_and_better,
)
from linesim.runs.case_runner import estimate_of
from linesim.runs.cost import RunCost
from linesim.runs.select import main_figure
from linesim.scenario import Scenario
from linesim.scenario.replace import NOTHING, named_after, path_of

MOST_NAMED = 3


def _sentences(
    moves: Sequence[InputMove],
    together: Sequence[RangeEnd],
    measure: Measure,
    level: Estimate,
    decision: Decision | None,
    base: tuple[int, Estimate] | None,
) -> tuple[str, ...]:
    """Return the answer: what becomes of the decision, then what moves the output most."""
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
        what = f"As it is, the line makes {text(base)} jobs a shift"
        plan = f"the plan of {decision.target:g}"
        if verdict:
            return f"{what}: {plan} is {'made' if verdict > 0 else 'missed'} on average."
        return f"{what}: whether {plan} is made on average, the data can't tell."
    assert isinstance(base, Change)
    said, which = change_in_words(base, decision.measure), f"the alternative ({decision.alternative}) is"
    if verdict:
        return f"As it is, {which} {'better' if verdict > 0 else 'worse'}: {said}."
    return f"As it is, whether {which} better, the data {said}."


def _decided(moves: Sequence[InputMove]) -> str:
    n, every = len(moves), count_of(len(moves), "doubtful input")
    turning = [one for one in moves if FLIPS in one.fates]
    opening = [one for one in moves if OPENS in one.fates and FLIPS not in one.fates]
    closing = [one for one in moves if CLOSES in one.fates]
    if turning:
        more = f"; {count_of(len(opening), 'other makes', 'others make')} it doubtful" if opening else ""
        return f"Of {every}, {len(turning)} can turn that{more}."
    if opening:
        many = f"{len(opening)} of {n} doubtful inputs" if n > 1 else "the one doubtful input"
        return f"No doubtful input surely turns that, but with {many} at an end the data can't tell any more."
    if closing:
        return f"{len(closing)} of {every} would settle it at one end."
    if all(one.fates == (STAYS,) for one in moves):
        which = f"None of {every} turns" if n > 1 else "The one doubtful input does not turn"
        return f"{which} that, at either end."
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
    first = [move.input.name for move in moves if {FLIPS, OPENS} & set(move.fates)][:MOST_NAMED]
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
    said = [*few_compared(replications)]
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


TOLD = 10  #: Replications, if the scenario has as many and nobody asks for others.
MOST_SHOWN = 20  #: Inputs that a terminal shows.


def study(asked: Doubt, scenario: Scenario) -> Document:
    """Return what becomes of output and decision with each input at either end, then with all of them."""
    wanted, confidence = asked.wanted, asked.confidence
    tried, inputs = _tried(asked), _inputs(asked, scenario)
    alone = {f"{one.name} {end}": one.changes(end) for one in inputs for end in ("low", "high")}
    runs = asked.run(cases_of_doubt(scenario, {BASE: NOTHING, **alone}, tried), usual=TOLD)
    measure = main_figure(runs, wanted)
    count = len(alone) + (2 if len(inputs) > 1 else 0)
    target = scenario.target.jobs_per_shift if runs.row(BASE, "jobs_per_shift").mean is not None else None
    decision = decision_on(target, measure, tried.name, confidence, count + 1)

    def end(name: str) -> RangeEnd:
        return end_of(runs, name, measure, decision, confidence, count)

    moves = [InputMove(one, end(f"{one.name} low"), end(f"{one.name} high")) for one in inputs]
    together: tuple[RangeEnd, ...] = ()
    if len(inputs) > 1:
        extremes = dict(zip((WORSE, BETTER), worse_and_better(moves, measure), strict=True))
        runs = runs.add(list(cases_of_doubt(scenario, extremes, tried)))
        together = tuple(map(end, extremes))
    ranked = sorted(
        moves, key=lambda one: (FLIPS not in one.fates, OPENS not in one.fates, not one.tells, -one.swing)
    )
    level = estimate_of(runs, BASE, measure, confidence)
    base = None if decision is None else decision.look(runs, BASE)
    tables = (_inputs_table(ranked, measure), _together_table(level, together))
    changed = scenario.replace(tried.changes, add=tried.add) if tried.name else scenario
    return asked.told(
        asked.card(runs), _sentences(ranked, together, measure, level, decision, base), tables,
        _parts(*tables, measure, is_decided=decision is not None),
        (
            *standing_cautions(ranked, len(runs.numbers)),
            *cautions_on(change.path for change in changes_between(scenario, changed)),
        ),
        decision=decision_between(runs.only([BASE]), [], measure, confidence),
    )  # fmt: skip


def steps(asked: Doubt, scenario: Scenario, first: RunCost) -> RunCost:
    """Return the cost with all inputs at their worse and better ends, which follow from the rest."""
    more = 0 if len(_inputs(asked, scenario)) == 1 else 4 if _tried(asked).name else 2
    more *= first.replications // first.cases
    return first.between((first.least or first.replications) + more, first.replications + more)


def _tried(asked: Doubt) -> Alternative:
    """Return the alternative that is asked about; without a name if there is none."""
    given = {path_of(place): value for place, value in (asked.alternative or {}).items()}
    found = the_alternative(asked.tries) or Alternative("", given, {}, ())
    changed = {**found.add, **found.changes}
    return found._replace(name=found.name or (named_after(changed) if changed else ""))


def _inputs(asked: Doubt, scenario: Scenario) -> tuple[Doubtful, ...]:
    if asked.each and asked.by_station:
        raise WrongQuestionError("--each and --by-station exclude each other; give one of them.")
    every = tuple(item for item in doubtful_in(scenario) if item.weight == "guess" or not asked.guesses)
    if not every:
        raise WrongQuestionError(
            'no input is marked as a guess (`confidence = "guess"`); leave --guesses out to doubt estimates.'
            if asked.guesses
            else "every input is marked as measured, so there is nothing to doubt."
        )
    inputs = tuple(i for i in every if not asked.only or any(_begins(i.name, part) for part in asked.only))
    if missing := [part for part in asked.only if not any(_begins(item.name, part) for item in every)]:
        raise WrongQuestionError(
            f"no input that nobody measured begins with {missing[0]!r}; there are "
            f"{', '.join(item.name for item in every[:8])}{' and others' if len(every) > 8 else ''}."
        )
    is_joined = asked.by_station or (not asked.each and len(inputs) > MOST_SINGLE)
    return by_station(inputs) if is_joined else inputs


def _begins(name: str, part: str) -> bool:
    return name == part or name.startswith(f"{part.rstrip('.')}.")


def _inputs_table(moves: Sequence[InputMove], measure: Measure) -> Table:
    """Return what each input does at both ends, in the order of rank."""
    rows: list[dict[str, Value]] = [
        {
            "rank": rank, "input": move.input.name, "weight": move.input.weight, "what": move.input.what,
            "inputs": move.input.count, "unmarked": move.input.silent, "usual_range": move.input.is_default,
            "factors": " to ".join(f"{factor:g}" for factor in move.input.ends),
            "low_factor": move.input.ends[0], "high_factor": move.input.ends[1], "measure": measure,
            "low": move.low.change, "high": move.high.change,
            "decision": ", ".join(move.fates),
            "low_decision": move.low.fate or None, "high_decision": move.high.fate or None,
        }
        for rank, move in enumerate(moves, start=1)
    ]  # fmt: skip
    unit = moves[0].low.change.unit
    columns = (
        Column("rank", "count"), Column("input"), Column("weight"), Column("what"), Column("inputs", "count"),
        Column("unmarked", "count"), Column("usual_range"), Column("factors", head="times"),
        Column("low_factor", "number"), Column("high_factor", "number"), Column("measure", "measure"),
        *(Column(end, "change", head=f"at the {end} end", unit=unit, flat=BESIDE_CHANGE, faces=("both",))
          for end in ("low", "high")),
        Column("decision"), Column("low_decision"), Column("high_decision"),
    )  # fmt: skip
    says = "The line with one input at either end of its range, minus the line as it is."
    return Table.of("inputs", columns, rows, says, keys=("input",))


def _together_table(level: Estimate, together: Sequence[RangeEnd]) -> Table:
    """Return the line as it is, and with every input at its worse and its better end at once."""
    rows: list[dict[str, Value]] = [{"case": BASE, "level": level, "change": None, "decision": None}]
    rows += [
        {
            "case": one.case,
            "change": one.change,
            "decision": one.fate or None,
            "level": Estimate(
                one.change.after, n=one.change.n, unit=one.change.unit, currency=one.change.currency
            ),
        }
        for one in together
    ]
    columns = (
        Column("case", head="all at once"),
        Column("level", "estimate", head="makes", unit=level.unit,
               flat="mean low high n=replications method"),
        Column("change", "change", unit=level.unit, flat=BESIDE_CHANGE), Column("decision"),
    )  # fmt: skip
    return Table.of("together", columns, rows, "The line as it is, and with all inputs moved at once.")


def _parts(inputs: Table, together: Table, measure: Measure, *, is_decided: bool) -> list[Part]:
    decision = ("decision",) if is_decided else ()
    view = View(
        "inputs", f"Input by input, against the line as it is: {measure.label}",
        inputs.pick("input", "factors", "low", "high", *decision), most=MOST_SHOWN,
        note="times: the factors on the input at its low and high end; brackets hold the intervals.",
    )  # fmt: skip
    says = "One input after the other, the one that turns or moves most first, paired over common draws."
    unit = f"more {measure.label}"
    parts: list[Part] = [Chart("forest", "doubt", says, view, "low high", "{input}", unit, is_ordered=True)]
    if len(together) > 1:
        parts.append(View("together", "Every input at its worse end at once, and at its better end",
                          together.pick("case", "level", "change", *decision)))  # fmt: skip
    return parts
