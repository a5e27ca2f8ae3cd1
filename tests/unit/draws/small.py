"""The little of a plan that draws look at."""

from types import SimpleNamespace
from typing import Any

from linesim.plan.orders import Orders
from linesim.plan.tables import int_array
from linesim.scenario.shapes import Exponential, Shape

EXPONENTIAL = Exponential(mean="1 s")
PLAIN = Orders("random", ("standard",), (), (1.0,))


def plan(
    *,
    tasks: tuple[str, ...] = ("K1.fit", "K1.test"),
    shapes: tuple[Shape, ...] = (EXPONENTIAL,),
    modes: dict[str, tuple[int, int]] | None = None,
    supply: int = -1,
    removal: int = -1,
    orders: Orders = PLAIN,
) -> Any:
    """Return a plan of names, shapes, modes (name: shapes of ``every`` and ``lasts``), gates and orders."""
    modes = modes or {}
    return SimpleNamespace(
        names=SimpleNamespace(task=tasks, mode=tuple(modes)),
        shapes=shapes,
        modes=SimpleNamespace(
            every=int_array(every for every, _ in modes.values()),
            lasts=int_array(lasts for _, lasts in modes.values()),
        ),
        supply=SimpleNamespace(every=supply),
        removal=SimpleNamespace(every=removal),
        orders=orders,
    )


def book(
    *,
    shares: tuple[float, ...] = (1.0,),
    takes: dict[str, float | tuple[float, ...]] | None = None,
    sequence: str = "random",
    **rest: Any,
) -> Orders:
    """Return an order book with models M0, M1, … and options with one take rate, or one for each model."""
    takes = takes or {}
    return Orders(
        sequence,
        tuple(f"M{m}" for m in range(len(shares))),
        tuple(takes),
        shares,
        tuple(take if isinstance(take, tuple) else (take,) * len(shares) for take in takes.values()),
        **rest,
    )
