"""What each job is: its model and its options, drawn from shares and take rates."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from linesim.draws.streams import Streams
from linesim.plan.orders import PlannedOrder, PlannedOrders

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

    __slots__ = ("_blocks", "_edges", "_known", "_needs", "_orders", "_rates", "_rows", "_sheets")

    def __init__(self, orders: PlannedOrders, streams: Streams) -> None:
        self._orders = orders
        rates = [*rates_among_excluded(orders), *(package.take for package in orders.packages)]
        self._rates = np.array(rates, dtype=np.float64).reshape(len(rates), len(orders.model_share))
        self._rows = streams.block
        self._edges = np.cumsum(orders.model_share)[:-1] / sum(orders.model_share)
        self._needs = _closures(len(orders.option_names), orders.needs)
        choices = [("model", ""), *(("option", name) for name in orders.option_names)]
        choices += [("package", package.name) for package in orders.packages]
        self._sheets = [streams.sheet(kind, name) for kind, name in choices]
        self._blocks: dict[int, list[PlannedOrder]] = {}
        self._known: dict[bytes, PlannedOrder] = {}  #: by model and what was taken

    def __getitem__(self, job: int) -> PlannedOrder:
        """Return what job ``job`` (counted from 0) was ordered as."""
        return self.orders(job, 1)[0]

    def orders(self, first: int, n: int) -> list[PlannedOrder]:
        """Return what ``n`` jobs from job ``first`` on were ordered as."""
        whole: list[PlannedOrder] = []
        for b in range(first // self._rows, (first + n - 1) // self._rows + 1):
            if b not in self._blocks:
                if len(self._blocks) >= _KEPT:
                    del self._blocks[next(iter(self._blocks))]
                self._blocks[b] = self._draw(b)
            whole += self._blocks[b]
        skipped = first % self._rows
        return whole[skipped : skipped + n]

    def _draw(self, b: int) -> list[PlannedOrder]:
        """Return the orders of block ``b``."""
        luck = np.array([sheet.block(b) for sheet in self._sheets])
        models: NDArray[np.int64] = np.searchsorted(self._edges, luck[0], side="right").astype(np.int64)
        taken = (luck[1:] < self._rates[:, models]).T
        alike = np.concatenate([models[:, None].view(np.uint8), np.packbits(taken, axis=1)], axis=1)
        if len(self._known) > _KNOWN:
            self._known.clear()
        block = []
        for row, key in enumerate(alike.view(f"V{alike.shape[1]}").ravel().tolist()):
            order = self._known.get(key)
            if order is None:  # few combinations occur, and each is resolved once
                options = self.resolve(np.flatnonzero(taken[row]).tolist())
                order = self._known[key] = PlannedOrder(int(models[row]), options)
            block.append(order)
        return block

    def resolve(self, choices: list[int]) -> int:
        """Return as bits the options that stand after needs and exclusions.

        Args:
            choices: What was taken: options by index, then packages counted on from the last option.
        """
        n_options = len(self._orders.option_names)
        sets = []
        for choice in choices:
            options = (choice,) if choice < n_options else self._orders.packages[choice - n_options].options
            sets.append(_union([self._needs[option] for option in options]))
        for first, second in sorted((min(pair), max(pair)) for pair in self._orders.excludes):
            both = 1 << first | 1 << second
            if _union(sets) & both == both:
                sets = [options for options in sets if not options >> second & 1]
        return _union(sets)


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


def _union(sets: list[int]) -> int:
    """Return the options that are in any of ``sets``, as bits."""
    union = 0
    for options in sets:
        union |= options
    return union


def _closures(n_options: int, needs: tuple[tuple[int, int], ...]) -> list[int]:
    """Return for each option, as bits, itself and all that it brings along, directly or not."""
    bits = [1 << option for option in range(n_options)]
    for _ in range(n_options):
        for option, brings in needs:
            bits[option] |= bits[brings]
    return bits
