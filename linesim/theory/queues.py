"""Steady state of single queues: closed forms for waiting before one station or one crew."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Queue:
    """Long-run means of a queue.

    Attributes:
        chance_to_wait: Chance that an arrival finds every place of work taken.
        waiting: Mean number that wait.
        inside: Mean number that wait or are served.
        wait: Mean wait of those let in, in the unit of time of the rates.
        stay: Mean time from arrival to departure of those let in.
        refused: Share of arrivals that are turned away.
        accepted_rate: Arrivals let in per unit of time.
    """

    chance_to_wait: float
    waiting: float
    inside: float
    wait: float
    stay: float
    refused: float
    accepted_rate: float


def _check(arrival_rate: float, service_rate: float, places: int = 1) -> float:
    if not (arrival_rate > 0 and service_rate > 0 and places >= 1):
        raise ValueError(
            f"rates must be > 0 and places >= 1, got {arrival_rate}, {service_rate} and {places}"
        )
    return arrival_rate / (places * service_rate)


def _unbounded(load: float) -> None:
    if load >= 1:
        raise ValueError(f"load {load:.6g} is not below 1: the queue grows without end")


def many_stations(arrival_rate: float, service_rate: float, stations: int = 1) -> Queue:
    """Return the M/M/c queue: Poisson arrivals, exponential service, endless room (Erlang C).

    Args:
        arrival_rate: Arrivals per unit of time, > 0.
        service_rate: Services per unit of time and station, > 0.
        stations: Parallel stations, >= 1.

    Raises:
        ValueError: If the load is not below 1.

    Examples:
        >>> round(many_stations(0.8, 1).inside, 6)
        4.0
    """
    load = _check(arrival_rate, service_rate, stations)
    _unbounded(load)
    offered = arrival_rate / service_rate
    lost = 1.0  # Erlang B, station by station
    for c in range(1, stations + 1):
        lost = offered * lost / (c + offered * lost)
    chance = lost / (1 - load * (1 - lost))
    waiting = chance * load / (1 - load)
    wait = waiting / arrival_rate
    return Queue(chance, waiting, waiting + offered, wait, wait + 1 / service_rate, 0.0, arrival_rate)


def stay_quantile(arrival_rate: float, service_rate: float, p: float) -> float:
    """Return the time that a share ``p`` of jobs does not exceed from arrival to departure, M/M/1."""
    _unbounded(_check(arrival_rate, service_rate))
    return -math.log1p(-p) / (service_rate - arrival_rate)


def any_service(arrival_rate: float, mean_service: float, cv: float) -> Queue:
    """Return the M/G/1 queue: Poisson arrivals, service with the given mean and spread.

    Args:
        arrival_rate: Arrivals per unit of time, > 0.
        mean_service: Mean service time, > 0.
        cv: Standard deviation of the service time over its mean, >= 0.

    Notes:
        Pollaczek and Khinchine: ``wait = load * mean * (1 + cv**2) / (2 * (1 - load))``.
    """
    load = _check(arrival_rate, 1 / mean_service)
    _unbounded(load)
    wait = load * mean_service * (1 + cv**2) / (2 * (1 - load))
    stay = wait + mean_service
    return Queue(load, arrival_rate * wait, arrival_rate * stay, wait, stay, 0.0, arrival_rate)


def limited_room(arrival_rate: float, service_rate: float, room: int) -> Queue:
    """Return the M/M/1/K queue: at most ``room`` inside, the one in service counted; others are refused.

    Args:
        arrival_rate: Arrivals per unit of time, > 0.
        service_rate: Services per unit of time, > 0.
        room: Most jobs inside, >= 1.
    """
    ratio = _check(arrival_rate, service_rate, 1)
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
    _unbounded(_check(arrival_rate, service_rate))
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
