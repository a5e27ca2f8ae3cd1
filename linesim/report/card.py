"""The answer on one screen or one printed side: now and the best choice, plan, money, how sure, cautions."""

from __future__ import annotations

import re
from dataclasses import dataclass
from math import ceil, floor
from types import MappingProxyType
from typing import TYPE_CHECKING, ClassVar

from linesim.answers.readable import in_words
from linesim.answers.wording import interval_text, mean_text, number
from linesim.report.charts.forest import choices_chart

if TYPE_CHECKING:
    from collections.abc import Sequence

    from linesim.answers.decision import CaseChoice, CaseDecision
    from linesim.answers.values import Estimate
    from linesim.report.figure import Figure

_ESTIMATE = "A planning estimate: no proof that people keep the pace, no safety or ergonomics assessment."
_MARKS = MappingProxyType(
    {"better": "▲", "worse": "▼", "the same": "=", "plan: yes": "✓", "plan: no": "✗"}
)  #: Signs of a verdict; of all others a question mark.


@dataclass(frozen=True, slots=True)
class Squares:
    """A share of shifts as a hundred squares.

    Attributes:
        says: The same in words, with its interval.
        full, marked, rest: Outlines of the squares of shifts that make the plan, of those that may or may
            not by the interval, and of the others, as the paths of a drawing.
    """

    says: str
    full: str
    marked: str
    rest: str


@dataclass(frozen=True, slots=True)
class Card:
    """What somebody reads who decides.

    Attributes:
        verdict, mark: The answer in a word or two, and a sign beside it.
        question: What was asked.
        lead: The answer in a sentence.
        unit: What the figures count.
        figures: What is told, the figure, what goes with it.
        plan: Whether the plan is made, in words; empty without one.
        squares: Each line's chance, with what it is called.
        money: Part, amount, interval; net money first.
        chart: The one drawing; None where nothing is to be compared.
        surer: What would make the answer surer.
        cautions: Two lines.
    """

    kind: ClassVar[str] = "card"
    verdict: str
    mark: str
    question: str
    lead: str
    unit: str
    figures: tuple[tuple[str, str, str], ...]
    plan: str
    squares: tuple[tuple[str, Squares], ...]
    money: tuple[tuple[str, str, str], ...]
    chart: Figure | None
    surer: str
    cautions: tuple[str, ...]


def card_of(decision: CaseDecision, question: str, lead: str, cautions: Sequence[str]) -> Card:
    """Return the card of a decision.

    Args:
        decision: What is to be decided.
        question: What was asked, in a reader's words.
        lead: The answer in a sentence.
        cautions: What to look into before acting on it.
    """
    now, best = decision.now, decision.chosen
    figures = [(now.name, mean_text(now.makes), interval_text(now.makes))]
    if best is not None and best.change is not None:
        figures += [
            (in_words(best.name), mean_text(best.makes), interval_text(best.makes)),
            ("change", mean_text(best.change), interval_text(best.change)),
        ]
    verdict = decision.verdict
    shown = [line for line in (now, best) if line is not None and line.met is not None]
    told = best or now
    first = next(iter(cautions), "")
    return Card(
        verdict=verdict,
        mark=_MARKS.get(verdict, "?") if verdict else "",
        question=question,
        lead=lead,
        unit=decision.measure.label,
        figures=tuple(figures),
        plan=_plan(decision),
        squares=tuple((in_words(line.name), squares(line.met)) for line in shown if line.met is not None),
        money=_money(told, is_change=best is not None),
        chart=choices_chart(decision),
        surer=_surer(decision),
        cautions=(
            _ESTIMATE,
            *([_first_sentence(in_words(first))] if first else []),
        ),
    )


def _first_sentence(caution: str) -> str:
    """Return a caution without its further sentences and without the places that it names in brackets."""
    return re.sub(r" \([^()]*\):", ":", caution).partition(". ")[0].rstrip(".") + "."


def squares(met: Estimate) -> Squares:
    """Return a share of shifts as a hundred squares: full ones make the plan, marked ones may or may not."""
    mean, low, high = (None if v is None else 100 * v for v in (met.mean, met.low, met.high))
    n_full = round(mean or 0.0)
    first, last = (n_full, n_full) if low is None or high is None else (floor(low), ceil(high))
    bounds = interval_text(met)
    return Squares(
        f"{chance_in_words(met)} ({mean_text(met)} %{f', {bounds}' if bounds else ''})",
        "".join(_square(i, 0, 9) for i in range(n_full)),
        "".join(_square(i, 3, 3) for i in range(first, last)),
        "".join(_square(i, 0.5, 8) for i in range(n_full, 100)),
    )


def _square(i: int, inset: float, side: float) -> str:
    return f"M{11 * (i % 20) + inset:g} {11 * (i // 20) + inset:g}h{side:g}v{side:g}h-{side:g}z"


def chance_in_words(met: Estimate) -> str:
    """Return a share of shifts as so many in ten.

    Examples:
        >>> from linesim.answers.values import Estimate
        >>> chance_in_words(Estimate(0.33)), chance_in_words(Estimate(0.99)), chance_in_words(Estimate(0.0))
        ('about 3 shifts in 10', 'nearly every shift', 'hardly any shift')
    """
    tenths = round(10 * (met.mean or 0.0))
    if tenths in (0, 10):
        return "nearly every shift" if tenths else "hardly any shift"
    return f"about {tenths} shift{'s' if tenths > 1 else ''} in 10"


def _plan(decision: CaseDecision) -> str:
    makes = decision.makes_plan
    if makes is None or decision.target is None:
        return ""
    said = {"yes": "yes, in most shifts", "no": "no, not in most shifts", "can't tell": "can't tell"}[makes]
    return f"Is the plan of {decision.target:g} made? {said[0].upper()}{said[1:]}."


def _money(told: CaseChoice, *, is_change: bool) -> tuple[tuple[str, str, str], ...]:
    whole = "net money, change" if is_change else "net money"
    return tuple(
        (part or whole, mean_text(found), interval_text(found))
        for part, found in told.money
        if found.mean is not None and not (part and not found.mean and found.is_constant)
    )


def _surer(decision: CaseDecision) -> str:
    told = decision.now if decision.chosen is None else decision.chosen
    n = (told.change or told.makes).n
    if decision.needed is None:
        return "One replication has no interval; 10 or more tell how sure this is." if n < 2 else ""
    label = decision.measure.label
    what = f"{number(decision.matters, 1)} {label} (1 %)"
    more = decision.needed - n
    if decision.chosen is None:
        if more <= 0:
            return f"{n} replications are enough to know it to ±{what}."
        return f"To know it to ±{what} takes about {decision.needed} replications, {more} more."
    if more <= 0:
        return f"{n} replications are enough to show a difference of {what}."
    return f"To show a difference of {what} takes about {decision.needed} replications, {more} more."
