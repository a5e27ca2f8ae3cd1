"""The answer of `sequence`: its tables, how they are read, and its sentences."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from linesim.answers.document import Chart, Part, View
from linesim.answers.table import Column, Table
from linesim.answers.wording import (
    change_from,
    count_of,
    draws_in_words,
    listed,
    number,
    text,
)
from linesim.draws.spacing import violations
from linesim.questions.decision import money_table, money_views, split_in_words

if TYPE_CHECKING:
    from linesim.questions.sequence.study import OrderCandidate, OrderFound

_FLAT = "before after mean=gain low high half_width n=replications method confidence comparisons verdict"
SHOWN = 15  #: Places of the list that a terminal shows.


def tables_of(found: OrderFound) -> tuple[Table, ...]:
    """Return the tables of an answer: rules, gains, candidates, the list, drift, money."""
    search, best, came = found.search, found.best, found.candidates[0]
    kept = [violations([search.orders[i] for i in one.numbers], search.rules) for one in (came, best)]
    rules = Table.of(
        "rules",
        (Column("rule"), Column("at_most", "count", head="at most"), Column("in_any", "count", head="in any"),
         Column("orders", "count"), Column("broken_before", "count", head="broken as it came"),
         Column("broken", "count", head="broken then"), Column("first", head="at places")),
        [{"rule": rule.name, "at_most": rule.at_most, "in_any": rule.in_any, "orders": now.jobs,
          "broken_before": was.broken, "broken": now.broken,
          "first": ", ".join(str(place + 1) for place in now.first)}
         for rule, was, now in zip(search.rules, *kept, strict=True)],
        "Full windows of the list that break a spacing rule, and the places at which the first ten begin.",
    )  # fmt: skip
    gains = Table.of(
        "gains",
        (Column("against"), Column("case", head="order"), Column("measure", "measure"), Column("unit"),
         Column("gain", "change", flat=_FLAT, faces=("before", "after", "mean=adds", "interval", "verdict"))),
        [{"against": other, "case": best.name, "measure": found.measure, "gain": gain}
         for other, gain in found.gains.items()],
        "The order that brought most against others, paired over common draws.",
    )  # fmt: skip
    candidates = Table.of(
        "candidates",
        (Column("case", head="order"), Column("broken", "count", head="broken"),
         Column("overload_s", "number", head="over, s"),
         Column("moved", "count", head="moved"), Column("furthest", "count", head="moved by"),
         Column("measure", "measure"), Column("mean", "estimate", head=found.measure.label),
         Column("chosen")),
        [{"case": one.name, "broken": one.broken, "overload_s": one.overload_s,
          "moved": sum(map(bool, one.far)), "furthest": max(one.far), "measure": found.measure,
          "mean": found.runner.estimate(one.name, found.measure, found.confidence)
          if one.name in found.runner.runs.names and one.name not in found.runner.stuck else None,
          "chosen": _chosen(found, one)} for one in found.candidates],
        "Every order that was looked at: its rules, what people cannot do on paper, and what it makes.",
    )  # fmt: skip
    sequence = Table.of(
        "sequence",
        (Column("place", "count"), Column("came", "count"), Column("due", "count"), Column("model"),
         Column("options")),
        [{"place": place + 1, "came": i + 1, "due": found.orders.due[i] + 1,
          "model": found.orders.texts[i].partition("+")[0],
          "options": ";".join(found.orders.texts[i].split("+")[1:])} for place, i in enumerate(best.numbers)],
        "The list in the order that brought most, with the place that each order came at and is due at.",
    )  # fmt: skip
    both = np.array([came.numbers, best.numbers])
    drift = Table.of(
        "drift",
        (Column("who"), Column("kind"), Column("before_s", "number", head="as it came, s"),
         Column("after_s", "number", head="then, s")),
        [{"who": team.name, "kind": team.kind, "before_s": float(before), "after_s": float(after)}
         for team in search.teams for before, after in [team.overload(both)]],
        "Work of a list that people cannot do within their windows, in person-seconds, on paper.",
        keys=("kind", "who"),
    )  # fmt: skip
    worth = {best.name: found.money.amounts} if found.money else {}
    money = money_table(worth, "order", "the list as it came")
    return rules, gains, candidates, sequence, drift, money


def _chosen(found: OrderFound, one: OrderCandidate) -> str:
    if one is found.best:
        return "best"
    if not one.is_allowed:
        return "moves too far"
    if one.broken > found.best.broken:
        return "breaks rules"
    if one.name in found.runner.stuck:
        return "stands"
    return "can't tell" if one.name in found.level else ""


def parts_of(found: OrderFound, tables: Sequence[Table]) -> tuple[Part, ...]:
    """Return how the tables are read: gains drawn, then candidates, rules, drift, money, the list."""
    rules, gains, candidates, sequence, drift, money = tables
    label, name = found.measure.label, found.best.name
    view = View("gains", f"{name} against other orders: {label}", (gains.columns[0], gains.columns[-1]))
    changes = drift.places(lambda row: bool(row["before_s"]) or bool(row["after_s"]))
    return (
        Chart("forest", "gains", "One row an order, paired over common draws.", view, "gain",
              "against {against}", f"more {label}"),
        View("candidates", "Every order that was looked at",
             tuple(c for c in candidates.columns if c.name not in ("measure", "moved"))),
        View("rules", "Spacing rules", rules.columns),
        View("drift", "Who drifts past the window, on paper", drift.columns, changes),
        *money_views(money),
        View("sequence", "The list in this order", sequence.columns, most=SHOWN),
    )  # fmt: skip


def sentences_of(found: OrderFound, rules: Table) -> tuple[str, ...]:
    """Return the answer in sentences, what the order brings first."""
    best, came, measure = found.best, found.candidates[0], found.measure
    said = [
        f"The order {best.name!r} against {other!r}: {change_from(gain, measure)}."
        for other, gain in found.gains.items()
    ]
    against = found.gains.get(came.name)
    if against is None or against.sign != measure.sign:
        told = "more" if measure.more_is_better else "less"
        said.insert(
            0, f"No order that was looked at has surely {told} {measure.label} than the list as it came."
        )
    if found.money and found.money.net:
        split = split_in_words(found.money.amounts)
        told = f"That is worth {text(found.money.net)} a shift against the list as it came"
        said.append(f"{told}: {split}." if split else f"{told}.")
    moved = sum(map(bool, best.far))
    said.append(
        f"{moved} of {count_of(len(found.orders.texts), 'order')} change their place, by up to "
        f"{count_of(max(best.far), 'place')}."
        if moved
        else "Every order stands where it is due."
    )
    said += _rules_in_words(found, rules)
    if best.overload_s or came.overload_s:
        said.append(
            f"On paper people cannot do {number(best.overload_s, 0)} person-seconds of the list's work "
            f"within their windows, and {number(came.overload_s, 0)} as it came."
        )
    if found.level:
        said.append(
            f"By {found.matters:g} {measure.label} or more the data can't tell it from "
            f"{listed(found.level, 'or')}."
        )
    for name, why in found.runner.stuck.items():
        said.append(f"With the order {name!r} the line comes to a stand for good: {why}")
    said += [draws_in_words(gain) for gain in found.gains.values()][:1]
    return tuple(filter(None, said))


def _rules_in_words(found: OrderFound, rules: Table) -> list[str]:
    """Return which rules are broken, and whether they have to be."""
    if not len(rules):
        return []
    broken = [f"{row['rule']} in {count_of(int(str(row['broken'])), 'window')}" for row in rules
              if row["broken"]]  # fmt: skip
    before = count_of(found.candidates[0].broken, "window")
    if not broken:
        return [f"All spacing rules are kept; the list as it came breaks them in {before}."]
    said = [f"Spacing rules are broken: {listed(broken)}; the list as it came breaks them in {before}."]
    if found.rules.why:
        return [*said, f"No order of this list keeps them all: {found.rules.why}."]
    return [*said, "Whether an order of this list keeps them all is not known."]
