"""What a mix says in plain sentences."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from linesim.answers.measure import Measure
from linesim.answers.values import Change
from linesim.answers.wording import change_in_words, draws_in_words, listed, mean_text, text
from linesim.plan.plan import Plan
from linesim.questions.mix.drivers import Driver, RuleGain, by_output, kept_rules, usual_rule
from linesim.questions.mix.levels import OVERLOAD, STOPS, MixLevel, PlanLimit
from linesim.questions.varying import Factor


@dataclass(frozen=True, slots=True)
class MixSentences:
    """Says what was found of some mixes.

    Attributes:
        output: Jobs per shift or per hour.
        levels: The mixes, the line as it is first.
        focus: Name of the case that is taken apart.
        plan: The same as a plan.
        factor: What is varied; None if nothing is.
        target: Jobs per shift that the plan asks for; None without one.
        limit: Up to which rate that is made; None without a range of numbers or without a plan.
        drivers: What each option costs in ``focus``, the largest overload first.
        gains: Each rule that was tried in ``focus``, and what it gives back.
    """

    output: Measure
    levels: Sequence[MixLevel]
    focus: str
    plan: Plan
    factor: Factor | None
    target: float | None
    limit: PlanLimit | None
    drivers: Sequence[Driver]
    gains: Sequence[RuleGain]

    def all(self, confidence: float) -> list[str]:
        """Return the answer: what the mix does, whether the plan holds, what drives it, what would help."""
        base, *others = self.levels
        inside = [level for level in self.levels if level.value]
        # Of a range the first and the last are told; the table has all.
        told = [level for level in others if level not in inside[1:-1]]
        told.sort(key=lambda level: -abs(level.more["output"].mean or 0.0))
        said = [self._mix(level) for level in told]
        if not others:
            said.append(f"As it is the line makes {text(base.level['output'])} {self.output.label}.")
        said.append(self._plan())
        said += [draws_in_words(level.more["output"]) for level in others[-1:]]
        said += [*self._drivers(), *self._rules()]
        if len(others) > 1:
            said.append(
                f"Differences from the line as it is hold together with {100 * confidence:g} % confidence, "
                "kind by kind."
            )
        return said

    def _words(self, change: Change) -> str:
        return change_in_words(change, self.output)

    def _mix(self, level: MixLevel) -> str:
        has_share = level.value and level.built_share is not None
        built = f" ({100 * (level.built_share or 0.0):.0f} % of the jobs have it)" if has_share else ""
        output, stops = level.more["output"], level.more["stops"]
        said = self._words(output)
        if output.sign:
            now, then = (mean_text(one.level["output"]) for one in (self.levels[0], level))
            said += f", {then} instead of {now}"
        return f"{level.case}{built}: {said}; {change_in_words(stops, STOPS)}."

    def _plan(self) -> str:
        if self.target is None:
            return ""
        limit, last = self.limit, self.levels[-1]
        if limit is None:
            if last.plan_met is None:
                return ""
            return (
                f"The plan asks for {self.target:g} a shift: in {last.case!r} {text(last.plan_met)} % of the "
                "single shifts make it."
            )
        assert self.factor is not None
        values = [level.value for level in self.levels if level.value]
        rates = f"from {values[0]} to {values[-1]}"
        if limit.always_fails:
            data = "and the data exclude it" if limit.is_excluded else "but the data can't exclude it"
            return f"On average no rate {rates} makes the plan of {limit.target:g} a shift, {data}."
        if limit.never_fails:
            sure = f"surely up to {limit.sure:g}" if limit.sure is not None else "but at none of them surely"
            return f"On average every rate {rates} makes the plan of {limit.target:g} a shift, {sure}."
        return _falls(limit, self.factor.name, float(values[0]), float(values[-1]))

    def _drivers(self) -> list[str]:
        sure = [driver for driver in self.drivers if driver.own_overload.sign > 0]
        if not self.drivers:
            return []
        if not sure:
            return ["No option surely brings overload: the data can't tell any of them from nothing."]
        said = [self._driver(sure[0])]
        costly = [driver for driver in by_output(self.drivers) if driver.own_output.sign > 0]
        if costly and costly[0] is not sure[0]:
            first = costly[0]
            said.append(
                f"Most jobs are lost to {first.option}{_goes(first)}: if nobody took it, "
                f"{self._words(first.output)}."
            )
        others = []
        for driver in sure[1:4]:
            # Of an option that others need its own part is meant, and the stations would be those of all.
            beyond = f" beyond {listed(driver.others)}" if driver.others else ""
            where = "" if driver.others else f" ({_most_at(driver)})"
            others.append(f"{driver.option}{beyond} {text(driver.own_overload.amount)} s{where}")
        if others:
            said.append(f"After it: {listed(others)} of overload per job.")
        rest = [driver.option for driver in self.drivers if driver not in sure]
        if rest:
            said.append(f"Of {listed(rest)} the data can't tell that it brings any.")
        return said

    def _driver(self, driver: Driver) -> str:
        each = driver.overload_each
        per_job = "" if each is None else f", {each:.2g} s per job that has it"
        return (
            f"In {self.focus!r} {driver.option}{_goes(driver)} drives the overload: "
            f"{text(driver.overload.amount)} s per job{per_job}, {_most_at(driver)}. If nobody took it: "
            f"{self._words(driver.output)}."
        )

    def _rules(self) -> list[str]:
        said = [
            f"A rule '{gain.rule}': {self._words(gain.output)}; {change_in_words(gain.overload, OVERLOAD)}."
            for gain in self.gains
        ]
        if not self.gains and self.drivers and self.drivers[0].overload.sign > 0:
            driver = self.drivers[0]
            share = f"{100 * driver.share:.0f} % of the jobs"
            usual = usual_rule(driver.option, driver.share)
            if usual in kept_rules(self.plan):
                said.append(
                    f"The sequence keeps the rule '{usual}' already; no tighter usual one leaves room for "
                    f"{share}."
                )
            else:
                said.append(f"{driver.option} is on {share}: no usual rule could keep it apart.")
        return said


def _falls(limit: PlanLimit, name: str, least: float, most: float) -> str:
    if limit.rate is None:
        return (
            f"At {name} = {least:g} the plan of {limit.target:g} a shift is not made on average; what comes "
            "after it is in the table."
        )
    ends = [least if limit.low is None else limit.low, most if limit.high is None else limit.high]
    below = "below " if limit.low is None else ""
    above = "beyond " if limit.high is None else ""
    bounds = f" ({below}{ends[0]:.2g} to {above}{ends[1]:.2g})" if limit.sure or limit.possible else ""
    sure = f"surely at {limit.sure:g}" if limit.sure is not None else "surely at no rate looked at"
    return (
        f"The plan of {limit.target:g} a shift is made on average up to {name} = {limit.rate:.2g}{bounds}, "
        f"by a straight line between the rates looked at; {sure}."
    )


def _goes(driver: Driver) -> str:
    if not driver.others:
        return ""
    return f" (with {listed(driver.others)}, which {'needs' if len(driver.others) == 1 else 'need'} it)"


def _most_at(driver: Driver) -> str:
    sure = sorted(
        (one for one in driver.by_station if one.difference.sign > 0),
        key=lambda one: -(one.difference.mean or 0.0),
    )
    if not sure:
        return "at no single station for sure"
    told = [f"{one.measure.where} ({mean_text(one.difference.amount)} s)" for one in sure[:2]]
    return f"most at {listed(told)}"
