"""Names become indices: the one place where names of a scenario are looked up."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping

from linesim.plan.shapes import Shape
from linesim.plan.tables import NONE
from linesim.plan.words import STOP_CAUSES
from linesim.scenario import times
from linesim.scenario.models import Scenario
from linesim.scenario.times import Shape as Time


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
        self.task = _numbered(
            f"{station}.{task}" for station, table in scenario.station.items() for task in table.task
        )
        words = [word for table in scenario.section.values() for word in table.disturbance]
        words += [word for table in scenario.station.values() for word in table.disturbance]
        self.cause = _numbered([*STOP_CAUSES, *dict.fromkeys(w for w in words if w not in STOP_CAUSES)])
        self._shapes: dict[Shape, int] = {}

    @property
    def shapes(self) -> tuple[Shape, ...]:
        """The shapes met so far."""
        return tuple(self._shapes)

    def shape(self, time: Time) -> int:
        """Return the number of the distribution ``time``."""
        return self._shapes.setdefault(shape_of(time), len(self._shapes))

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


def shape_of(time: Time) -> Shape:
    """Return the plan's shape of a scenario's time; see `linesim.plan.shapes.Shape` for its numbers."""
    match time:
        case times.Lognormal() | times.Gamma():
            return Shape(time.shape, (time.mean.seconds, time.cv))
        case times.Normal():
            return Shape("normal", (time.mean.seconds, time.sd_s))
        case times.Triangular() | times.Pert():
            return Shape(time.shape, (time.low.seconds, time.mode.seconds, time.high.seconds))
        case times.Uniform():
            return Shape("uniform", (time.low.seconds, time.high.seconds))
        case times.Exponential():
            return Shape("exponential", (time.mean.seconds,))
        case times.Erlang():
            return Shape("erlang", (time.mean.seconds, float(time.stages)))
        case times.Weibull():
            return _weibull(time)
        case times.Empirical():
            return Shape("empirical", (), tuple(sorted(time.values_s)))
        case times.Constant():
            return Shape("constant", (time.mean.seconds,))
    raise AssertionError(f"no shape for {type(time).__name__}")


def _weibull(time: times.Weibull) -> Shape:
    if time.scale is not None and time.power is not None:
        return Shape("weibull", (time.scale.seconds, time.power))
    assert time.mean is not None and time.cv is not None
    if time.cv == 0:
        return Shape("constant", (time.mean.seconds,))
    power = weibull_power(time.cv)
    return Shape("weibull", (time.mean.seconds / math.gamma(1 + 1 / power), power))


def weibull_power(cv: float) -> float:
    """Return the power of the Weibull distribution with coefficient of variation ``cv`` > 0.

    Solves ``1 + cv² = Γ(1 + 2/k) / Γ(1 + 1/k)²`` for k by halving; cv falls as k rises.

    Examples:
        >>> round(weibull_power(1.0), 6)
        1.0
    """
    target = math.log1p(cv * cv)
    low, high = 0.02, 1e4
    for _ in range(200):
        middle = math.sqrt(low * high)
        if math.lgamma(1 + 2 / middle) - 2 * math.lgamma(1 + 1 / middle) > target:
            low = middle
        else:
            high = middle
    return math.sqrt(low * high)
