"""`screen`: which of many factors matter, in few runs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import TYPE_CHECKING, Any, Unpack

from linesim.scenario.toml import shown_value
from linesim.stats import confused_pairs, interaction, joint_confidence, main_effects
from linesim.stats.factorial import Runs
from linesim.studies.answer import Answer
from linesim.studies.asked import Asked, asked, main_figure
from linesim.studies.cases import run_cases
from linesim.studies.cautions import cautions_on
from linesim.studies.figures import count_of
from linesim.studies.how import How
from linesim.studies.sweeps.effects import Effect, effect_from, responses
from linesim.studies.sweeps.sentences import ranked
from linesim.studies.sweeps.tables import effects_table, measures_table, paths_of
from linesim.studies.varying import Factor, Point, cases_of, factors_of, two_level
from linesim.studies.verdicts import in_words, sign_of

if TYPE_CHECKING:
    from linesim.plan.arrays import FloatArray
    from linesim.scenario import Scenario


@dataclass(frozen=True, slots=True)
class Screening(Answer):
    """What matters among many factors.

    Attributes:
        figure: The figure that decides.
        runs: Levels of the factors in each run, -1 low and 1 high, shape ``(runs, factors)``.
        points: The runs by name.
        effects: What each factor does from its low to its high value, the largest first.
        interactions: What pairs do together, the largest first: half the difference between the effect of one
            with the other high and with the other low. Pairs that the design cannot tell apart share a row.
    """

    figure: Asked
    runs: Runs
    points: tuple[Point, ...]
    effects: tuple[Effect, ...]
    interactions: tuple[Effect, ...]


def screen(
    scenario: Scenario,
    vary: Mapping[str, Sequence[Any]] | Sequence[Factor],
    *,
    on: str | None = None,
    replications: int | None = None,
    seed: int | None = None,
    confidence: float = 0.95,
    file: str = "",
    **how: Unpack[How],
) -> Screening:
    """Find out which of many factors matter, in a two-level fractional design with fold-over.

    Args:
        scenario: The line.
        vary: Up to 20 factors, each with a low and a high value: ``{"crew.cab.people": [4, 6]}``.
        on: The figure that decides; None means jobs per shift, or per hour where no shift is whole.
        replications: How many of each run; None takes what the scenario says.
        seed: Seed of all draws; None takes what the scenario says.
        confidence: Confidence with which all main effects hold together, and likewise all interactions.
        file: Name of the scenario's file, for the answer to carry.
        how: How replications are run, such as ``workers=4``; see `linesim.studies.how.How`.

    Raises:
        WrongQuestionError: If a factor has not two values, or there are none or too many.
        ScenarioError: If a run is no line.
        LineStuck: If a line can no longer move.
    """
    wanted = None if on is None else asked(on)
    factors = factors_of(vary)
    design, points = two_level(factors)
    runs = run_cases(cases_of(scenario, points), replications=replications, seed=seed, **how)
    figure = main_figure(runs, wanted)
    table = responses(runs, [point.name for point in points], figure)
    effects = _main(factors, design, table, confidence)
    pairs = _pairs(factors, design, table, confidence)
    return Screening(
        study="screen",
        sentences=_sentences(figure, factors, design, effects, pairs, confidence),
        tables_=(
            effects_table(effects, says="What each factor does from its low to its high value."),
            effects_table(pairs, "interactions", "What pairs of factors do together, beyond the sum."),
            measures_table(runs, points, figure, confidence=confidence, everything=False),
        ),
        cautions=cautions_on(paths_of(points)),
        card=runs.card(confidence, file=file),
        figure=figure,
        runs=design,
        points=points,
        effects=effects,
        interactions=pairs,
    )


def _main(
    factors: Sequence[Factor], design: Runs, table: FloatArray, confidence: float
) -> tuple[Effect, ...]:
    alone = joint_confidence(confidence, len(factors))
    found = []
    for factor, effect in zip(factors, main_effects(design, table, alone), strict=True):
        low, high = (shown_value(value) for value in factor.values)
        found.append(effect_from(factor.name, low, high, effect, len(factors), "two-level contrast"))
    return tuple(sorted(found, key=lambda effect: -abs(effect.effect)))


def _pairs(
    factors: Sequence[Factor], design: Runs, table: FloatArray, confidence: float
) -> tuple[Effect, ...]:
    mixed = confused_pairs(design)
    apart = set(combinations(range(len(factors)), 2)) - {pair for group in mixed for pair in group}
    groups = sorted([*mixed, *((pair,) for pair in apart)])
    alone = joint_confidence(confidence, max(1, len(groups)))
    found = []
    for group in groups:
        name = " or ".join(f"{factors[a].name} × {factors[b].name}" for a, b in group)
        contrast = interaction(design, table, *group[0], alone)
        how = "two-level contrast" if len(group) == 1 else f"two-level contrast, {len(group)} pairs mixed"
        found.append(effect_from(name, "apart", "together", contrast, len(groups), how))
    return tuple(sorted(found, key=lambda effect: -abs(effect.effect)))


def _sentences(
    figure: Asked,
    factors: Sequence[Factor],
    design: Runs,
    effects: Sequence[Effect],
    pairs: Sequence[Effect],
    confidence: float,
) -> tuple[str, ...]:
    matters = any(_is_sure(effect, figure) for effect in effects)
    if matters:
        said = [f"What matters for {figure.label}, the largest first:"]
    else:
        said = [f"No factor surely matters for {figure.label} within these ranges."]
    said += ranked(figure, effects, "from low to high")
    sure = [pair for pair in pairs if _is_sure(pair, figure)]
    if sure:
        first = sure[0]
        who = f"One or more of {first.factor}" if " or " in first.factor else first.factor
        said.append(
            f"Not only the sum: {who}: {in_words(first.as_row(figure), figure)} when both are high or both "
            "are low than when only one is. The effects above are averages over the other factors."
        )
    elif pairs and pairs[0].low is not None:
        said.append("No pair of factors surely does more or less together than the sum of both.")
    whole = len(design) == 2 ** len(factors)
    kind = "all combinations" if whole else "a two-level fraction with its mirror image"
    mixed = "." if whole else ", but pairs may be mixed with each other, as named."
    said.append(
        f"{count_of(len(design), 'run')} of {count_of(len(factors), 'factor')}, {kind}: every effect is an "
        f"average over all runs, no factor's effect is mixed with that of a pair{mixed}"
    )
    if effects[0].low is not None:
        said.append(
            f"These {len(effects)} effects hold together with {100 * confidence:g} % confidence, each by "
            f"itself with {100 * effects[0].confidence:.4g} %."
        )
    return tuple(said)


def _is_sure(effect: Effect, figure: Asked) -> bool:
    return sign_of(effect.as_row(figure)) != 0
