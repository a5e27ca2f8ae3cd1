"""The order book as the plan keeps it."""

from __future__ import annotations

from collections.abc import Mapping

from linesim.plan.index import Index
from linesim.plan.orders import Order, Orders, Package, Spacing
from linesim.scenario.base import Chance
from linesim.scenario.orders import Take


def orders(index: Index) -> Orders:
    """Return what is built, how often, and in which order."""
    scenario = index.scenario
    total = sum(model.share for model in scenario.model.values())
    options, book = scenario.option, scenario.orders
    return Orders(
        sequence=book.sequence,
        model_names=tuple(index.model),
        option_names=tuple(index.option),
        model_share=tuple(model.share / total for model in scenario.model.values()),
        option_take=tuple(_take(index, option.take) for option in options.values()),
        packages=tuple(
            Package(name, _take(index, package.take), tuple(index.option[o] for o in package.options))
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
            Spacing(name, *index.condition(rule.of), at_most=rule.at_most, in_any=rule.in_any)
            for name, rule in book.spacing.items()
        ),
        listed=tuple(
            Order(index.model[job.model], index.bits(job.options, index.option)) for job in book.jobs
        ),
        repeats=book.after_last == "repeat",
    )


def _take(index: Index, take: Take) -> tuple[float, ...]:
    """Return the take rate of each model; a model that a table leaves out never has it."""
    if isinstance(take, Chance):
        return tuple(take.value for _ in index.model)
    assert isinstance(take, Mapping)
    return tuple(take[model].value if model in take else 0.0 for model in index.model)
