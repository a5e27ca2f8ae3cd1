"""Whether models, options and the sequence of jobs fit together."""

from __future__ import annotations

from linesim.scenario.base import Chance
from linesim.scenario.checks.checker import Checker
from linesim.scenario.content import option_shares
from linesim.scenario.models import Option, Package
from linesim.scenario.origins import Path
from linesim.scenario.problems import has, shown

MOST_KINDS = 63  #: Models, and options: what a job has is told by the bits of one number.
_SLACK = 1e-9  #: Shares such as 1/3 cannot be written exactly.


def check_mix(checker: Checker) -> None:
    """Check shares, take rates, and what options need and exclude."""
    scenario = checker.scenario
    for kind in ("model", "option"):
        if (found := len(getattr(scenario, kind))) > MOST_KINDS:
            checker.say((kind,), "too-much", f"there are {found} {kind}s, and the most is {MOST_KINDS}.")
    if scenario.model and not sum(model.share for model in scenario.model.values()) > 0:
        checker.say(("model",), "out-of-range", "the shares of all models are 0; give at least one a share.")
    for name in scenario.option:
        if name in scenario.model:
            checker.say(
                ("option", name),
                "name-twice",
                f"{shown(name)} is the name of a model and of an option; rename one.",
            )
    for name, option in scenario.option.items():
        path: Path = ("option", name)
        _check_take(checker, path, option)
        for key in ("excludes", "needs"):
            for number, other in enumerate(getattr(option, key)):
                here = (*path, key, number)
                if other == name:
                    checker.say(
                        here, "mix-impossible", f"the option {shown(name)} {key} itself; remove it here."
                    )
                else:
                    checker.expect(here, other, "option")
        for both in sorted(set(option.excludes) & set(option.needs)):
            checker.say(
                (*path, "needs"),
                "mix-impossible",
                f"the option {shown(both)} is needed and excluded; keep one of the two.",
            )
    for name, package in scenario.package.items():
        _check_take(checker, ("package", name), package)
        for number, other in enumerate(package.options):
            checker.expect(("package", name, "options", number), other, "option")
        for one, two in _excluded_pairs(checker):
            if one in package.options and two in package.options:
                checker.say(
                    ("package", name, "options"),
                    "mix-impossible",
                    f"the options {shown(one)} and {shown(two)} exclude each other and cannot share a "
                    "package.",
                )
    _check_pairs(checker)


def _check_take(checker: Checker, path: Path, taken: Option | Package) -> None:
    if not isinstance(taken.take, Chance):
        for model in taken.take:
            checker.expect((*path, "take", model), model, "model")


def _excluded_pairs(checker: Checker) -> list[tuple[str, str]]:
    """Return pairs of options that exclude each other, in file order."""
    options = list(checker.scenario.option)
    return [
        (one, two)
        for number, two in enumerate(options)
        for one in options[:number]
        if two in checker.scenario.option[one].excludes or one in checker.scenario.option[two].excludes
    ]


def _check_pairs(checker: Checker) -> None:
    """Two options that exclude each other cannot together be on more than every job."""
    if not (checker.is_whole("option") and checker.is_whole("package") and checker.is_whole("model")):
        return
    for model in checker.scenario.model:
        shares = option_shares(checker.scenario, model)
        for one, two in _excluded_pairs(checker):
            if shares[one] + shares[two] > 1 + _SLACK:
                checker.say(
                    ("option", two, "take"),
                    "mix-impossible",
                    f"{shown(one)} and {shown(two)} exclude each other, yet {shares[one]:.3g} and "
                    f"{shares[two]:.3g} of {shown(model)} have them; together at most 1.",
                )


def check_orders(checker: Checker) -> None:
    """Check the listed orders and whether the sequence can be given."""
    scenario = checker.scenario
    orders = scenario.orders
    if orders.sequence == "listed" and not orders.listed:
        checker.say(
            ("orders", "sequence"),
            "needs-other-key",
            "a listed sequence needs `list` or `file` with the orders.",
        )
    elif orders.sequence != "listed" and orders.listed:
        checker.say(
            ("orders", "sequence"),
            "needs-other-key",
            f"there is a list of orders, but the sequence is {orders.sequence}; write sequence = "
            '"listed" or remove it.',
        )
    excluded = _excluded_pairs(checker)
    for number, order in enumerate(orders.jobs):
        path: Path = ("orders", "list", number)
        checker.expect(path, order.model, "model")
        for option in order.options:
            checker.expect(path, option, "option")
        for one, two in excluded:
            if one in order.options and two in order.options:
                checker.say(
                    path,
                    "mix-impossible",
                    f"the order has {shown(one)} and {shown(two)}, which exclude each other.",
                )


def check_spacing(checker: Checker) -> None:
    """Check that every spacing rule can be kept on average."""
    scenario = checker.scenario
    total = sum(model.share for model in scenario.model.values())
    for name, rule in scenario.orders.spacing.items():
        path: Path = ("orders", "spacing", name)
        if rule.of not in checker.known("option") and rule.of not in checker.known("model"):
            known = [*scenario.option, *scenario.model]
            checker.say(
                (*path, "of"),
                "unknown-option",
                f"{shown(rule.of)} is neither an option nor a model of this scenario; "
                f"{has(known, rule.of, 'option')}.",
            )
            continue
        if rule.at_most >= rule.in_any:
            checker.say(
                (*path, "at_most"),
                "out-of-range",
                f"at most {rule.at_most} in any {rule.in_any} forbids nothing; `at_most` is less than "
                "`in_any`.",
            )
            continue
        if scenario.orders.sequence == "listed" or total <= 0:
            continue
        if not (checker.is_whole("option") and checker.is_whole("package") and checker.is_whole("model")):
            continue
        share = _share_of(checker, rule.of, total)
        if share > rule.at_most / rule.in_any + _SLACK:
            checker.say(
                path,
                "spacing-impossible",
                f"{shown(rule.of)} is on {share:.3g} of all jobs, and at most {rule.at_most} in any "
                f"{rule.in_any} allows {rule.at_most / rule.in_any:.3g}; loosen the rule or lower the share.",
            )


def _share_of(checker: Checker, name: str, total: float) -> float:
    models = checker.scenario.model
    if name in models:
        return models[name].share / total
    return sum(
        model.share / total * option_shares(checker.scenario, label).get(name, 0.0)
        for label, model in models.items()
    )
