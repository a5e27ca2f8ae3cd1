"""What each job is: its model and its options, drawn from shares and take rates."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from linesim.draws.streams import Streams
from linesim.plan.orders import PlannedOrder, PlannedOrders

_KEPT = 2  #: Blocks of orders remembered.


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

    __slots__ = ("_blocks", "_edges", "_models", "_needs", "_orders", "_rates", "_rows", "_sheets")

    def __init__(self, orders: PlannedOrders, streams: Streams) -> None:
        self._orders = orders
        self._rates = [*rates_among_excluded(orders), *(package.take for package in orders.packages)]
        self._rows = streams.block
        self._models = streams.sheet("model", "")
        self._edges = np.cumsum(orders.model_share)[:-1] / sum(orders.model_share)
        self._needs = _closures(len(orders.option_names), orders.needs)
        choices = [("option", name) for name in orders.option_names]
        choices += [("package", package.name) for package in orders.packages]
        self._sheets = [streams.sheet(kind, name) for kind, name in choices]
        self._blocks: dict[int, list[PlannedOrder]] = {}

    def __getitem__(self, job: int) -> PlannedOrder:
        """Return what job ``job`` (counted from 0) was ordered as."""
        b, row = divmod(job, self._rows)
        if b not in self._blocks:
            if len(self._blocks) >= _KEPT:
                del self._blocks[next(iter(self._blocks))]
            self._blocks[b] = self._draw(b)
        return self._blocks[b][row]

    def _draw(self, b: int) -> list[PlannedOrder]:
        """Return the orders of block ``b``."""
        models: NDArray[np.int64] = np.searchsorted(self._edges, self._models.block(b), side="right")
        taken = [
            sheet.block(b) < np.asarray(rate)[models]
            for sheet, rate in zip(self._sheets, self._rates, strict=True)
        ]
        picks = np.array(taken, dtype=bool).reshape(len(taken), self._rows).T
        seen: dict[
            tuple[int, bytes], PlannedOrder
        ] = {}  # the few combinations that occur, resolved once each
        block = []
        for model, pick in zip(models.tolist(), picks, strict=True):
            key = (model, pick.tobytes())
            if key not in seen:
                seen[key] = PlannedOrder(model, self.resolve(np.flatnonzero(pick).tolist()))
            block.append(seen[key])
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
