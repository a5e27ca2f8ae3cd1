"""Which variants are built, and how often: every combination of model and options with its share."""

from __future__ import annotations

from collections import Counter
from itertools import product

from linesim.draws.mix import Mix, rates_among_excluded
from linesim.draws.streams import Streams
from linesim.plan.orders import PlannedOrder
from linesim.plan.plan import Plan

MOST_CHOICES = 14  #: Up to so many independent choices all combinations are gone through.
SAMPLE = 8192  #: Jobs drawn where there are more.


def variant_shares(plan: Plan) -> tuple[tuple[PlannedOrder, float], ...]:
    """Return every variant with the share of jobs that are built so, the shares summing to 1.

    Exact for a list of orders and for up to `MOST_CHOICES` options and packages that may or may
    not be taken; beyond that, the shares in a drawn sample of `SAMPLE` jobs.
    """
    orders = plan.orders
    if orders.sequence == "listed" and orders.listed:
        counts = Counter(orders.listed)
        return tuple((order, n / len(orders.listed)) for order, n in counts.items())
    mix = Mix(orders, Streams(0, 1))
    rates = [*rates_among_excluded(orders), *(package.take for package in orders.packages)]
    open_choices = max(sum(0 < rate[model] < 1 for rate in rates) for model in range(len(orders.model_names)))
    if open_choices > MOST_CHOICES:
        counts = Counter(mix[job] for job in range(SAMPLE))
        return tuple((order, n / SAMPLE) for order, n in sorted(counts.items(), key=_key))
    shares: dict[PlannedOrder, float] = {}
    whole = sum(orders.model_share)
    for model, share in enumerate(orders.model_share):
        if share <= 0:
            continue
        for taken, chance in _combinations([rate[model] for rate in rates]):
            order = PlannedOrder(model, mix.resolve(taken))
            shares[order] = shares.get(order, 0.0) + share / whole * chance
    return tuple(sorted(shares.items(), key=_key))


def variant_name(plan: Plan, order: PlannedOrder) -> str:
    """Return a variant as text, such as ``cab+plough``."""
    names = [name for o, name in enumerate(plan.orders.option_names) if order.options >> o & 1]
    return "+".join([plan.orders.model_names[order.model], *names])


def _combinations(rates: list[float]) -> list[tuple[list[int], float]]:
    """Return every set of choices with its chance."""
    sets: list[tuple[list[int], float]] = []
    sure = [i for i, rate in enumerate(rates) if rate >= 1]
    open_ones = [i for i, rate in enumerate(rates) if 0 < rate < 1]
    for picks in product((False, True), repeat=len(open_ones)):
        chance = 1.0
        for i, pick in zip(open_ones, picks, strict=True):
            chance *= rates[i] if pick else 1 - rates[i]
        sets.append((sorted([*sure, *(i for i, pick in zip(open_ones, picks, strict=True) if pick)]), chance))
    return sets


def _key(item: tuple[PlannedOrder, float]) -> tuple[int, int]:
    return item[0].model, item[0].options
