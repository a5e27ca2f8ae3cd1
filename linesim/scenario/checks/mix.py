"""Whether models, options and the sequence of jobs fit together."""

from __future__ import annotations

from linesim.scenario.base import Chance
from linesim.scenario.checks.checker import Desk
from linesim.scenario.content import option_shares
from linesim.scenario.orders import Option, Package
from linesim.scenario.origins import Path
from linesim.scenario.problems import has, shown

MOST_KINDS = 63  #: Models, and options: what a job has is told by the bits of one number.
_SLACK = 1e-9  #: Shares such as 1/3 cannot be written exactly.


def check_mix(desk: Desk) -> None:
    """Check shares, take rates, and what options need and exclude."""
    scenario = desk.scenario
    for kind in ("model", "option"):
        if (found := len(getattr(scenario, kind))) > MOST_KINDS:
            desk.say((kind,), "too-much", f"there are {found} {kind}s, and the most is {MOST_KINDS}.")
    if scenario.model and not sum(model.share for model in scenario.model.values()) > 0:
        desk.say(("model",), "out-of-range", "the shares of all models are 0; give at least one a share.")
    for name in scenario.option:
        if name in scenario.model:
            desk.say(
                ("option", name),
                "name-twice",
                f"{shown(name)} is the name of a model and of an option; rename one.",
            )
    for name, option in scenario.option.items():
        path: Path = ("option", name)
        _check_take(desk, path, option)
        for key in ("excludes", "needs"):
            for number, other in enumerate(getattr(option, key)):
                here = (*path, key, number)
                if other == name:
                    desk.say(
                        here, "mix-impossible", f"the option {shown(name)} {key} itself; remove it here."
                    )
                else:
                    desk.expect(here, other, "option")
        for both in sorted(set(option.excludes) & set(option.needs)):
            desk.say(
                (*path, "needs"),
                "mix-impossible",
                f"the option {shown(both)} is needed and excluded; keep one of the two.",
            )
    for name, package in scenario.package.items():
        _check_take(desk, ("package", name), package)
        for number, other in enumerate(package.options):
            desk.expect(("package", name, "options", number), other, "option")
        for one, two in _excluded_pairs(desk):
            if one in package.options and two in package.options:
                desk.say(
                    ("package", name, "options"),
                    "mix-impossible",
                    f"the options {shown(one)} and {shown(two)} exclude each other and cannot share a "
                    "package.",
                )
    _check_pairs(desk)


def _check_take(desk: Desk, path: Path, taken: Option | Package) -> None:
    if not isinstance(taken.take, Chance):
        for model in taken.take:
            desk.expect((*path, "take", model), model, "model")


def _excluded_pairs(desk: Desk) -> list[tuple[str, str]]:
    """Return pairs of options that exclude each other, in file order."""
    options = list(desk.scenario.option)
    return [
        (one, two)
        for number, two in enumerate(options)
        for one in options[:number]
        if two in desk.scenario.option[one].excludes or one in desk.scenario.option[two].excludes
    ]


def _check_pairs(desk: Desk) -> None:
    """Two options that exclude each other cannot together be on more than every job."""
    if not (desk.is_whole("option") and desk.is_whole("package") and desk.is_whole("model")):
        return
    for model in desk.scenario.model:
        shares = option_shares(desk.scenario, model)
        for one, two in _excluded_pairs(desk):
            if shares[one] + shares[two] > 1 + _SLACK:
                desk.say(
                    ("option", two, "take"),
                    "mix-impossible",
                    f"{shown(one)} and {shown(two)} exclude each other, yet {shares[one]:.3g} and "
                    f"{shares[two]:.3g} of {shown(model)} have them; together at most 1.",
                )


def check_orders(desk: Desk) -> None:
    """Check the listed orders and whether the sequence can be given."""
    scenario = desk.scenario
    orders = scenario.orders
    if orders.sequence == "listed" and not orders.listed:
        desk.say(
            ("orders", "sequence"),
            "needs-other-key",
            "a listed sequence needs `list` or `file` with the orders.",
        )
    elif orders.sequence != "listed" and orders.listed:
        desk.say(
            ("orders", "sequence"),
            "needs-other-key",
            f"there is a list of orders, but the sequence is {orders.sequence}; write sequence = "
            '"listed" or remove it.',
        )
    excluded = _excluded_pairs(desk)
    for number, order in enumerate(orders.jobs):
        path: Path = ("orders", "list", number)
        desk.expect(path, order.model, "model")
        for option in order.options:
            desk.expect(path, option, "option")
        for one, two in excluded:
            if one in order.options and two in order.options:
                desk.say(
                    path,
                    "mix-impossible",
                    f"the order has {shown(one)} and {shown(two)}, which exclude each other.",
                )


def check_spacing(desk: Desk) -> None:
    """Check that every spacing rule can be kept on average."""
    scenario = desk.scenario
    total = sum(model.share for model in scenario.model.values())
    for name, rule in scenario.orders.spacing.items():
        path: Path = ("orders", "spacing", name)
        if rule.of not in desk.known("option") and rule.of not in desk.known("model"):
            known = [*scenario.option, *scenario.model]
            desk.say(
                (*path, "of"),
                "unknown-option",
                f"{shown(rule.of)} is neither an option nor a model of this scenario; "
                f"{has(known, rule.of, 'option')}.",
            )
            continue
        if rule.at_most >= rule.in_any:
            desk.say(
                (*path, "at_most"),
                "out-of-range",
                f"at most {rule.at_most} in any {rule.in_any} forbids nothing; `at_most` is less than "
                "`in_any`.",
            )
            continue
        if scenario.orders.sequence == "listed" or total <= 0:
            continue
        if not (desk.is_whole("option") and desk.is_whole("package") and desk.is_whole("model")):
            continue
        share = _share_of(desk, rule.of, total)
        if share > rule.at_most / rule.in_any + _SLACK:
            desk.say(
                path,
                "spacing-impossible",
                f"{shown(rule.of)} is on {share:.3g} of all jobs, and at most {rule.at_most} in any "
                f"{rule.in_any} allows {rule.at_most / rule.in_any:.3g}; loosen the rule or lower the share.",
            )


def _share_of(desk: Desk, name: str, total: float) -> float:
    models = desk.scenario.model
    if name in models:
        return models[name].share / total
    return sum(
        model.share / total * option_shares(desk.scenario, label).get(name, 0.0)
        for label, model in models.items()
    )
