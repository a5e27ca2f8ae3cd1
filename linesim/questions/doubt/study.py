"""`doubt`: whether what nobody measured could turn the answer."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from linesim.answers.document import Chart, Document, Part, View
from linesim.answers.measure import Measure
from linesim.answers.table import BESIDE_CHANGE, Column, Table
from linesim.answers.values import Change, Estimate
from linesim.answers.wording import Value
from linesim.errors import WrongQuestionError
from linesim.questions.alternatives import the_alternative
from linesim.questions.cautions import cautions_on
from linesim.questions.changes import changes_between
from linesim.questions.decision import decision_between
from linesim.questions.doubt import Doubt
from linesim.questions.doubt.inputs import MOST_SINGLE, Doubtful, by_station, doubtful_in
from linesim.questions.doubt.moves import (
    BASE,
    BETTER,
    WORSE,
    InputMove,
    RangeEnd,
    Tried,
    case_of_doubt,
    cases_of_doubt,
    decision_on,
    end_name,
    end_of,
    worse_and_better,
)
from linesim.questions.doubt.sentences import sentences, standing_cautions
from linesim.runs.case_runner import estimate_of
from linesim.runs.cases import run_cases
from linesim.runs.select import main_figure
from linesim.scenario.replace import NOTHING, named_after

if TYPE_CHECKING:
    from linesim.runs.cost import RunCost
    from linesim.scenario import Scenario

TOLD = 10  #: Replications, if the scenario has as many and nobody asks for others.
MOST_SHOWN = 20  #: Inputs that a terminal shows.


def study(asked: Doubt, scenario: Scenario) -> Document:
    """Return what becomes of output and decision with each input at either end, then with all of them."""
    wanted, confidence = asked.wanted, asked.confidence
    tried, inputs = _tried(asked), _inputs(asked, scenario)
    cases = list(cases_of_doubt(scenario, inputs, tried))
    runs = run_cases(cases, replications=asked.replications, usual=TOLD, seed=asked.seed, **asked.how)
    measure = main_figure(runs, wanted)
    count = 2 * len(inputs) + (2 if len(inputs) > 1 else 0)
    target = scenario.target.jobs_per_shift if runs.row(BASE, "jobs_per_shift").mean is not None else None
    decision = decision_on(target, measure, tried.name, confidence, count + 1)

    def end(name: str) -> RangeEnd:
        return end_of(runs, name, measure, decision, confidence, count)

    moves = [InputMove(one, end(end_name(one, "low")), end(end_name(one, "high"))) for one in inputs]
    together: tuple[RangeEnd, ...] = ()
    if len(inputs) > 1:
        extremes = dict(zip((WORSE, BETTER), worse_and_better(moves, measure), strict=True))
        runs = runs.add(
            [case for name, to in extremes.items() for case in case_of_doubt(scenario, name, to, tried)]
        )
        together = tuple(map(end, extremes))
    ranked = sorted(moves, key=lambda move: (not move.turns, not move.opens, not move.tells, -move.swing))
    level = estimate_of(runs, BASE, measure, confidence)
    base = None if decision is None else decision.look(runs, BASE)
    tables = (_inputs_table(ranked, measure), _together_table(level, together))
    changed = scenario.replace(tried.changes, add=tried.add) if tried.name else scenario
    return Document(
        study="doubt",
        sentences=sentences(ranked, together, measure, level, decision, base),
        tables_=tables,
        parts=tuple(_parts(*tables, measure, is_decided=decision is not None)),
        cautions=(
            *standing_cautions(ranked, len(runs.numbers)),
            *cautions_on(change.path for change in changes_between(scenario, changed)),
        ),
        card=runs.card(confidence, file=asked.file),
        asked=asked.echo(),
        decision=decision_between(runs.only([BASE]), [], measure, confidence),
    )


def steps(asked: Doubt, scenario: Scenario, first: RunCost) -> RunCost:
    """Return the cost with all inputs at their worse and better ends, which follow from the rest."""
    more = 0 if len(_inputs(asked, scenario)) == 1 else 4 if _tried(asked).name else 2
    more *= first.replications // first.cases
    return first.between((first.least or first.replications) + more, first.replications + more)


def _tried(asked: Doubt) -> Tried:
    found = the_alternative(asked.tries)
    if found is None:
        changes = asked.alternative or {}
        return Tried(changes, NOTHING, named_after(changes) if changes else "")
    return Tried(found.changes, found.add, found.name or named_after({**found.add, **found.changes}))


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
            "decision": ", ".join(dict.fromkeys(filter(None, (move.low.fate, move.high.fate)))),
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
        {"case": one.case, "level": _level(one.change), "change": one.change, "decision": one.fate or None}
        for one in together
    ]
    columns = (
        Column("case", head="all at once"),
        Column("level", "estimate", head="makes", unit=level.unit,
               flat="mean low high n=replications method"),
        Column("change", "change", unit=level.unit, flat=BESIDE_CHANGE), Column("decision"),
    )  # fmt: skip
    return Table.of("together", columns, rows, "The line as it is, and with all inputs moved at once.")


def _level(change: Change) -> Estimate:
    """Return what the line makes at an end, without an interval of its own."""
    return Estimate(change.after, n=change.n, unit=change.unit, currency=change.currency)


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
