"""Steady state of single queues: closed forms for waiting before one station or one crew."""

from __future__ import annotations

import math
from collections.abc import Callable

from linesim.theory.stations import Queue, check_rates, refuse_overload


def stay_quantile(arrival_rate: float, service_rate: float, p: float) -> float:
    """Return the time that a share ``p`` of jobs does not exceed from arrival to departure, M/M/1."""
    refuse_overload(check_rates(arrival_rate, service_rate))
    return -math.log1p(-p) / (service_rate - arrival_rate)


def limited_room(arrival_rate: float, service_rate: float, room: int) -> Queue:
    """Return the M/M/1/K queue: at most ``room`` inside, the one in service counted; others are refused.

    Args:
        arrival_rate: Arrivals per unit of time, > 0.
        service_rate: Services per unit of time, > 0.
        room: Most jobs inside, >= 1.
    """
    ratio = check_rates(arrival_rate, service_rate, 1)
    if room < 1:
        raise ValueError(f"room must be >= 1, got {room}")
    weights = [ratio**k for k in range(room + 1)]
    shares = [w / sum(weights) for w in weights]
    accepted = arrival_rate * (1 - shares[-1])
    inside = sum(k * p for k, p in enumerate(shares))
    waiting = inside - (1 - shares[0])
    chance = sum(shares[1:-1]) / (1 - shares[-1])
    return Queue(chance, waiting, inside, waiting / accepted, inside / accepted, shares[-1], accepted)


def any_arrivals(gap_transform: Callable[[float], float], arrival_rate: float, service_rate: float) -> Queue:
    """Return the GI/M/1 queue: independent gaps between arrivals, exponential service, one place.

    Args:
        gap_transform: Mean of ``exp(-u * gap)`` as a function of ``u`` >= 0.
        arrival_rate: Arrivals per unit of time, 1 over the mean gap.
        service_rate: Services per unit of time.

    Notes:
        The chance to wait is the root below 1 of ``x = gap_transform(service_rate * (1 - x))``.
    """
    refuse_overload(check_rates(arrival_rate, service_rate))
    low, high = 0.0, 1.0 - 1e-12
    for _ in range(200):  # the difference is > 0 at 0 and < 0 just below 1, with one root between
        middle = (low + high) / 2
        if gap_transform(service_rate * (1 - middle)) > middle:
            low = middle
        else:
            high = middle
    chance = (low + high) / 2
    wait = chance / (service_rate * (1 - chance))
    stay = wait + 1 / service_rate
    return Queue(chance, arrival_rate * wait, arrival_rate * stay, wait, stay, 0.0, arrival_rate)


def repair_bay(takt: float, chance: float, mean_repair: float) -> Queue:
    """Return the wait before a one-place repair bay that a paced line feeds.

    Each job, one every ``takt``, goes to the bay with ``chance``, independently. The gaps are
    geometric numbers of takts: less variable than Poisson, so the wait is shorter.

    Args:
        takt: Time between jobs, > 0.
        chance: Share of jobs sent to the bay, between 0 and 1.
        mean_repair: Mean of the exponential repair time, > 0, in the unit of ``takt``.
    """

    def transform(u: float) -> float:
        once = math.exp(-u * takt)
        return chance * once / (1 - (1 - chance) * once)

    return any_arrivals(transform, chance / takt, 1 / mean_repair)
