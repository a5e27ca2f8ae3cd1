"""The plan: a scenario with names become indices and tables become arrays."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from linesim.plan.columns import Columns, columns_of
from linesim.plan.orders import PlannedOrders
from linesim.plan.tables import (
    Bays,
    Carriers,
    Crews,
    Equipment,
    Faults,
    Feeders,
    Flow,
    Modes,
    PlannedBuffers,
    PlannedCalendar,
    PlannedGate,
    PlannedRun,
    Prices,
    Sections,
    Stations,
    Tasks,
)
from linesim.plan.variants import Variants
from linesim.scenario.shapes import Shape


@dataclass(frozen=True, slots=True)
class Names:
    """The names of everything with an index, in index order. The plan holds the only dictionary."""

    section: tuple[str, ...]
    station: tuple[str, ...]
    buffer: tuple[str, ...]
    bay: tuple[str, ...]
    crew: tuple[str, ...]
    operator: tuple[str, ...]
    robot: tuple[str, ...]
    tool: tuple[str, ...]
    zone: tuple[str, ...]
    task: tuple[str, ...]  #: "station.task"
    fault: tuple[str, ...]  #: "station.task" or "station.task.fault"
    mode: tuple[str, ...]  #: "robot.R1.jam", "section.cab.chain", "station.K1.parts" …
    carrier: tuple[str, ...]
    feeder: tuple[str, ...]
    calendar: tuple[str, ...]
    cause: tuple[str, ...]  #: causes of a line stop; see `linesim.plan.words`


class WorkedOut(dict[Any, Any]):
    """What is worked out of a plan once and kept as long as it; it stays behind where the plan travels."""

    def once(self, key: object, work_out: Callable[[], Any]) -> Any:
        """Return what is kept under ``key``, worked out when it is first asked for."""
        return self[key] if key in self else self.setdefault(key, work_out())

    def __reduce__(self) -> tuple[type[WorkedOut], tuple[()]]:
        """Travel without anything."""
        return (WorkedOut, ())


@dataclass(frozen=True, eq=False, repr=False)
class Plan:
    """Everything an engine must know of a line, and nothing else. Times are ticks, things are indices."""

    title: str
    names: Names
    run: PlannedRun
    target: float | None  #: jobs per shift that the plant's plan asks for
    flow: Flow
    sections: Sections
    stations: Stations
    buffers: PlannedBuffers
    feeders: Feeders
    bays: Bays
    carriers: Carriers
    crews: Crews
    equipment: Equipment
    tasks: Tasks
    faults: Faults
    modes: Modes
    supply: PlannedGate
    removal: PlannedGate
    calendars: tuple[PlannedCalendar, ...]
    shapes: tuple[Shape, ...]
    orders: PlannedOrders
    prices: Prices | None = None  #: None if the scenario speaks of no money

    def along(self, kind: int) -> list[int]:
        """Return the sections or the buffers in line order, the main line first, then the feeders."""
        flows = (self.flow, *self.feeders.flows)
        return [int(i) for flow in flows for k, i in zip(flow.kind, flow.index, strict=True) if k == kind]

    @cached_property
    def shift_ticks(self) -> float:
        """Working time of an average shift [ticks], breaks left out.

        Without a calendar a shift is as long as ``[run] shift`` says and has no breaks.
        """
        if self.run.calendar < 0:
            return float(self.run.shift)
        calendar = self.calendars[self.run.calendar]
        return sum(end - start for start, end in calendar.on) / max(1, len(calendar.shifts))

    @cached_property
    def variants(self) -> Variants:
        """What each model with its options means in work, worked out when it is first met."""
        return Variants(self.tasks, len(self.names.station), len(self.orders.model_names))

    @cached_property
    def worked_out(self) -> WorkedOut:
        """What is worked out of the plan elsewhere, by what it is."""
        return WorkedOut()

    @cached_property
    def columns(self) -> Columns:
        """Everything that is drawn, numbered."""
        return columns_of(self)
