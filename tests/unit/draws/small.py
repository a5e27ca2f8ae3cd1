"""The little of a plan that draws look at."""

from types import SimpleNamespace
from typing import Any

from linesim.plan.columns import DrawnColumn, name_key
from linesim.plan.orders import PlannedOrders
from linesim.plan.plan import WorkedOut
from linesim.plan.tables import int_array
from linesim.scenario.shapes import Exponential, Shape

EXPONENTIAL = Exponential(mean="1 s")
PLAIN = PlannedOrders("random", ("standard",), (), (1.0,))


def plan(
    *,
    tasks: tuple[str, ...] = ("K1.fit", "K1.test"),
    shapes: tuple[Shape, ...] = (EXPONENTIAL,),
    modes: dict[str, tuple[int, int]] | None = None,
    supply: int = -1,
    removal: int = -1,
    orders: PlannedOrders = PLAIN,
    faults: tuple[str, ...] = (),
    jobs: int = 300,
    again: tuple[int, ...] = (),
) -> Any:
    """Return a plan of names, shapes, modes (name: shapes of ``every`` and ``lasts``), gates and orders.

    Every task and every fault may take a time by any of the shapes; there is a takt for so many ``jobs``.
    The columns ``again`` are those of what may be done again.
    """
    modes = modes or {}
    each = range(len(shapes))
    keys = [("order", "", -1), *(("task", name, shape) for name in tasks for shape in each)]
    keys += [(f"chance:{kind}", name, -1) for kind in ("fault", "task", "repair", "every") for name in faults]
    keys += [("repair", name, shape) for name in faults for shape in each]
    bay = len(keys)
    keys += [("every", name, every) for name, (every, _) in modes.items()]
    keys += [("lasts", name, lasts) for name, (_, lasts) in modes.items()]
    gap = len(keys)
    keys += [("gap", "supply", supply), ("gap", "removal", removal)]
    columns = tuple(DrawnColumn(name_key(kind, name), shape) for kind, name, shape in keys)
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
        columns=SimpleNamespace(all=columns, bay=bay, gap=gap, again=again),
        sections=SimpleNamespace(takt=int_array([1000])),
        run=SimpleNamespace(warm_up=0, length=1000 * jobs, shift=1000 * jobs),
        worked_out=WorkedOut(),
    )


def book(
    *,
    shares: tuple[float, ...] = (1.0,),
    takes: dict[str, float | tuple[float, ...]] | None = None,
    sequence: str = "random",
    **rest: Any,
) -> PlannedOrders:
    """Return an order book with models M0, M1, … and options with one take rate, or one for each model."""
    takes = takes or {}
    return PlannedOrders(
        sequence,
        tuple(f"M{m}" for m in range(len(shares))),
        tuple(takes),
        shares,
        tuple(take if isinstance(take, tuple) else (take,) * len(shares) for take in takes.values()),
        **rest,
    )
