"""`screen`: which of many factors matter, in a two-level fractional design with fold-over."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

from linesim.answers.document import Document, Part
from linesim.answers.measure import Measure
from linesim.answers.table import Table
from linesim.answers.wording import change_in_words, count_of, together
from linesim.questions.cautions import cautions_on
from linesim.questions.screen import Screen
from linesim.questions.sweep.effects import (
    Effect,
    Responses,
    cases_table,
    effects_chart,
    effects_table,
    paths_of,
    ranked,
)
from linesim.questions.varying import BASE, Factor, cases_of, factors_of, two_level
from linesim.runs.cases import Case
from linesim.runs.select import main_figure
from linesim.scenario import Scenario
from linesim.stats.comparisons import joint_confidence
from linesim.stats.designs import Runs, confused_pairs, interaction, main_effects

MOST_PAIRS = 6  #: Pairs that a terminal shows.


def study(asked: Screen, scenario: Scenario) -> Document:
    """Return what each factor does from its low to its high value, and what pairs do together."""
    wanted = asked.wanted
    factors = factors_of(asked.vary)
    design, points = two_level(factors)
    # Money of stops is counted against the line as it is, see `Cost`; no other measure needs that line.
    base = [Case(BASE, scenario)] if wanted is not None and wanted.measure == "net_money" else []
    runs = asked.run([*base, *cases_of(scenario, points)])
    measure = main_figure(runs, wanted)
    seen = Responses.of(runs, points, measure, asked.confidence)
    effects, pairs = _main(factors, design, seen), _pairs(factors, design, seen)
    tables = (
        effects_table(effects, "effects", "What each factor does from its low to its high value.", seen.unit),
        effects_table(pairs, "interactions", "What pairs of factors do together, beyond the sum.", seen.unit),
        cases_table(runs, points, measure, confidence=asked.confidence),
    )
    return asked.told(
        asked.card(runs), _sentences(factors, design, effects, pairs, seen), tables,
        _charts(*tables[:2], measure), cautions_on(paths_of(points)),
    )  # fmt: skip


def _charts(effects: Table, pairs: Table, measure: Measure) -> list[Part]:
    """Return what each factor does, and what pairs do together, as drawings."""
    found: list[Part] = [
        effects_chart(effects, f"What matters for {measure.label}, from low to high", measure)
    ]
    if len(pairs):
        mixed = any(" or " in str(name) for name in pairs.column("factor"))
        note = "“or”: pairs that this design cannot tell apart share a row." if mixed else ""
        title = "What two do together, beyond the sum"
        found.append(effects_chart(pairs, title, measure, of_pairs=True, most=MOST_PAIRS, note=note))
    return found


def _main(factors: Sequence[Factor], design: Runs, seen: Responses) -> list[Effect]:
    count = len(factors)
    found = [
        seen.effect(factor.name, factor.values, effect, count, "two-level contrast")
        for factor, effect in zip(
            factors, main_effects(design, seen.table, joint_confidence(seen.confidence, count)), strict=True
        )
    ]
    return sorted(found, key=lambda one: -abs(one.effect.mean or 0.0))


def _pairs(factors: Sequence[Factor], design: Runs, seen: Responses) -> list[Effect]:
    """Return half the difference between the effect of one with the other high and with the other low."""
    mixed = confused_pairs(design)
    apart = set(combinations(range(len(factors)), 2)) - {pair for group in mixed for pair in group}
    groups = sorted([*mixed, *((pair,) for pair in apart)])
    alone = joint_confidence(seen.confidence, max(1, len(groups)))
    found = []
    for group in groups:
        name = " or ".join(f"{factors[a].name} × {factors[b].name}" for a, b in group)
        contrast = interaction(design, seen.table, *group[0], alone)
        how = "two-level contrast" if len(group) == 1 else f"two-level contrast, {len(group)} pairs mixed"
        found.append(seen.effect(name, ("apart", "together"), contrast, len(groups), how))
    return sorted(found, key=lambda one: -abs(one.effect.mean or 0.0))


def _sentences(
    factors: Sequence[Factor],
    design: Runs,
    effects: Sequence[Effect],
    pairs: Sequence[Effect],
    seen: Responses,
) -> list[str]:
    measure = seen.measure
    said = [f"No factor surely matters for {measure.label} within these ranges."]
    if any(one.effect.sign for one in effects):
        said = [f"What matters for {measure.label}, the largest first:"]
    said += ranked(measure, effects, "from low to high")
    sure = [pair for pair in pairs if pair.effect.sign]
    if sure:
        first = sure[0]
        who = f"One or more of {first.factor}" if " or " in first.factor else first.factor
        said.append(
            f"Not only the sum: {who}: {change_in_words(first.effect, measure)} when both are high or both "
            "are low than when only one is. The effects above are averages over the other factors."
        )
    elif pairs and pairs[0].effect.low is not None:
        said.append("No pair of factors surely does more or less together than the sum of both.")
    whole = len(design) == 2 ** len(factors)
    kind = "all combinations" if whole else "a two-level fraction with its mirror image"
    mixed = "." if whole else ", but pairs may be mixed with each other, as named."
    said.append(
        f"{count_of(len(design), 'run')} of {count_of(len(factors), 'factor')}, {kind}: every effect is an "
        f"average over all runs, no factor's effect is mixed with that of a pair{mixed}"
    )
    if effects[0].effect.low is not None:
        said.append(together(f"These {len(effects)} effects", seen.confidence, len(effects)))
    return said
