"""`doubt`: the study."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, Unpack

from linesim.errors import WrongQuestionError
from linesim.questions.answer import Answer
from linesim.questions.cautions import cautions_on
from linesim.questions.changes import changes_between
from linesim.questions.doubt.decision import Decision, decision_on
from linesim.questions.doubt.inputs import MOST_SINGLE, Doubtful, by_station, doubtful_in
from linesim.questions.doubt.moves import (
    BASE,
    BETTER,
    WORSE,
    Move,
    RangeEnd,
    case_of_doubt,
    cases_of_doubt,
    end_name,
    ends_of,
    worse_and_better,
)
from linesim.questions.doubt.sentences import sentences, standing_cautions
from linesim.questions.doubt.tables import inputs_table, together_table
from linesim.runs.cases import run_cases
from linesim.runs.main_measure import Measure, asked, main_figure
from linesim.runs.run_options import How
from linesim.scenario.replace import NOTHING, Changes, named_after

if TYPE_CHECKING:
    from linesim.scenario import Scenario

Group = Literal["auto", "station", "none"]
TOLD = 10  #: Replications, if the scenario has as many and nobody asks for others.


@dataclass(frozen=True, slots=True)
class Doubt(Answer):
    """What the inputs that nobody measured do to the output and to the decision.

    Attributes:
        figure: The figure that counts.
        decision: What is decided; None if the scenario has no plan and no alternative was given.
        verdict: The decision with the inputs as they are: 1, 0 or -1, as in `Decision.look`.
        moves: Each input at both ends, those that turn the decision first, then by the larger change.
        together: Every input at its worse end at once, and at its better end; empty for a single input.
    """

    figure: Measure
    decision: Decision | None
    verdict: int | None
    moves: tuple[Move, ...]
    together: tuple[RangeEnd, ...]

    def move(self, name: str) -> Move:
        """Return what an input does.

        Raises:
            KeyError: If no doubtful input has this name.
        """
        for move in self.moves:
            if move.input.name == name:
                return move
        raise KeyError(f"no doubtful input {name!r}; there are {', '.join(m.input.name for m in self.moves)}")


def doubt(
    scenario: Scenario,
    *,
    alternative: Changes = NOTHING,
    add: Changes = NOTHING,
    only: Sequence[str] = (),
    guesses_only: bool = False,
    group: Group = "auto",
    on: str | None = None,
    replications: int | None = None,
    seed: int | None = None,
    confidence: float = 0.95,
    file: str = "",
    **how: Unpack[How],
) -> Doubt:
    """Say whether what nobody measured could turn the answer.

    Every input marked as a guess or an estimate is moved to its low and its high end, by itself, over
    common draws. Does the output change, and does the decision flip?

    Args:
        scenario: The line; its inputs carry `confidence`, and `range` where somebody would defend other
            ends than the usual ones.
        alternative: Changes: the decision is whether the line with them is better. Without any the
            decision is whether the line makes its plan (`[target]`).
        add: What the alternative adds to the line.
        only: Beginnings of names of inputs, such as ``"station.T6"``; empty means all.
        guesses_only: Leave the estimates as they are.
        group: ``station`` moves the estimated times of a station together, ``none`` every input alone;
            ``auto`` does the former with more than `MOST_SINGLE` inputs.
        on: The figure that counts, such as ``"throughput"``; None means jobs per shift, or jobs per hour
            where the run holds no whole shift.
        replications: How many of each; None takes what the scenario says, at most `TOLD`.
        seed: Seed of all draws; None takes what the scenario says.
        confidence: Confidence with which all changes hold together, and all verdicts.
        file: Name of the scenario's file, for the answer to carry.
        how: How replications are run, such as ``workers=4``; see `linesim.runs.run_options.How`.

    Raises:
        WrongQuestionError: If no such input is marked, or there is no such figure.
        ScenarioError: If the alternative is wrong.
        LineStuck: If a line can no longer move.

    Examples:
        >>> from linesim import load
        >>> doubt(load("line.toml"), alternative={"crew.trim.people": 7}).sentences  # doctest: +SKIP
    """
    wanted = None if on is None else asked(on)
    inputs = _inputs(scenario, only, guesses_only, group)
    cases = list(cases_of_doubt(scenario, inputs, alternative, add))
    runs = run_cases(cases, replications=replications, usual=TOLD, seed=seed, **how)
    figure = main_figure(runs, wanted)
    changes = 2 * len(inputs) + (2 if len(inputs) > 1 else 0)
    called = named_after({**add, **alternative})
    target = scenario.target.jobs_per_shift if runs.row(BASE, "jobs_per_shift").mean is not None else None
    decision = decision_on(target, figure, called, confidence, changes + 1)
    pairs = [(end_name(item, end), f) for item in inputs for end, f in _ends(item)]
    ends = list(ends_of(runs, pairs, figure, decision, confidence, changes))
    moves = [Move(item, ends[2 * i], ends[2 * i + 1]) for i, item in enumerate(inputs)]
    together: tuple[RangeEnd, ...] = ()
    if len(inputs) > 1:
        extremes = zip((WORSE, BETTER), worse_and_better(moves, figure), strict=True)
        more = [case for name, to in extremes for case in case_of_doubt(scenario, name, to, alternative, add)]
        runs = runs.add(more)
        pair: list[tuple[str, float | None]] = [(WORSE, None), (BETTER, None)]
        together = tuple(ends_of(runs, pair, figure, decision, confidence, changes))
    verdict, base = (None, None) if decision is None else decision.look(runs, BASE)
    ranked = tuple(sorted(moves, key=lambda m: (not m.turns, not m.opens, not m.tells, -m.swing)))
    level = runs.row(BASE, *figure, confidence=confidence)
    said = sentences(scenario, ranked, together, figure, level, decision, verdict, base)
    return Doubt(
        study="doubt",
        sentences=said,
        tables_=(inputs_table(ranked), together_table(level, base, together)),
        cautions=(
            *standing_cautions(ranked, len(runs.numbers)),
            *_of_alternative(scenario, alternative, add),
        ),
        card=runs.card(confidence, file=file),
        figure=figure,
        decision=decision,
        verdict=verdict,
        moves=ranked,
        together=together,
    )


def _ends(item: Doubtful) -> tuple[tuple[str, float], tuple[str, float]]:
    return ("low", item.ends[0]), ("high", item.ends[1])


def _inputs(
    scenario: Scenario, only: Sequence[str], guesses_only: bool, group: Group
) -> tuple[Doubtful, ...]:
    every = tuple(item for item in doubtful_in(scenario) if item.weight == "guess" or not guesses_only)
    if not every:
        marked = "a guess" if guesses_only else "a guess or an estimate"
        raise WrongQuestionError(
            f"no input is marked as {marked}, so there is nothing to doubt; write "
            '`confidence = "guess"` or "estimated" beside what nobody measured, and `range = [0.8, 1.3]` '
            "where you know how far off it may be."
        )
    inputs = tuple(i for i in every if not only or any(_begins(i.name, part) for part in only))
    if missing := [part for part in only if not any(_begins(item.name, part) for item in every)]:
        raise WrongQuestionError(
            f"no guessed or estimated input begins with {missing[0]!r}; there are "
            f"{', '.join(item.name for item in every[:8])}{' and others' if len(every) > 8 else ''}."
        )
    if group == "station" or (group == "auto" and len(inputs) > MOST_SINGLE):
        return by_station(inputs)
    return inputs


def _begins(name: str, part: str) -> bool:
    return name == part or name.startswith(f"{part.rstrip('.')}.")


def _of_alternative(scenario: Scenario, changes: Changes, add: Changes) -> tuple[str, ...]:
    if not changes and not add:
        return ()
    return cautions_on(
        change.path for change in changes_between(scenario, scenario.replace(changes, add=add))
    )
