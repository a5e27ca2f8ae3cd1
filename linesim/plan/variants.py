"""What a model with its options means in work: worked out once for each variant that appears."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from linesim.plan.tables import NONE, Tasks


@dataclass(frozen=True, slots=True, eq=False)
class StationWork:
    """The tasks of one variant at one station; variants that do the same work there share it.

    Attributes:
        tasks: Tasks in file order; what follows counts by place in this list.
        times: Which of its times each takes, by place in the row of the task.
        shapes: Distribution of each task's time.
        n_pred: Earlier tasks of the same station that each waits for.
        before: All earlier tasks that each waits for.
        pred: Those of other stations among them.
        then: Tasks of the same station that wait for each, by place.
        elsewhere: Whether tasks of other stations wait for each.
        has_outer_pred: Whether any waits for other stations.
    """

    tasks: tuple[int, ...]
    times: tuple[int, ...]
    shapes: tuple[int, ...]
    n_pred: tuple[int, ...]
    before: tuple[tuple[int, ...], ...]
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


class Variants:
    """The variants of a plan that were met so far, each worked out once for all replications.

    What a variant does at a station follows from which tasks it has there and around them, so few stations
    are worked out anew for a further variant.

    Args:
        tasks: The tasks of the plan.
        n_stations: How many stations it has.
        n_models: How many models.
    """

    def __init__(self, tasks: Tasks, n_stations: int, n_models: int) -> None:
        self._made_of = (tasks, n_stations, n_models)
        self._tasks = tasks
        self.station_tasks: list[list[int]] = [[] for _ in range(n_stations)]  #: in file order
        self._station = tasks.station.tolist()
        for t, s in enumerate(self._station):
            self.station_tasks[s].append(t)
        self._after = tasks.after.tolists()
        self._followers: list[list[int]] = [[] for _ in self._after]
        for t, row in enumerate(self._after):
            for p in row:
                self._followers[p].append(t)
        self._times = list(
            zip(
                tasks.time_shape.tolists(),
                tasks.time_model.tolists(),
                tasks.time_option.tolists(),
                strict=True,
            )
        )
        self._several = [t for t, (shapes, _, _) in enumerate(self._times) if len(shapes) > 1]
        everybody = (tasks.models == (1 << n_models) - 1) & (tasks.needs == 0) & (tasks.bars == 0)
        may_lack = (~everybody).tolist()
        self._around = [self._tasks_around(row, may_lack) for row in self.station_tasks]
        self._known: dict[tuple[int, int], Variant] = {}
        self._works: dict[tuple[Any, ...], StationWork] = {}

    def __reduce__(self) -> tuple[type[Variants], tuple[Any, ...]]:
        """Travel without what was worked out: it costs less to do that again."""
        return (Variants, self._made_of)

    def _tasks_around(self, row: list[int], may_lack: list[bool]) -> list[int]:
        """Return the tasks that decide what there is to do at a station whose tasks are ``row``.

        Its own, and their neighbours before and after, and those of neighbours that a variant may lack.
        """
        found = dict.fromkeys(row)
        for links in (self._after, self._followers):
            waiting = list(row)
            while waiting:
                for t in links[waiting.pop()]:
                    if t not in found and may_lack[t]:
                        waiting.append(t)
                    found[t] = None
        return sorted(found)

    def get(self, model: int, options: int) -> Variant:
        """Return the variant of ``model`` with the set of ``options`` (bits)."""
        key = (model, options)
        variant = self._known.get(key)
        if variant is None:
            variant = self._known[key] = self._build(model, options)
        return variant

    def _build(self, model: int, options: int) -> Variant:
        tasks = self._tasks
        applies = (
            (tasks.models >> model & 1 != 0) & (tasks.needs & ~options == 0) & (tasks.bars & options == 0)
        )
        has, times = applies.tolist(), [0] * len(applies)
        for t in self._several:
            _, models, chosen = self._times[t]
            pairs = zip(models, chosen, strict=True)
            times[t] = next(i for i, (m, o) in enumerate(pairs) if holds(m, o, model, options))
        work = []
        for s, around in enumerate(self._around):
            key = (s, *[has[t] for t in around], *[times[t] for t in self.station_tasks[s]])
            found = self._works.get(key)
            if found is None:
                found = self._works[key] = self._station_work(s, has, times)
            work.append(found)
        return Variant(model, options, tuple(work))

    def _station_work(self, s: int, has: list[bool], times: list[int]) -> StationWork:
        here = tuple(t for t in self.station_tasks[s] if has[t])
        before = [reached(self._after, t, has) for t in here]
        after = [set(reached(self._followers, t, has)) for t in here]
        pred = tuple(tuple(p for p in row if self._station[p] != s) for row in before)
        return StationWork(
            tasks=here,
            times=tuple(times[t] for t in here),
            shapes=tuple(self._times[t][0][times[t]] for t in here),
            n_pred=tuple(len(row) - len(outer) for row, outer in zip(before, pred, strict=True)),
            before=tuple(before),
            pred=pred,
            then=tuple(tuple(i for i, t in enumerate(here) if t in row) for row in after),
            elsewhere=tuple(any(self._station[f] != s for f in row) for row in after),
            has_outer_pred=any(pred),
        )


def holds(for_model: int, for_option: int, model: int, options: int) -> bool:
    """Return whether a job of ``model`` with ``options`` meets a condition (NONE asks nothing)."""
    return (for_model in (NONE, model)) and (for_option == NONE or bool(options >> for_option & 1))


def reached(links: list[list[int]], t: int, has: list[bool]) -> tuple[int, ...]:
    """Return the next tasks along ``links`` of those that a variant has.

    Where a task in between is not built, what came before it still comes before what follows:
    with A before B before C and no B, C waits for A.
    """
    found: dict[int, None] = {}
    for p in links[t]:
        found.update(dict.fromkeys((p,) if has[p] else reached(links, p, has)))
    return tuple(found)
