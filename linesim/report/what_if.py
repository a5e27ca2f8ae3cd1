"""Selectors over what was simulated, and the reader's own prices put into means and covariances."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, ClassVar

from linesim.answers.readable import in_words
from linesim.answers.wording import interval_text, mean_text, plain_number
from linesim.report.html import embedded

if TYPE_CHECKING:
    from linesim.answers.decision import CaseChoice, CaseDecision
    from linesim.answers.values import Estimate


@dataclass(frozen=True, slots=True)
class WhatIf:
    """Selectors that show stored answers.

    Attributes:
        data: The answers as JSON that is safe inside a page.
        factors: What can be chosen, with its values and the one to begin with.
        unit: What the bar counts.
        currency: Word of the money, with a comma before it; empty without one.
        margin, wage: Prices to begin with; None where nobody says.
        confidence: Of the intervals.
    """

    kind: ClassVar[str] = "what-if"
    data: str
    factors: tuple[tuple[str, tuple[str, ...], str], ...]
    unit: str
    currency: str
    margin: float | None
    wage: float | None
    confidence: str


def what_if(decision: CaseDecision) -> WhatIf | None:
    """Return the selectors of a decision; None with nothing to choose.

    Where every combination of the inputs was simulated each input is a selector, and they begin with the
    line as it is, if that is among them; else cases are chosen as a whole, the best at first.
    """
    choices = decision.choices
    if not choices or decision.now.makes.mean is None:
        return None
    names = [name for name, _ in choices[0].levels]
    values = {name: tuple(dict.fromkeys(one.levels[k][1] for one in choices)) for k, name in enumerate(names)}
    whole = 1
    for options in values.values():
        whole *= len(options)
    is_grid = bool(names) and whole == len(choices)
    factors: list[tuple[str, tuple[str, ...], str]]
    if is_grid:
        own = next((one for one in choices if one.change and one.change.verdict == "the same"), choices[0])
        factors = [(in_words(name), values[name], level) for name, level in own.levels]
    else:
        best = in_words(decision.best)
        factors = [("choice", tuple(in_words(one.name) for one in choices), best)]
    scale = decision.measure.scale
    ends = [
        value * scale
        for one in (decision.now, *choices)
        for value in (one.makes.low, one.makes.mean, one.makes.high)
        if value is not None
    ]
    target = decision.target if decision.measure.measure == "jobs_per_shift" else None
    span = (min([*ends, *([target] if target else [])]), max([*ends, *([target] if target else [])]))
    data: dict[str, Any] = {
        "factors": [[name, found] for name, found, _ in factors] if is_grid else [],
        "now": _at(decision.now.makes, scale),
        "choices": [_choice(one, scale) for one in choices],
        "span": span,
        "ends": [plain_number(end) for end in span],
        "target": target,
        "currency": decision.currency,
        "margin": decision.margin,
        "wage": decision.wage,
    }
    return WhatIf(
        embedded(data), tuple(factors), decision.measure.label,
        f", {decision.currency}" if decision.currency else "", decision.margin, decision.wage,
        f"{100 * decision.now.makes.confidence:g} %",
    )  # fmt: skip


def _choice(one: CaseChoice, scale: float) -> dict[str, Any]:
    moments, net = one.moments, one.worth()
    change = ["–", ""] if one.change is None else _texts(one.change)
    verdict = "" if one.change is None else one.change.verdict
    return {
        "levels": [level for _, level in one.levels],
        "at": _at(one.makes, scale),
        "makes": _texts(one.makes),
        "change": [change[0], f"{change[1]}{', ' if change[1] and verdict else ''}{verdict}"],
        "met": ["–", "no plan"] if one.met is None else [f"{mean_text(one.met)} %", interval_text(one.met)],
        "net": None if net is None else _texts(net),
        "moments": None
        if moments is None
        else {"means": moments.means, "covariance": moments.covariance, "reach": moments.reach},
    }


def _texts(found: Estimate) -> list[str]:
    return [mean_text(found), interval_text(found)]


def _at(found: Estimate, scale: float) -> list[float | None]:
    return [None if value is None else value * scale for value in (found.mean, found.low, found.high)]
