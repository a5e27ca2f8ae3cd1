"""What a model with its options means in work: worked out once for each variant that appears."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from linesim.plan.tables import NONE, Tasks


@dataclass(frozen=True, slots=True)
class StationWork:
    """The tasks of one variant at one station.

    Attributes:
        tasks: Tasks in file order; what follows counts by place in this list.
        shapes: Distribution of each task's time.
        n_pred: Earlier tasks of the same station that each waits for.
        pred: Earlier tasks of other stations that each waits for.
        then: Tasks of the same station that wait for each, by place.
        elsewhere: Whether tasks of other stations wait for each.
        has_outer_pred: Whether any waits for other stations.
    """

    tasks: tuple[int, ...]
    shapes: tuple[int, ...]
    n_pred: tuple[int, ...]
    pred: tuple[tuple[int, ...], ...]
    then: tuple[tuple[int, ...], ...]
    elsewhere: tuple[bool, ...]
    has_outer_pred: bool


@dataclass(frozen=True, slots=True)
class Variant:
    """A model with its options."""

    model: int
    options: int
    work: tuple[StationWork, ...]  #: by station
    before: dict[int, tuple[int, ...]]  #: what each task waits for, at whatever station


class Variants:
    """The variants of a plan that were met so far, each worked out once for all replications.

    Args:
        tasks: The tasks of the plan.
        n_stations: How many stations it has.
    """

    def __init__(self, tasks: Tasks, n_stations: int) -> None:
        self._tasks = tasks
        self._station_tasks: list[list[int]] = [[] for _ in range(n_stations)]
        for t, s in enumerate(tasks.station.tolist()):
            self._station_tasks[s].append(t)
        self._known: dict[tuple[int, int], Variant] = {}
        self.written: dict[tuple[int, int], Any] = {}  #: what an engine makes of them, kept as long

    def get(self, model: int, options: int) -> Variant:
        """Return the variant of ``model`` with the set of ``options`` (bits)."""
        key = (model, options)
        variant = self._known.get(key)
        if variant is None:
            variant = self._known[key] = self._build(model, options)
        return variant

    def _build(self, model: int, options: int) -> Variant:
        tasks = self._tasks
        applies = [
            bool(int(tasks.models[t]) >> model & 1)
            and int(tasks.needs[t]) & ~options == 0
            and int(tasks.bars[t]) & options == 0
            for t in range(len(tasks.station))
        ]
        after = bridged(tasks.after.tolists(), applies)
        station = tasks.station.tolist()
        shapes = [self._shape(t, model, options) for t in range(len(station))]
        place = {t: i for row in self._station_tasks for i, t in enumerate(t for t in row if applies[t])}
        followers: dict[int, list[int]] = {t: [] for t in place}
        for t in place:
            for p in after[t]:
                followers[p].append(t)
        work = []
        for row in self._station_tasks:
            here = tuple(t for t in row if applies[t])
            work.append(station_work(here, after, followers, station, shapes, place))
        return Variant(model, options, tuple(work), {t: tuple(after[t]) for t in place})

    def _shape(self, t: int, model: int, options: int) -> int:
        tasks = self._tasks
        for shape, m, o in zip(tasks.time_shape[t], tasks.time_model[t], tasks.time_option[t], strict=True):
            if holds(int(m), int(o), model, options):
                return int(shape)
        raise AssertionError(f"task {t} has no time that fits every job")


def holds(for_model: int, for_option: int, model: int, options: int) -> bool:
    """Return whether a job of ``model`` with ``options`` meets a condition (NONE asks nothing)."""
    return (for_model in (NONE, model)) and (for_option == NONE or bool(options >> for_option & 1))


def bridged(after: list[list[int]], applies: list[bool]) -> list[list[int]]:
    """Return the predecessors of each task among those that apply.

    Where a task in between is not built, what came before it still comes before what follows:
    with A before B before C and no B, C waits for A.
    """
    rows: dict[int, list[int]] = {}

    def row(t: int) -> list[int]:
        if t not in rows:
            found: dict[int, None] = {}
            for p in after[t]:
                found.update(dict.fromkeys([p] if applies[p] else row(p)))
            rows[t] = list(found)
        return rows[t]

    return [row(t) for t in range(len(after))]


def station_work(
    here: tuple[int, ...],
    after: list[list[int]],
    followers: dict[int, list[int]],
    station: list[int],
    shapes: list[int],
    place: dict[int, int],
) -> StationWork:
    """Return the work of the tasks ``here`` (all of one station)."""
    then = [tuple(place[f] for f in followers[t] if station[f] == station[t]) for t in here]
    outer = tuple(tuple(p for p in after[t] if station[p] != station[t]) for t in here)
    return StationWork(
        tasks=here,
        shapes=tuple(shapes[t] for t in here),
        n_pred=tuple(sum(station[p] == station[t] for p in after[t]) for t in here),
        pred=outer,
        then=tuple(then),
        elsewhere=tuple(any(station[f] != station[t] for f in followers[t]) for t in here),
        has_outer_pred=any(outer),
    )
