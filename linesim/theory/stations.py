"""Single stations in the long run: queues, repair crews, breakdowns, passes until good."""

from __future__ import annotations

import math
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


def check_rates(arrival_rate: float, service_rate: float, places: int = 1) -> float:
    """Return the load of a queue; ValueError where a rate or a number of places is none."""
    if not (arrival_rate > 0 and service_rate > 0 and places >= 1):
        raise ValueError(
            f"rates must be > 0 and places >= 1, got {arrival_rate}, {service_rate} and {places}"
        )
    return arrival_rate / (places * service_rate)


def refuse_overload(load: float) -> None:
    """Raise ValueError where a queue with room for all would grow without end."""
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
    load = check_rates(arrival_rate, service_rate, stations)
    refuse_overload(load)
    offered = arrival_rate / service_rate
    lost = 1.0  # Erlang B, station by station
    for c in range(1, stations + 1):
        lost = offered * lost / (c + offered * lost)
    chance = lost / (1 - load * (1 - lost))
    waiting = chance * load / (1 - load)
    wait = waiting / arrival_rate
    return Queue(chance, waiting, waiting + offered, wait, wait + 1 / service_rate, 0.0, arrival_rate)


def any_service(arrival_rate: float, mean_service: float, cv: float) -> Queue:
    """Return the M/G/1 queue: Poisson arrivals, service with the given mean and spread.

    Args:
        arrival_rate: Arrivals per unit of time, > 0.
        mean_service: Mean service time, > 0.
        cv: Standard deviation of the service time over its mean, >= 0.

    Notes:
        Pollaczek and Khinchine: ``wait = load * mean * (1 + cv**2) / (2 * (1 - load))``.
    """
    load = check_rates(arrival_rate, 1 / mean_service)
    refuse_overload(load)
    wait = load * mean_service * (1 + cv**2) / (2 * (1 - load))
    stay = wait + mean_service
    return Queue(load, arrival_rate * wait, arrival_rate * stay, wait, stay, 0.0, arrival_rate)


@dataclass(frozen=True, slots=True)
class RepairCrews:
    """Long-run figures of machines and their repair crews.

    Attributes:
        availability: Mean share of machines that are up.
        waiting: Mean number of machines that wait for a crew.
        crew_use: Mean share of crews at work.
        repairs_rate: Repairs per unit of time, all machines together.
        wait: Mean wait of a failed machine for a crew.
    """

    availability: float
    waiting: float
    crew_use: float
    repairs_rate: float
    wait: float


def repair_crews(machines: int, crews: int, mean_up: float, mean_repair: float) -> RepairCrews:
    """Return machines with exponential up and repair times, and too few crews to repair all at once.

    The same sums hold for operators who share tools: up is their own work, repair the use of the tool.

    Args:
        machines: How many machines, >= 1.
        crews: How many crews, >= 1; each repairs one machine at a time.
        mean_up: Mean time between repair and next failure, > 0.
        mean_repair: Mean repair time, > 0.

    Notes:
        Finite-source queue, C. Palm (1947).

    Examples:
        Two operators, 40 s of own work, 20 s at one tool; the tool is busy 60 % of the time:

        >>> round(repair_crews(2, 1, 40, 20).crew_use, 6)
        0.6
    """
    if machines < 1 or crews < 1 or not (mean_up > 0 and mean_repair > 0):
        raise ValueError(
            f"need machines, crews >= 1 and times > 0, got {machines}, {crews}, {mean_up}, {mean_repair}"
        )
    weights = [1.0]
    for down in range(1, machines + 1):
        weights.append(weights[-1] * (machines - down + 1) / min(down, crews) * mean_repair / mean_up)
    shares = [w / math.fsum(weights) for w in weights]
    up = math.fsum((machines - d) * p for d, p in enumerate(shares))
    waiting = math.fsum(max(0, d - crews) * p for d, p in enumerate(shares))
    at_work = math.fsum(min(d, crews) * p for d, p in enumerate(shares))
    rate = up / mean_up
    return RepairCrews(up / machines, waiting, at_work / crews, rate, waiting / rate)


def availability(mean_up: float, mean_repair: float) -> float:
    """Return the long-run share of time that a machine is up: ``mean_up / (mean_up + mean_repair)``."""
    if not (mean_up > 0 and mean_repair >= 0):
        raise ValueError(f"mean_up must be > 0 and mean_repair >= 0, got {mean_up} and {mean_repair}")
    return 1.0 if math.isinf(mean_up) else mean_up / (mean_up + mean_repair)


@dataclass(frozen=True, slots=True)
class Passes:
    """Passes per job: mean, variance, and the share of jobs scrapped after the last allowed one."""

    mean: float
    variance: float
    scrapped: float


def passes_until_good(fails: float, max_passes: int | None = None) -> Passes:
    """Return how often a job passes a step that fails with chance ``fails`` each time.

    Args:
        fails: Chance that a pass fails, 0 <= fails < 1, independently.
        max_passes: Passes after which the job is scrapped, >= 1; ``None``: never.

    Examples:
        >>> round(passes_until_good(0.2, 3).mean, 6)
        1.24
    """
    if not 0 <= fails < 1 or (max_passes is not None and max_passes < 1):
        raise ValueError(f"need 0 <= fails < 1 and max_passes >= 1, got {fails} and {max_passes}")
    if max_passes is None:
        return Passes(1 / (1 - fails), fails / (1 - fails) ** 2, 0.0)
    at_least = [fails**k for k in range(max_passes)]  # chance of more than k passes
    mean = math.fsum(at_least)
    square = math.fsum((2 * k + 1) * p for k, p in enumerate(at_least))
    return Passes(mean, square - mean**2, fails**max_passes)
