"""The decision that an answer is for: the line now, what was tried, and what each choice is worth.

Sentences tell an answer and tables hold it. A decision is the little of it that somebody needs who only asks
what to do: what is made now, what each choice would make, whether that makes the plan, in jobs and in money.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any

from linesim.answers.measure import Measure
from linesim.answers.values import Change, Estimate


@dataclass(frozen=True, slots=True)
class Moments:
    """What a choice brings more a shift in amounts, over replications, so that other prices can be put in.

    Attributes:
        means: Jobs, money of stops, shifts that people work, money of equipment.
        covariance: Of these, between replications.
        reach: So many standard errors wide is an interval to either side.
    """

    means: tuple[float, ...]
    covariance: tuple[tuple[float, ...], ...]
    reach: float


@dataclass(frozen=True, slots=True)
class CaseChoice:
    """A line that was simulated: as it is, or changed.

    Attributes:
        name: What the answer calls it.
        makes: The measure that decides.
        levels: What was chosen, as pairs of an input and its value; empty where choices are no combination.
        change: Against the line as it is; None for that itself.
        met: Share of the shifts that make the plan; None without one.
        money: Net money under ``""`` and its parts, against the line as it is, or of it.
        moments: The same in amounts; None without replications that pair up, or for the line as it is.
    """

    name: str
    makes: Estimate
    levels: tuple[tuple[str, str], ...] = ()
    change: Change | None = None
    met: Estimate | None = None
    money: tuple[tuple[str, Estimate], ...] = ()
    moments: Moments | None = None

    def worth(self, part: str = "") -> Estimate | None:
        """Return net money, or a part of it; None where it has no price."""
        return dict(self.money).get(part)


@dataclass(frozen=True, slots=True)
class CaseDecision:
    """What is to be decided.

    Attributes:
        measure: The measure that decides.
        now: The line as it is.
        choices: What was tried; empty where nothing was compared.
        best: Name of the choice that is best by the measure; empty without choices.
        target: Jobs a shift that the plan asks for; None without a plan.
        matters: Difference of the measure that a study with `needed` replications would show.
        needed: Replications that it takes; None where one replication says nothing of that.
        currency, margin, wage: Word of the money, what a job brings and a person's shift costs; None or
            empty where nobody says.
    """

    measure: Measure
    now: CaseChoice
    choices: tuple[CaseChoice, ...] = ()
    best: str = ""
    target: float | None = None
    matters: float = 0.0
    needed: int | None = None
    currency: str = ""
    margin: float | None = None
    wage: float | None = None

    @property
    def chosen(self) -> CaseChoice | None:
        """The best choice; None where nothing was compared."""
        return next((one for one in self.choices if one.name == self.best), None)

    @property
    def verdict(self) -> str:
        """What the best choice is against the line as it is, or that against the plan, in a word or two."""
        if self.chosen is None or self.chosen.change is None:
            return "" if self.makes_plan is None else f"plan: {self.makes_plan}"
        found = self.chosen.change
        if not found.sign:
            return found.verdict
        return "better" if (found.sign > 0) is self.measure.more_is_better else "worse"

    @property
    def makes_plan(self) -> str | None:
        """Whether more than half of the shifts make the plan with the best choice; None without a plan."""
        met = (self.chosen or self.now).met
        if met is None or met.mean is None:
            return None
        if met.low is None or met.high is None:
            return "can't tell"
        return "yes" if met.low > 0.5 else "no" if met.high < 0.5 else "can't tell"

    def as_dict(self) -> dict[str, Any]:
        """Return it as plain dictionaries, lists, texts and numbers."""
        found: dict[str, Any] = _lists(asdict(self))
        return found | {"measure": str(self.measure)}

    @classmethod
    def from_dict(cls, raw: Mapping[str, Any]) -> CaseDecision:
        """Return it from what `as_dict` gives.

        Raises:
            KeyError, TypeError or ValueError: If it was not given by it.
        """
        measure = str(raw["measure"]).split(":")
        own = {name: raw[name] for name in _OWN}
        return cls(Measure(*measure), _choice(raw["now"]), tuple(map(_choice, raw["choices"])), **own)


_OWN = ("best", "target", "matters", "needed", "currency", "margin", "wage")


def _lists(value: Any) -> Any:
    """Return a value with lists in place of tuples, as it is read back."""
    if isinstance(value, dict):
        return {name: _lists(item) for name, item in value.items()}
    return [_lists(item) for item in value] if isinstance(value, list | tuple) else value


def _choice(raw: Mapping[str, Any]) -> CaseChoice:
    moments = raw["moments"]
    return CaseChoice(
        str(raw["name"]), Estimate(**raw["makes"]), tuple((str(a), str(b)) for a, b in raw["levels"]),
        None if raw["change"] is None else Change(**raw["change"]),
        None if raw["met"] is None else Estimate(**raw["met"]),
        tuple((str(part), _money(found)) for part, found in raw["money"]),
        None if moments is None else Moments(
            _numbers(moments["means"]), tuple(map(_numbers, moments["covariance"])), float(moments["reach"])
        ),
    )  # fmt: skip


def _money(raw: Mapping[str, Any]) -> Estimate:
    return Change(**raw) if "comparisons" in raw else Estimate(**raw)


def _numbers(raw: Sequence[float]) -> tuple[float, ...]:
    return tuple(map(float, raw))
