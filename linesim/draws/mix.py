"""What each job is: its model and its options, drawn from shares and take rates."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache, reduce
from operator import or_

import numpy as np
from numpy.typing import NDArray

from linesim.draws.streams import Streams
from linesim.plan.columns import name_key
from linesim.plan.orders import PlannedOrder, PlannedOrders
from linesim.plan.tables import FloatArray

BLOCK = 256  #: Orders drawn at a time; changes speed, never an order.
_KEPT = 2  #: Blocks of orders remembered.
_KNOWN = 4096  #: Combinations remembered.


class Mix:
    """The orders that customers place, before anyone arranges them.

    Job ``j`` takes one number from the stream of the models and one from the stream of every option
    and every package, each keyed by its name. It takes an option where the number is below the take
    rate for its model. So another take rate, or an option more, changes no model, no other option and
    no task time; and a rate that rises adds jobs with the option and takes none away.

    An option may be taken alone or as part of a package: its share is then higher than its own take
    rate. What an option needs comes along. Then exclusions are applied pair by pair, the pair whose
    first option stands first in the file first: of two options on one job that exclude each other,
    the one first in the file stays; the other goes, and with it the packages it came in and the
    options that need it. The share of an option that an earlier one excludes is still its take rate: it
    is drawn among the jobs that are left, at a rate that is higher by as much (`rates_among_excluded`).

    Args:
        orders: The order book.
        streams: The streams of the replication.
    """

    __slots__ = ("_blocks", "_choices", "_streams")

    def __init__(self, orders: PlannedOrders, streams: Streams) -> None:
        self._choices = choices_of(orders)
        self._streams = streams
        self._blocks: dict[int, list[PlannedOrder]] = {}

    def __getitem__(self, job: int) -> PlannedOrder:
        """Return what job ``job`` (counted from 0) was ordered as."""
        return self.orders(job, 1)[0]

    def orders(self, first: int, n: int) -> list[PlannedOrder]:
        """Return what ``n`` jobs from job ``first`` on were ordered as."""
        whole: list[PlannedOrder] = []
        for b in range(first // BLOCK, (first + n - 1) // BLOCK + 1):
            if b not in self._blocks:
                if len(self._blocks) >= _KEPT:
                    del self._blocks[next(iter(self._blocks))]
                luck = self._streams.numbers(self._choices.names, b * BLOCK, BLOCK)
                self._blocks[b] = self._choices.orders(luck)
            whole += self._blocks[b]
        skipped = first % BLOCK
        return whole[skipped : skipped + n]


class Choices:
    """What an order book leaves open, worked out once for all replications.

    Args:
        orders: The order book.
    """

    __slots__ = ("_brings", "_edges", "_excludes", "_known", "_rates", "names")

    def __init__(self, orders: PlannedOrders) -> None:
        chosen = [("option", name) for name in orders.option_names]
        chosen += [("package", package.name) for package in orders.packages]
        #: What keys the streams: that of the models, then those of the choices.
        self.names = [name_key(kind, name) for kind, name in [("model", ""), *chosen]]
        rates = [*rates_among_excluded(orders), *(package.take for package in orders.packages)]
        self._rates = np.array(rates, dtype=np.float64).reshape(len(rates), len(orders.model_share))
        self._edges = np.cumsum(orders.model_share)[:-1] / sum(orders.model_share)
        needs = _closures(len(orders.option_names), orders.needs)
        #: The options that come with each choice.
        self._brings = [*needs, *(_union(needs[o] for o in package.options) for package in orders.packages)]
        self._excludes = sorted((min(pair), max(pair)) for pair in orders.excludes)
        self._known: dict[bytes, PlannedOrder] = {}  #: by model and what was taken

    def orders(self, luck: FloatArray) -> list[PlannedOrder]:
        """Return the orders of some jobs by their numbers, shape ``(names, jobs)``."""
        models: NDArray[np.int64] = np.searchsorted(self._edges, luck[0], side="right").astype(np.int64)
        taken = (luck[1:] < self._rates[:, models]).T
        alike = np.concatenate([models[:, None].view(np.uint8), np.packbits(taken, axis=1)], axis=1)
        if len(self._known) > _KNOWN:
            self._known.clear()
        found = []
        for row, key in enumerate(alike.view(f"V{alike.shape[1]}").ravel().tolist()):
            order = self._known.get(key)
            if order is None:  # few combinations occur, and each is resolved once
                options = self.resolve(np.flatnonzero(taken[row]).tolist())
                order = self._known[key] = PlannedOrder(int(models[row]), options)
            found.append(order)
        return found

    def resolve(self, choices: Iterable[int]) -> int:
        """Return as bits the options that stand after needs and exclusions.

        Args:
            choices: What was taken: options by index, then packages counted on from the last option.
        """
        sets = [self._brings[choice] for choice in choices]
        for first, second in self._excludes:
            both = 1 << first | 1 << second
            if _union(sets) & both == both:
                sets = [options for options in sets if not options >> second & 1]
        return _union(sets)


@lru_cache(maxsize=8)
def choices_of(orders: PlannedOrders) -> Choices:
    """Return what an order book leaves open."""
    return Choices(orders)


def rates_among_excluded(orders: PlannedOrders) -> list[tuple[float, ...]]:
    """Return for each option the chance, by model, with which it is drawn where nothing earlier excludes it.

    With takes a and b of two options that exclude each other, the second is drawn with b / (1 - a) and
    stands on (1 - a) of the jobs, which gives b. Earlier options that exclude each other too take
    the sum of their shares from it; those that do not are taken as independent.
    """
    pairs = {frozenset(pair) for pair in orders.excludes}
    shares: list[list[float]] = []
    rates: list[tuple[float, ...]] = []
    for option, takes in enumerate(orders.option_take):
        earlier = [o for o in range(option) if frozenset((o, option)) in pairs]
        is_one_group = all(frozenset((a, b)) in pairs for a in earlier for b in earlier if a < b)
        left = []
        for model in range(len(takes)):
            taken = [shares[o][model] for o in earlier]
            left.append(1.0 - sum(taken) if is_one_group else float(np.prod([1.0 - t for t in taken])))
        rates.append(
            tuple(min(1.0, take / free) if free > 0 else 0.0 for take, free in zip(takes, left, strict=True))
        )
        shares.append([rate * max(0.0, free) for rate, free in zip(rates[-1], left, strict=True)])
    return rates


def _union(sets: Iterable[int]) -> int:
    """Return the options that are in any of ``sets``, as bits."""
    return reduce(or_, sets, 0)


def _closures(n_options: int, needs: tuple[tuple[int, int], ...]) -> list[int]:
    """Return for each option, as bits, itself and all that it brings along, directly or not."""
    bits = [1 << option for option in range(n_options)]
    for _ in range(n_options):
        for option, brings in needs:
            bits[option] |= bits[brings]
    return bits
