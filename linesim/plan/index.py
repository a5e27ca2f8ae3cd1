"""Names become indices: the one place where names of a scenario are looked up."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from linesim.plan.tables import NONE
from linesim.plan.words import STOP_CAUSES
from linesim.scenario.models import Scenario
from linesim.scenario.shapes import Shape


class Index:
    """Numbers of everything that a scenario names, in file order, and the shapes met so far."""

    def __init__(self, scenario: Scenario) -> None:
        self.scenario = scenario
        self.section = _numbered(scenario.section)
        self.station = _numbered(scenario.station)
        self.buffer = _numbered(scenario.buffer)
        self.bay = _numbered(scenario.bay)
        self.crew = _numbered(scenario.crew)
        self.robot = _numbered(scenario.robot)
        self.tool = _numbered(scenario.tool)
        self.zone = _numbered(scenario.zone)
        self.carrier = _numbered(scenario.carrier)
        self.feeder = _numbered(scenario.feeder)
        self.calendar = _numbered(scenario.calendar)
        self.model = _numbered(scenario.model)
        self.option = _numbered(scenario.option)
        self.placed = scenario.placed_tasks
        self.task = _numbered(one.full_name for one in self.placed)
        words = [word for table in scenario.section.values() for word in table.disturbance]
        words += [word for table in scenario.station.values() for word in table.disturbance]
        self.cause = _numbered([*STOP_CAUSES, *dict.fromkeys(w for w in words if w not in STOP_CAUSES)])
        self._shapes: dict[Shape, int] = {}

    @property
    def shapes(self) -> tuple[Shape, ...]:
        """The shapes met so far."""
        return tuple(self._shapes)

    def shape(self, time: Shape) -> int:
        """Return the number of the distribution ``time``, whoever says it and how well it is known."""
        return self._shapes.setdefault(time.bare, len(self._shapes))

    def crews_of(self, place: str, *, floater: bool = False) -> list[int]:
        """Return the crews that cover a station or bay: those always there, or floaters, who are called."""
        crews = self.scenario.crew.items()
        return [self.crew[name] for name, crew in crews if place in crew.covers and crew.floater == floater]

    def task_at(self, station: str, reference: str) -> int:
        """Return the number of a task named as ``task`` (of ``station``) or ``station.task``."""
        local = f"{station}.{reference}"
        return self.task[local] if local in self.task else self.task[reference]

    def calendar_of(self, name: str | None) -> int:
        """Return the number of the calendar ``name``, or of the run's own where nothing is said."""
        name = name or self.scenario.run.calendar
        return NONE if name is None else self.calendar[name]

    def condition(self, name: str) -> tuple[int, int]:
        """Return (model, option) for the name of either; the other is NONE."""
        if name in self.option:
            return NONE, self.option[name]
        return self.model[name], NONE

    def bits(self, names: Iterable[str], kind: Mapping[str, int]) -> int:
        """Return a set of things as bits of one number."""
        return sum(1 << kind[name] for name in dict.fromkeys(names))


def _numbered(names: Iterable[str]) -> dict[str, int]:
    return {name: i for i, name in enumerate(names)}
