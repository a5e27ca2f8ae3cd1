"""What a mix says in plain sentences."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from linesim.answers.wording import listed, number
from linesim.plan.plan import Plan
from linesim.questions.figures import estimate, places, with_span
from linesim.questions.mix.books import kept_rules, usual_rule
from linesim.questions.mix.curve import PlanLimit
from linesim.questions.mix.drivers import Driver, by_output
from linesim.questions.mix.figures import output, output_of
from linesim.questions.mix.tables import Gain, MixLevel
from linesim.questions.varying import Factor
from linesim.questions.verdicts import in_words, saving_in_words, sign_of
from linesim.runs.cases import CaseRuns
from linesim.runs.main_measure import Measure
from linesim.runs.rows import Row
from linesim.stats import fair_difference


@dataclass(frozen=True, slots=True)
class MixFindings:
    """Everything that the sentences speak of; see `OptionMix`."""

    levels: Sequence[MixLevel]
    focus: str
    factor: Factor | None
    limit: PlanLimit | None
    drivers: Sequence[Driver]
    spacings: Sequence[Gain]
    built: Mapping[str, Mapping[str, float]]
    plan: Plan
    target: float | None


def sentences(runs: CaseRuns, found: MixFindings, confidence: float) -> tuple[str, ...]:
    """Return the answer: what the mix does, whether the plan holds, what drives it, what would help."""
    figure = output_of(runs)
    said = [_mix(level, found, figure) for level in found.levels[1:] if _is_told(level, found)]
    if len(found.levels) == 1:
        said.append(f"As it is the line makes {with_span(found.levels[0].output)} {figure.label}.")
    said += [_plan(found), _pairing(runs, found), *_drivers(found, figure), *_rules(found, figure)]
    if len(found.levels) > 2:
        said.append(
            f"Differences from the line as it is hold together with {100 * confidence:g} % confidence, kind "
            "by kind."
        )
    return tuple(text for text in said if text)


def _is_told(level: MixLevel, found: MixFindings) -> bool:
    """Of a range the first and the last are told; the table has all."""
    inside = [item for item in found.levels if item.value]
    return level not in inside or level in (inside[0], inside[-1])


def _mix(level: MixLevel, found: MixFindings, figure: Measure) -> str:
    assert level.more_output is not None and level.more_stops is not None
    base = found.levels[0]
    text = in_words(level.more_output, figure)
    built = _built(level.case, found) if level.value else ""
    if sign_of(level.more_output):
        text += f", {estimate(level.output)} instead of {estimate(base.output)}"
    stops = f"{_minutes(level.more_stops)} of stops that begin on the line itself, a shift"
    return f"{level.case}{built}: {text}; {stops}."


def _built(case: str, found: MixFindings) -> str:
    """Return the share that is built, where packages or other options make it another than the rate."""
    factor = found.factor
    if factor is None or factor.path[0] != "option" or len(factor.path) < 3:
        return ""
    share = found.built[case].get(factor.path[1], 0.0)
    return f" ({100 * share:.0f} % of the jobs have it)"


def _minutes(row: Row) -> str:
    if row.mean is None:
        return "– min"
    shown = places(row)
    if row.low is None or row.high is None:
        return f"{number(abs(row.mean), shown)} min {'more' if row.mean > 0 else 'less'}"
    if sign := sign_of(row):
        near, far = sorted((abs(row.low), abs(row.high)))
        word = "more" if sign > 0 else "less"
        return f"{number(abs(row.mean), shown)} min {word} ({number(near, shown)} to {number(far, shown)})"
    if row.low == row.high == 0:
        return "as many min"
    return (
        f"can't tell, between {number(abs(row.low), shown)} min less and {number(row.high, shown)} min more"
    )


def _plan(found: MixFindings) -> str:
    if found.target is None:
        return ""
    limit = found.limit
    if limit is None:
        level = found.levels[-1]
        met = "" if level.plan_met is None else f"{100 * level.plan_met:.0f} % of the single shifts make it"
        return f"The plan asks for {found.target:g} a shift: in {level.case!r} {met}." if met else ""
    assert found.factor is not None
    name, values = found.factor.name, [float(level.value) for level in found.levels if level.value]
    if limit.always_fails:
        data = "and the data exclude it" if limit.is_excluded else "but the data can't exclude it"
        return (
            f"On average no rate from {values[0]:g} to {values[-1]:g} makes the plan of {limit.target:g} a "
            f"shift, {data}."
        )
    if limit.never_fails:
        sure = f"surely up to {limit.sure:g}" if limit.sure is not None else "but at none of them surely"
        return (
            f"On average every rate from {values[0]:g} to {values[-1]:g} makes the plan of {limit.target:g} "
            f"a shift, {sure}."
        )
    return _falls(limit, name, values[0], values[-1])


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


def _pairing(runs: CaseRuns, found: MixFindings) -> str:
    if len(found.levels) < 2:
        return ""
    names = found.levels[0].case, found.levels[-1].case
    return saving_in_words(fair_difference(output(runs, names[1]), output(runs, names[0]), 0.95))


def _drivers(found: MixFindings, figure: Measure) -> list[str]:
    sure = [driver for driver in found.drivers if sign_of(driver.own_overload) > 0]
    if not found.drivers:
        return []
    if not sure:
        return ["No option surely brings overload: the data can't tell any of them from nothing."]
    said = [_driver(sure[0], found, figure)]
    costly = [driver for driver in by_output(found.drivers) if sign_of(driver.own_output) > 0]
    if costly and costly[0] is not sure[0]:
        first = costly[0]
        said.append(
            f"Most jobs are lost to {first.option}{_goes(first)}: if nobody took it, "
            f"{in_words(first.output, figure)}."
        )
    others = [
        f"{driver.option}{_beyond(driver)} {with_span(driver.own_overload)} s{_where(driver)}"
        for driver in sure[1:4]
    ]
    if others:
        said.append(f"After it: {listed(others)} of overload per job.")
    rest = [driver.option for driver in found.drivers if driver not in sure]
    if rest:
        said.append(f"Of {listed(rest)} the data can't tell that it brings any.")
    return said


def _driver(driver: Driver, found: MixFindings, figure: Measure) -> str:
    goes = _goes(driver)
    each = f", {driver.overload_each:.2g} s per job that has it" if driver.overload_each is not None else ""
    return (
        f"In {found.focus!r} {driver.option}{goes} drives the overload: {with_span(driver.overload)} s per "
        f"job{each}, {_most_at(driver)}. If nobody took it: {in_words(driver.output, figure)}."
    )


def _where(driver: Driver) -> str:
    """Say where; of an option that others need the stations are those of all, which the table has."""
    return "" if driver.others else f" ({_most_at(driver)})"


def _beyond(driver: Driver) -> str:
    """Say of an option that others need that only its own part is meant."""
    return f" beyond {listed(driver.others)}" if driver.others else ""


def _goes(driver: Driver) -> str:
    if not driver.others:
        return ""
    return f" (with {listed(driver.others)}, which {'needs' if len(driver.others) == 1 else 'need'} it)"


def _most_at(driver: Driver) -> str:
    sure = [row for row in driver.by_station if sign_of(row) > 0]
    if not sure:
        return "at no single station for sure"
    return f"most at {listed([f'{row.where} ({estimate(row)} s)' for row in sure[:2]])}"


def _turned(row: Row) -> Row:
    """Return a row with its sign turned round."""
    assert row.mean is not None and row.low is not None and row.high is not None
    return row._replace(mean=-row.mean, low=-row.high, high=-row.low)


def _rules(found: MixFindings, figure: Measure) -> list[str]:
    said = []
    for rule, gain, relief in found.spacings:
        said.append(f"A rule '{rule}': {in_words(gain, figure)}; overload: {_seconds(relief)}.")
    if not found.spacings and found.drivers and sign_of(found.drivers[0].overload) > 0:
        driver = found.drivers[0]
        share = f"{100 * driver.share:.0f} % of the jobs"
        usual = usual_rule(driver.option, driver.share)
        if usual in kept_rules(found.plan):
            said.append(
                f"The sequence keeps the rule '{usual}' already; no tighter usual one leaves room for "
                f"{share}."
            )
        else:
            said.append(f"{driver.option} is on {share}: no usual rule could keep it apart.")
    return said


def _seconds(row: Row) -> str:
    if row.mean is None or row.low is None or row.high is None:
        return "without an interval"
    if sign_of(row) > 0:
        return f"falls by {with_span(row)} s per job"
    if sign_of(row) < 0:
        return f"rises by {with_span(_turned(row))} s per job"
    return "can't tell"
