"""What a study of bottlenecks says in plain sentences, and what to know before one is acted on."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from types import MappingProxyType
from typing import TYPE_CHECKING

from linesim.answers.measure import Measure
from linesim.answers.values import Estimate
from linesim.answers.wording import change_in_words, count_of, listed, number, text
from linesim.capacity.ceiling import limits
from linesim.capacity.loads import Loads
from linesim.questions.bottleneck.evidence import (
    ARROW,
    GAIN,
    ONE_MORE,
    PERIOD,
    SHARE,
    STOP,
    TURN,
    Link,
    Nomination,
    StationFigures,
)
from linesim.questions.bottleneck.one_more import OneMore, tells_more
from linesim.questions.cautions import FEW
from linesim.questions.run.sentences import cause_in_words
from linesim.scenario.line import placed_tasks

if TYPE_CHECKING:
    from linesim.plan.plan import Plan
    from linesim.scenario import Scenario

MOST_NAMED = 4
_DOUBT = "can't tell: "
_DOWN_COUNTS = 0.02  #: Share of its hours in which a station is down that is worth a word.

#: What each method is called in a sentence.
_CALLED = MappingProxyType(
    {
        GAIN: "gain from speed",
        ONE_MORE: "one more",
        STOP: "minutes of stop caused",
        SHARE: "shifting bottleneck",
        PERIOD: "active periods",
        ARROW: "arrow rule",
        TURN: "turning point",
    }
)


def sentences(
    figures: Sequence[StationFigures],
    one_more: Sequence[OneMore],
    methods: Sequence[Nomination],
    links: Sequence[Link],
    measure: Measure,
    faster: float,
    replications: int,
    is_beyond: bool,
) -> tuple[str, ...]:
    """Return the answer: whether the methods agree, then each of them, the yardstick first.

    Args:
        figures: What the methods look at, by station.
        one_more: What one more of each crew, tool and carrier brings.
        methods: Whom each method names.
        links: What the rules of blocking and starving compare.
        measure: The measure that counts.
        faster: By how many percent stations were made faster.
        replications: How many there are.
        is_beyond: Whether one more of some crew, tool or carrier surely brings more than any faster station;
            then that is said first.
    """
    by_station = {f.station: f for f in figures}
    by_method = {m.method: m for m in methods}
    more = list(_one_more(by_method.get(ONE_MORE), one_more, measure, faster, is_beyond))
    said = [*(more if is_beyond else ()), _agreement(methods, by_station, tells_more(one_more))]
    if replications == 1:
        said.append("One replication was run: no figure has an interval, and nothing can be told apart.")
    if any(f.gain is not None for f in figures):
        said.append(_gain(by_method[GAIN], by_station, measure, faster))
    said += () if is_beyond else more
    said += _stop(by_method[STOP], by_station, links)
    said += _periods(by_method[SHARE], by_method[PERIOD], by_station)
    said += _rules(by_method[ARROW], by_method[TURN], links)
    said += _why(by_method, by_station, links, measure, faster)
    return tuple(said)


def on_paper(plan: Plan, rate: Estimate) -> Iterator[str]:
    """Yield what would hold the line back if nothing ever waited, and how near to that it comes.

    Args:
        plan: The line.
        rate: Jobs per hour of working time that it makes.
    """
    found = limits(Loads(plan))
    if found and rate.mean is not None:
        limit = found[0]
        yield (
            f"On paper, as if nothing ever waited, the tightest limit is the {limit.label} with "
            f"{limit.jobs_per_hour:.1f} jobs an hour ({limit.because}); the line makes "
            f"{text(rate.scaled(100 / limit.jobs_per_hour, '%'))} % of that."
        )


def _agreement(methods: Sequence[Nomination], by_station: dict[str, StationFigures], more_tells: bool) -> str:
    """Return whether those methods agree that look for a station."""
    looking = [m for m in methods if m.method != ONE_MORE]
    naming = [m for m in looking if m.stations]
    if not naming and more_tells:
        return "No method names a station."
    if not naming:
        return "No method names a bottleneck: nothing is stopped, blocked, starved or gained anywhere."
    common = set.intersection(*(set(m.stations) for m in naming))
    if common:
        where = naming[0].place if len(naming) == 1 or naming[0].place in common else min(common)
        every = "All" if len(naming) > 1 else "The only"
        which = f"{every} {count_of(len(naming), 'method that names', 'methods that name')} a place"
        return f"{which} {'point' if len(naming) > 1 else 'points'} to {where}."
    by_place: dict[str, list[str]] = {}
    for m in naming:
        by_place.setdefault(_with_station(m, naming), []).append(_CALLED[m.method])
    places = "; ".join(f"{place} by {listed(names)}" for place, names in by_place.items())
    possible = set.intersection(*(set(m.level) | set(m.stations) for m in naming))
    if possible:
        names = [name for name in by_station if name in possible]
        return f"The methods name different places: {places}. None of them rules out {some(names, 'or')}."
    return f"The methods disagree: {places}."


def _with_station(named: Nomination, naming: Sequence[Nomination]) -> str:
    """Return a place; of a section also whose, if another method names a station in it."""
    inside = [m.place for m in naming if m.place in named.stations and m.place != named.place]
    return f"{named.place}, the section of {inside[0]}," if inside else named.place


def _gain(named: Nomination, by_station: dict[str, StationFigures], measure: Measure, faster: float) -> str:
    rows = {name: f.gain for name, f in by_station.items() if f.gain is not None}
    highs = [gain.high for gain in rows.values() if gain.high is not None]
    asked = "no station" if len(rows) == len(by_station) else f"none of {some(list(rows))}"
    if highs and max(highs) <= 0:
        return f"Made {faster:g} % faster, {asked} brings more {measure.words()[2]}."
    if not named.place:
        most = f": none more than {number(max(highs), 2)}" if highs else " (one replication, no interval)"
        return f"Made {faster:g} % faster, {asked} surely brings more {measure.words()[2]}{most}."
    first = named.place
    row = rows[first]
    if len(rows) == 1:
        return f"Made {faster:g} % faster, {first} brings: {change_in_words(row, measure)}."
    if not named.stations:
        return (
            f"Whether any station made {faster:g} % faster brings more, the data can't tell; the one with "
            f"the most is {first}, {change_in_words(row, measure).removeprefix(_DOUBT)}."
        )
    said = f"Made {faster:g} % faster, {first} brings the most: {change_in_words(row, measure)}"
    return f"{said}{_level(named, 'could bring as much')}."


def _one_more(
    named: Nomination | None, found: Sequence[OneMore], measure: Measure, faster: float, is_beyond: bool
) -> Iterator[str]:
    """Yield which crew, tool or carrier holds the line back, by what one more of it brings."""
    if named is None:
        return
    rows = {one.resource.label: one.gain for one in found}
    asked = "crews, tools and carriers" if len(rows) > 4 else some(list(rows))
    highs = [gain.high for gain in rows.values() if gain.high is not None]
    if highs and max(highs) <= 0:
        yield f"One more of {asked}, each alone, brings no more {measure.words()[2]}."
    elif not named.stations:
        rest = measure.words()[2]
        yield f"Whether one more of {asked}, each alone, brings more {rest}, the data can't tell."
    else:
        beyond = f", surely more than any station made {faster:g} % faster" if is_beyond else ""
        yield (
            f"Of crews, tools and carriers, one more of {named.place} brings the most: "
            f"{change_in_words(rows[named.place], measure)}{beyond}{_level(named, 'could bring as much')}."
        )


def _stop(named: Nomination, by_station: dict[str, StationFigures], links: Sequence[Link]) -> Iterator[str]:
    if not any(link.is_paced for link in links):
        return
    if not named.stations:
        yield "No station of a paced section stops it by itself."
        return
    worst = by_station[named.place]
    assert worst.stop is not None
    mostly = f", mostly {cause_in_words(worst.cause)}" if worst.cause else ""
    yield (
        f"{named.place} causes most stop by itself: {text(worst.stop)} min a shift{mostly}"
        f"{_level(named, 'could cause as much')}."
    )


def _periods(share: Nomination, period: Nomination, by_station: dict[str, StationFigures]) -> Iterator[str]:
    if share.stations:
        first = by_station[share.place]
        yield (
            f"{share.place} is the momentary bottleneck for most of the time: "
            f"{text(first.share)} % of it, alone for {text(first.sole)} %"
            f"{_level(share, 'could be it as long')}."
        )
    if period.stations:
        first = by_station[period.place]
        yield (
            f"{period.place} works longest without a pause: {text(first.period)} s on average"
            f"{_level(period, 'could work as long')}."
        )


def _rules(arrow: Nomination, turn: Nomination, links: Sequence[Link]) -> Iterator[str]:
    if len(links) < 2:
        yield (
            "Arrow rule and turning point have nothing to compare: the line is one section whose stations "
            "stop together."
            if links and links[0].is_paced
            else "Arrow rule and turning point have nothing to compare: the line is one station."
        )
        return
    if not arrow.level:
        yield "Arrow rule and turning point have nothing to compare: nothing is ever blocked or starved."
        return
    yield f"By blocking and starving, {_arrows(arrow)}; {_turn(turn)}."


def _arrows(arrow: Nomination) -> str:
    if arrow.stations:
        return f"the arrow rule points to {_place(arrow)}"
    return f"where the arrow rule points the data can't tell ({arrow.place})"


def _turn(turn: Nomination) -> str:
    if turn.stations:
        return f"blocked turns into starved at {_place(turn)}"
    if turn.level:
        return f"where blocked turns into starved the data can't tell ({turn.place})"
    return "there is no single place where blocked turns into starved"


def _place(named: Nomination) -> str:
    what = f"{named.place}" if len(named.stations) == 1 else f"the section {named.place}"
    return f"{what} (in {named.times} of {count_of(named.replications, 'replication')})"


def _why(
    by_method: dict[str, Nomination],
    by_station: dict[str, StationFigures],
    links: Sequence[Link],
    measure: Measure,
    faster: float,
) -> Iterator[str]:
    """Yield why the methods differ, where the line's pacing or its failures explain it."""
    gain, stop, share = by_method[GAIN], by_method[STOP], by_method[SHARE]
    periods = {by_method[SHARE].place, by_method[PERIOD].place} - {""}
    yardsticks = {gain.place, stop.place} - {""}
    if any(link.is_paced for link in links) and periods - yardsticks:
        yield (
            "On a paced line the pitch hides a bottleneck: work that is done early becomes spare time and "
            "work that is late becomes a stop, so a station may work without a pause and still keep its "
            "takt. There the minutes of stop caused and the gain from speed count more than active periods."
        )
    if stop.stations and gain.stations and stop.place != gain.place:
        yield _gain_where_it_stops(by_station[stop.place], measure, faster)
    for place in dict.fromkeys((share.place, by_method[PERIOD].place, by_method[ARROW].place)):
        found = by_station.get(place)
        if found is not None and found.down.mean is not None and found.down.mean >= _DOWN_COUNTS:
            yield (
                f"{place} is down for {text(found.down)} % of its hours: that time counts as "
                "active, and faster work does not shorten it."
            )


def _gain_where_it_stops(worst: StationFigures, measure: Measure, faster: float) -> str:
    if worst.gain is None:
        return f"What a faster {worst.station} would bring was not asked."
    said = f"{worst.station} itself, made {faster:g} % faster: {change_in_words(worst.gain, measure)}"
    if worst.cause in ("", "overrun") or worst.gain.sign > 0:
        return f"{said}."
    why = cause_in_words(worst.cause)
    if worst.cause == "waiting":
        return f"{said}. Its stops are mostly {why}: what is short there counts more."
    return f"{said}. Its stops are mostly {why}, which faster work does not remove."


def _level(named: Nomination, could: str) -> str:
    """Return which others cannot be told from the one that is named."""
    others = [name for name in named.level if name != named.place]
    if not others:
        return ""
    return f"; the data can't tell it from {some(others)}, which {could}"


def some(names: Sequence[str], last: str = "and") -> str:
    """Return the first names of a list, and how many more there are."""
    if len(names) <= MOST_NAMED:
        return listed(list(names), last)
    return f"{', '.join(names[:MOST_NAMED])} {last} {len(names) - MOST_NAMED} more"


def cautions(
    scenario: Scenario,
    figures: Sequence[StationFigures],
    methods: Sequence[Nomination],
    links: Sequence[Link],
    faster: float,
    replications: int,
) -> tuple[str, ...]:
    """Return what a reader should look into before acting on the answer."""
    by_people, by_robots = _who_works(scenario, [f.station for f in figures if f.gain is not None])
    said = []
    if 1 < replications < FEW:
        said.append(
            f"{replications} replications are few where so many comparisons hold together: their intervals "
            f"are wide for that reason alone, and {FEW} or more tell much more."
        )
    if by_people:
        said.append(
            f"{faster:g} % faster is a question put to the line, not an order to its people: a faster pace "
            "raises how often loads are handled and how long postures are held (ISO 11228-3, EN 1005-5, "
            "ISO 11226, ISO 6385, ISO 10075). A better method or less work at the station shortens its time "
            "as well. No figure here says that a pace is safe."
        )
    if by_robots:
        said.append(
            f"A faster robot (here at {listed(by_robots[:4])}{' and more' if len(by_robots) > 4 else ''}) "
            "moves with more force and takes longer to stop: its risks and safeguards are to be looked into "
            "anew (ISO 12100, ISO 10218-1 and -2, ISO 13849-1, ISO 13855)."
        )
    if any(m.method == ARROW and m.stations for m in methods) and any(not link.is_paced for link in links):
        said.append(
            "The arrow rule was made for lines whose machines start together; where a finished job blocks "
            "its machine, as in free sections here, it can point one place off near the ends of the line."
        )
    if scenario.feeder:
        said.append(
            "Arrow rule and turning point look at the main line only, not at "
            f"{listed(list(scenario.feeder))}."
        )
    return tuple(said)


def _who_works(scenario: Scenario, stations: Sequence[str]) -> tuple[bool, list[str]]:
    """Return whether people work at any of the stations, and at which of them robots do."""
    tasks = [(one.at, one.task) for one in placed_tasks(scenario.station) if one.at in stations]
    robots = list(dict.fromkeys(name for name, task in tasks if task.robot))
    return any(task.people for _, task in tasks), robots
