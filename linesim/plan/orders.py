"""Which jobs are built: models, options, packages, the order they come in, the order book."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

from linesim.plan.index import Index
from linesim.scenario.base import Chance
from linesim.scenario.models import Take


def orders(index: Index) -> PlannedOrders:
    """Return what is built, how often, and in which order."""
    scenario = index.scenario
    total = sum(model.share for model in scenario.model.values())
    options, book = scenario.option, scenario.orders
    return PlannedOrders(
        sequence=book.sequence,
        model_names=tuple(index.model),
        option_names=tuple(index.option),
        model_share=tuple(model.share / total for model in scenario.model.values()),
        option_take=tuple(_take(index, option.take) for option in options.values()),
        packages=tuple(
            PlannedPackage(name, _take(index, package.take), tuple(index.option[o] for o in package.options))
            for name, package in scenario.package.items()
        ),
        excludes=tuple(
            (index.option[name], index.option[other])
            for name, option in options.items()
            for other in option.excludes
        ),
        needs=tuple(
            (index.option[name], index.option[other])
            for name, option in options.items()
            for other in option.needs
        ),
        spacings=tuple(
            PlannedSpacing(name, *index.condition(rule.of), at_most=rule.at_most, in_any=rule.in_any)
            for name, rule in book.spacing.items()
        ),
        listed=tuple(
            PlannedOrder(index.model[job.model], index.bits(job.options, index.option)) for job in book.jobs
        ),
        repeats=book.after_last == "repeat",
    )


def _take(index: Index, take: Take) -> tuple[float, ...]:
    """Return the take rate of each model; a model that a table leaves out never has it."""
    if isinstance(take, Chance):
        return tuple(take.value for _ in index.model)
    assert isinstance(take, Mapping)
    return tuple(take[model].value if model in take else 0.0 for model in index.model)


@dataclass(frozen=True, slots=True)
class PlannedPackage:
    """Options that come together. ``take[m]`` is the chance that a job of model ``m`` has it."""

    name: str
    take: tuple[float, ...]
    options: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class PlannedSpacing:
    """A rule "at most ``at_most`` in any ``in_any`` in a row" for one model or one option."""

    name: str
    model: int  #: index of the model, or -1
    option: int  #: index of the option, or -1
    at_most: int
    in_any: int


class PlannedOrder(NamedTuple):
    """What one job is: a model and a set of options, bit ``o`` of ``options`` for option ``o``."""

    model: int
    options: int = 0


@dataclass(frozen=True, slots=True)
class PlannedOrders:
    """The whole order book of a scenario.

    Attributes:
        sequence: ``random`` · ``levelled`` (goal chasing over models and options) · ``listed``.
        model_names, option_names: Names in file order; draws are keyed by them.
        model_share: Share of each model, summing to 1.
        option_take: ``option_take[o][m]``, the chance that a job of model ``m`` takes option ``o`` alone.
        packages: Options that come together.
        excludes: Pairs of options that never stand on one job; the one first in the file stays.
        needs: Pairs (option, what it brings along).
        spacings: Rules that the generator obeys when it arranges jobs.
        listed: The given orders, for ``listed``.
        repeats: Whether the list starts again after its last order; otherwise no further job comes.
    """

    sequence: str
    model_names: tuple[str, ...]
    option_names: tuple[str, ...]
    model_share: tuple[float, ...]
    option_take: tuple[tuple[float, ...], ...] = ()
    packages: tuple[PlannedPackage, ...] = ()
    excludes: tuple[tuple[int, int], ...] = ()
    needs: tuple[tuple[int, int], ...] = ()
    spacings: tuple[PlannedSpacing, ...] = ()
    listed: tuple[PlannedOrder, ...] = ()
    repeats: bool = True
