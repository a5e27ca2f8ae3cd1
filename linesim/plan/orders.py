"""Which jobs are built: models, options, packages, and the order they come in."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Package:
    """Options that come together. ``take[m]`` is the chance that a job of model ``m`` has it."""

    name: str
    take: tuple[float, ...]
    options: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Spacing:
    """A rule "at most ``at_most`` in any ``in_any`` in a row" for one model or one option."""

    name: str
    model: int  #: index of the model, or -1
    option: int  #: index of the option, or -1
    at_most: int
    in_any: int


@dataclass(frozen=True, slots=True)
class Order:
    """What one job is: a model and a set of options, bit ``o`` of ``options`` for option ``o``."""

    model: int
    options: int = 0


@dataclass(frozen=True, slots=True)
class Orders:
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
    packages: tuple[Package, ...] = ()
    excludes: tuple[tuple[int, int], ...] = ()
    needs: tuple[tuple[int, int], ...] = ()
    spacings: tuple[Spacing, ...] = ()
    listed: tuple[Order, ...] = ()
    repeats: bool = True
