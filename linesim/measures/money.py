"""What a shift brings in money: the one definition that every study, page and command reads."""

from __future__ import annotations

from collections.abc import Iterator

from linesim.ledger.ledger import Ledger
from linesim.ledger.shifts import shifts_a_day_and_week
from linesim.measures.stops import own_minutes
from linesim.measures.value import SEGMENT, Value, share
from linesim.plan.plan import Plan


def money(plan: Plan, ledger: Ledger) -> Iterator[Value]:
    """Yield net money a shift and a week, and its parts a shift: jobs, less own stops, people and equipment.

    A part without a price has no row, and without the margin of a job there is no sum. Jobs are those of
    whole shifts, as in `jobs_per_shift`; what a section only passes on costs nothing, so that one event is
    paid once.
    """
    prices = plan.prices
    if prices is None:
        return
    made = share(int(ledger.window_jobs.sum()), len(ledger.window_jobs))
    parts = {
        "jobs": _times(prices.margin, made),
        "stops": _times(prices.stop_minute, own_minutes(plan, ledger), sign=-1),
        "people": _times(prices.people, 1, sign=-1),
        "equipment": _times(prices.equipment, 1, sign=-1),
    }
    priced = zip(parts, (prices.margin, prices.stop_minute, prices.people, prices.equipment), strict=True)
    named = {part: parts[part] for part, price in priced if price is not None}
    unit = f"{prices.currency}/shift"
    if prices.margin is not None:
        given = [value for value in named.values() if value is not None]
        net = sum(given) if len(given) == len(named) else None
        yield Value("net_money", SEGMENT, "", unit, net)
        _, week = shifts_a_day_and_week(plan)
        a_week = None if net is None else week * net
        yield Value("net_money_per_week", SEGMENT, "", f"{prices.currency}/week", a_week)
    for part, value in named.items():
        yield Value("net_money", SEGMENT, part, unit, value)


def _times(price: float | None, amount: float | None, *, sign: int = 1) -> float | None:
    return None if price is None or amount is None else sign * price * amount
