"""What a model with its options means in work: worked out once for each variant that appears."""

from __future__ import annotations

from dataclasses import dataclass, field

from linesim.plan.plan import Plan
from linesim.plan.tables import NONE


@dataclass(frozen=True, slots=True)
class Need:
    """What a piece of work needs together to start."""

    people: int
    crews: tuple[int, ...]
    robots: tuple[int, ...]
    tools: tuple[int, ...]
    zone: int


@dataclass(frozen=True, slots=True)
class StationWork:
    """The tasks of one variant at one station.

    Attributes:
        tasks: Tasks in file order; what follows counts by place in this list.
        shapes: Distribution of each task's time.
        n_pred: Earlier tasks of the same station that each waits for.
        pred: Earlier tasks of other stations that each waits for.
        then: Tasks of the same station that wait for each, by place.
        then_elsewhere: (station, place) of tasks of other stations that wait for each.
    """

    tasks: tuple[int, ...]
    shapes: tuple[int, ...]
    n_pred: list[int]
    pred: tuple[tuple[int, ...], ...]
    then: tuple[tuple[int, ...], ...]
    then_elsewhere: tuple[tuple[tuple[int, int], ...], ...]
    has_outer_pred: bool


@dataclass(frozen=True, slots=True)
class Variant:
    """A model with its options."""

    model: int
    options: int
    work: tuple[StationWork, ...]  #: by station
    before: dict[int, tuple[int, ...]]  #: what each task waits for, at whatever station


@dataclass(slots=True)
class Variants:
    """The variants met so far, and how a condition on model and option is read."""

    plan: Plan
    station_tasks: list[list[int]]
    _known: dict[tuple[int, int], Variant] = field(default_factory=dict)

    def get(self, model: int, options: int) -> Variant:
        """Return the variant of ``model`` with the set of ``options`` (bits)."""
        key = (model, options)
        variant = self._known.get(key)
        if variant is None:
            variant = self._known[key] = self._build(model, options)
        return variant

    def _build(self, model: int, options: int) -> Variant:
        tasks = self.plan.tasks
        applies = [
            bool(int(tasks.models[t]) >> model & 1)
            and int(tasks.needs[t]) & ~options == 0
            and int(tasks.bars[t]) & options == 0
            for t in range(len(tasks.station))
        ]
        after = bridged(tasks.after.tolists(), applies)
        station = tasks.station.tolist()
        shapes = [self._shape(t, model, options) for t in range(len(station))]
        place = {t: i for row in self.station_tasks for i, t in enumerate(t for t in row if applies[t])}
        followers: dict[int, list[int]] = {t: [] for t in place}
        for t in place:
            for p in after[t]:
                followers[p].append(t)
        work = []
        for row in self.station_tasks:
            here = tuple(t for t in row if applies[t])
            work.append(station_work(here, after, followers, station, shapes, place))
        return Variant(model, options, tuple(work), {t: tuple(after[t]) for t in place})

    def _shape(self, t: int, model: int, options: int) -> int:
        tasks = self.plan.tasks
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
    then_elsewhere: list[tuple[tuple[int, int], ...]] = []
    then: list[tuple[int, ...]] = []
    for t in here:
        then.append(tuple(place[f] for f in followers[t] if station[f] == station[t]))
        then_elsewhere.append(tuple((station[f], place[f]) for f in followers[t] if station[f] != station[t]))
    outer = tuple(tuple(p for p in after[t] if station[p] != station[t]) for t in here)
    return StationWork(
        tasks=here,
        shapes=tuple(shapes[t] for t in here),
        n_pred=[sum(station[p] == station[t] for p in after[t]) for t in here],
        pred=outer,
        then=tuple(then),
        then_elsewhere=tuple(then_elsewhere),
        has_outer_pred=any(outer),
    )


def only(work: StationWork, keep: list[bool]) -> StationWork:
    """Return ``work`` with the tasks that ``keep`` marks; what is left out counts as done."""
    new = {old: i for i, old in enumerate(i for i, k in enumerate(keep) if k)}
    kept = list(new)
    n_pred = [0] * len(kept)
    for old in kept:
        for follower in work.then[old]:
            if follower in new:
                n_pred[new[follower]] += 1
    return StationWork(
        tasks=tuple(work.tasks[i] for i in kept),
        shapes=tuple(work.shapes[i] for i in kept),
        n_pred=n_pred,
        pred=tuple(work.pred[i] for i in kept),
        then=tuple(tuple(new[f] for f in work.then[i] if f in new) for i in kept),
        then_elsewhere=tuple(work.then_elsewhere[i] for i in kept),
        has_outer_pred=work.has_outer_pred,
    )
