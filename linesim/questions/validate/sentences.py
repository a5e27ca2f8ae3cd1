"""What a comparison with the plant's records says in plain sentences."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from linesim.answers.wording import change_by_sides, count_of, interval_text, level_text, listed, number
from linesim.questions.cautions import FEW
from linesim.questions.run.sentences import cause_in_words, stops_by_size
from linesim.questions.validate.judged import (
    CANT_TELL,
    JOBS,
    PLAUSIBLE,
    REWORKED,
    STEADY,
    STOPS,
    TOO_BAD,
    TOO_GOOD,
    WILD,
    Actuals,
    Judged,
    RecordColumn,
)
from linesim.runs.result import Result
from linesim.scenario import Scenario
from linesim.stats.precision import alike_neighbours, far_from_others

_FAR = 4.0  #: A shift further from the middle than so many robust standard deviations is pointed at.
_MOST_ODD = 4


def sentences(
    scenario: Scenario, records: Actuals, figures: Sequence[Judged], verdict: str, result: Result
) -> tuple[str, ...]:
    """Return the answer: the verdict, then figure by figure, then where to look."""
    said = [_head(records, figures, verdict)]
    said += [_figure(judged) for judged in figures]
    said += list(_scatter(figures))
    said += list(_where_to_look(scenario, figures, result))
    return tuple(said)


def _head(records: Actuals, figures: Sequence[Judged], verdict: str) -> str:
    most = max(judged.plant_shifts for judged in figures)
    against = f"Against {count_of(most, 'shift')} of the plant"
    off = [f"{_called(j.column)} {j.verdict}" for j in figures if j.is_off]
    if off:
        return f"{against} the line is not plausible: {listed(off)}."
    open_ones = [_called(j.column) for j in figures if j.verdict == CANT_TELL]
    if verdict == CANT_TELL:
        return f"{against} the data can't tell whether the line is plausible: the records are too few."
    rest = f"; on {listed(open_ones)} the data can't tell" if open_ones else ""
    good = [_called(j.column) for j in figures if j.verdict == PLAUSIBLE]
    return (
        f"{against} the line is plausible in {listed(good)}{rest}. That is no proof: it looks like the plant "
        "as it was then, and says nothing yet of a line that is changed."
    )


def _figure(judged: Judged) -> str:
    found, name, unit = judged.difference, _called(judged.column), judged.difference.unit
    levels = (
        f"{level_text(found.after, found)} simulated, {level_text(found.before, found)} in the plant, "
        f"{judged.plant_shifts_inside} of {judged.plant_shifts} shifts inside the range of eight simulated "
        f"ones in ten ({interval_text(judged.singles)})"
    )
    hide = judged.could_hide
    if hide is None:
        return f"{name}: can't tell, there is no interval; {levels}."
    if judged.is_off:
        share = f", {100 * judged.off_by / found.before:.0f} %" if found.before else ""
        return f"{name}: {judged.verdict} by {change_by_sides(found, unit, unit)}{share}; {levels}."
    limit = f"{level_text(hide, found)} {unit}"
    if judged.verdict == PLAUSIBLE:
        if found.sign:
            side = "more" if found.sign > 0 else "fewer"
            off = f"{level_text(judged.off_by, found)} {side}, less than what matters"
            return f"{name}: plausible, {off}; {levels}."
        return f"{name}: plausible, off by at most {limit}; {levels}."
    return f"{name}: can't tell, up to {limit} off would not show; {levels}."


def _scatter(figures: Sequence[Judged]) -> Iterator[str]:
    steady = [_called(j.column) for j in figures if j.scatter == STEADY]
    wild = [_called(j.column) for j in figures if j.scatter == WILD]
    if steady:
        yield (
            f"Single shifts of the line are too steady in {listed(steady)}: the plant scatters more. "
            "Something that varies from day to day is missing, such as people, mix, parts or long breakdowns."
        )
    if wild:
        yield (
            f"Single shifts of the line scatter more in {listed(wild)} than the plant's: spreads or failures "
            "are too large, or the plant evens them out in a way that the scenario lacks."
        )


def _where_to_look(scenario: Scenario, figures: Sequence[Judged], result: Result) -> Iterator[str]:
    """Yield what the figures, taken together, say of where the scenario is wrong."""
    jobs = next((j for j in figures if j.column.kind == JOBS), None)
    stops = [j for j in figures if j.column.kind == STOPS]
    off_stops = [j for j in stops if j.is_off]
    if jobs is not None and jobs.verdict == PLAUSIBLE and off_stops:
        yield (
            "The output agrees although the stops do not: two errors may be hiding each other, and a changed "
            "line would show it. Do not build on the output alone."
        )
    if jobs is not None and jobs.is_off:
        same = [j for j in off_stops if j.verdict == jobs.verdict]
        for j in same:
            section = scenario.section[j.column.section]
            takt_min = (section.takt or scenario.takt).seconds / 60
            yield (
                f"Its stop minutes in {j.column.section} are {j.verdict} as well: "
                f"{number(j.off_by, 0)} min are {number(j.off_by / takt_min, 1)} jobs at "
                f"its takt, and {number(jobs.off_by, 1)} are off."
            )
        if stops and not off_stops and all(j.verdict == PLAUSIBLE for j in stops):
            yield (
                "Its stops agree, so look elsewhere first: takt, breaks and length of the shift, jobs that "
                "are lost or taken out, what counts as finished."
            )
        if not stops:
            yield "Record the stop minutes too: they say whether it is stops or pace that is off."
    if any(j.verdict == TOO_GOOD for j in off_stops):
        names = listed([j.column.section for j in off_stops if j.verdict == TOO_GOOD])
        yield f"Too few stops in {names}: look for failures, short stops and parts that the scenario lacks."
    for j in off_stops:
        if j.verdict == TOO_BAD:
            yield from _largest(scenario, j, result)
    for j in figures:
        if j.column.kind == REWORKED and j.is_off:
            few = "too few" if j.verdict == TOO_GOOD else "too many"
            yield f"Rework: {few} jobs come to a bay; look at the chances of faults and of finding them."


def _largest(scenario: Scenario, judged: Judged, result: Result) -> Iterator[str]:
    """Yield what stops a section most in the simulation, where it stops too much."""
    section = judged.column.section
    inside = {section, *scenario.section[section].stations}
    rows = [row for row in stops_by_size(result) if row.where in inside]
    if rows:
        worst = rows[0]
        yield (
            f"Too many stops in {section}: the largest are at {worst.where} "
            f"({cause_in_words(worst.cause, of_section=worst.where == section)}, "
            f"{number(worst.mean or 0.0, 0)} min a shift); check those times and people first."
        )


def cautions(records: Actuals, result: Result) -> tuple[str, ...]:
    """Return what to know about the records and about the comparison."""
    said = []
    n = len(result.run.numbers)
    if n < FEW:
        said.append(
            f"{count_of(n, 'replication')} are few; take at least {FEW} before judging a line by them."
        )
    shifts = max(len(column.values) for column in records.columns)
    if shifts < FEW:
        said.append(
            f"{count_of(shifts, 'shift')} of the plant are few: take a month or more, good and bad days."
        )
    for column in records.columns:
        values, odd = column.values, []
        if len(values) >= 5:
            odd = [
                f"{column.shifts[i]} ({_short(values[i])})" for i in far_from_others(values, _FAR).tolist()
            ]
        if odd:
            more = f" and {len(odd) - _MOST_ODD} more" if len(odd) > _MOST_ODD else ""
            said.append(
                f"{_called(column)}: {listed(odd[:_MOST_ODD])}{more} lie far from the others; leave out only "
                "what was no ordinary shift, such as a half one."
            )
        r = alike_neighbours(values) if len(values) >= FEW else None
        if r is not None:
            said.append(
                f"{_called(column)}: shifts that follow each other are alike (correlation {r:.2f}), so the "
                "records say less than their number, and the intervals are too narrow."
            )
    if records.ignored:
        said.append(f"Columns that say nothing here were left alone: {listed(list(records.ignored))}.")
    return tuple(said)


def _called(column: RecordColumn) -> str:
    if column.kind == JOBS:
        return "jobs a shift"
    return "reworked jobs" if column.kind == REWORKED else f"stop minutes in {column.section}"


def _short(value: float) -> str:
    """Return a figure of one shift, with one decimal at most."""
    return number(value, 0 if float(value).is_integer() or abs(value) >= 10 else 1)
