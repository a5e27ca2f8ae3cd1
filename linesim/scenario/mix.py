"""How often a model has an option, before anything is drawn."""

from __future__ import annotations

from linesim.scenario.models import Scenario
from linesim.scenario.orders import Option, Package
from linesim.scenario.weights import Chance


def take_rate(taken: Option | Package, model: str) -> float:
    """Return the chance that a job of a model takes an option or package by itself."""
    if isinstance(taken.take, Chance):
        return taken.take.value
    return taken.take[model].value if model in taken.take else 0.0


def option_shares(scenario: Scenario, model: str) -> dict[str, float]:
    """Return the share of a model's jobs that have each option, alone or through a package.

    An option and the packages that hold it are drawn independently of one another, so a job
    lacks the option only if it has taken none of them. Options that come along because another
    option `needs` them are not counted.
    """
    lacks = {name: 1.0 - take_rate(option, model) for name, option in scenario.option.items()}
    for package in scenario.package.values():
        for name in package.options:
            if name in lacks:
                lacks[name] *= 1.0 - take_rate(package, model)
    return {name: 1.0 - share for name, share in lacks.items()}
