"""What a study of bottlenecks says in plain sentences."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from types import MappingProxyType
from typing import TYPE_CHECKING

from linesim.answers.wording import count_of, listed, number
from linesim.capacity.ceiling import limits
from linesim.capacity.loads import Loads
from linesim.questions.bottleneck.chain import Link
from linesim.questions.bottleneck.evidence import (
    ARROW,
    GAIN,
    ONE_MORE,
    PERIOD,
    SHARE,
    STOP,
    TURN,
    Nomination,
    StationFigures,
)
from linesim.questions.bottleneck.one_more import OneMore, tells_more
from linesim.questions.figures import with_span
from linesim.questions.run.sentences import cause_in_words
from linesim.questions.verdicts import in_words, sign_of
from linesim.runs.main_measure import Measure
from linesim.runs.rows import Row

if TYPE_CHECKING:
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
    figure: Measure,
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
        figure: The figure that counts.
        faster: By how many percent stations were made faster.
        replications: How many there are.
        is_beyond: Whether one more of some crew, tool or carrier surely brings more than any faster station;
            then that is said first.
    """
    by_station = {f.station: f for f in figures}
    by_method = {m.method: m for m in methods}
    more = list(_one_more(by_method.get(ONE_MORE), one_more, figure, faster, is_beyond))
    said = [*(more if is_beyond else ()), _agreement(methods, by_station, tells_more(one_more))]
    if replications == 1:
        said.append("One replication was run: no figure has an interval, and nothing can be told apart.")
    if any(f.gain is not None for f in figures):
        said.append(_gain(by_method[GAIN], by_station, figure, faster))
    said += () if is_beyond else more
    said += _stop(by_method[STOP], by_station, links)
    said += _periods(by_method[SHARE], by_method[PERIOD], by_station)
    said += _rules(by_method[ARROW], by_method[TURN], links)
    said += _why(by_method, by_station, links, figure, faster)
    return tuple(said)


def on_paper(scenario: Scenario, rate: Row) -> Iterator[str]:
    """Yield what would hold the line back if nothing ever waited, and how near to that it comes.

    Args:
        scenario: The line.
        rate: Jobs per hour of working time that it makes.
    """
    from linesim.plan.build import build

    found = limits(Loads(build(scenario)))
    if found and rate.mean is not None:
        limit = found[0]
        percent = 100 / limit.jobs_per_hour
        yield (
            f"On paper, as if nothing ever waited, the tightest limit is the {limit.label} with "
            f"{limit.jobs_per_hour:.1f} jobs an hour ({limit.because}); the line makes "
            f"{with_span(rate, scale=percent)} % of that."
        )


def _agreement(methods: Sequence[Nomination], by_station: dict[str, StationFigures], more_tells: bool) -> str:
    """Return whether those methods agree that look for a station."""
    looking = [m for m in methods if m.method != ONE_MORE]
    naming = [m for m in looking if m.stations and (m.method != GAIN or tells(by_station))]
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


def _gain(named: Nomination, by_station: dict[str, StationFigures], figure: Measure, faster: float) -> str:
    rows = {name: f.gain for name, f in by_station.items() if f.gain is not None}
    highs = [gain.high for gain in rows.values() if gain.high is not None]
    asked = "no station" if len(rows) == len(by_station) else f"none of {some(list(rows))}"
    if highs and max(highs) <= 0:
        return f"Made {faster:g} % faster, {asked} brings more {figure.words()[2]}."
    if not named.stations:
        most = f": none more than {number(max(highs), 2)}" if highs else " (one replication, no interval)"
        return f"Made {faster:g} % faster, {asked} surely brings more {figure.words()[2]}{most}."
    first = named.place
    row = rows[first]
    if len(rows) == 1:
        return f"Made {faster:g} % faster, {first} brings: {in_words(row, figure)}."
    if not tells(by_station):
        return (
            f"Whether any station made {faster:g} % faster brings more, the data can't tell; the one with "
            f"the most is {first}, {in_words(row, figure).removeprefix(_DOUBT)}."
        )
    text = f"Made {faster:g} % faster, {first} brings the most: {in_words(row, figure)}"
    return f"{text}{_level(named, 'could bring as much')}."


def _one_more(
    named: Nomination | None, found: Sequence[OneMore], figure: Measure, faster: float, is_beyond: bool
) -> Iterator[str]:
    """Yield which crew, tool or carrier holds the line back, by what one more of it brings."""
    if named is None:
        return
    rows = {one.resource.label: one.gain for one in found}
    asked = "crews, tools and carriers" if len(rows) > 4 else some(list(rows))
    highs = [gain.high for gain in rows.values() if gain.high is not None]
    if highs and max(highs) <= 0:
        yield f"One more of {asked}, each alone, brings no more {figure.words()[2]}."
    elif not named.stations:
        rest = figure.words()[2]
        yield f"Whether one more of {asked}, each alone, brings more {rest}, the data can't tell."
    else:
        beyond = f", surely more than any station made {faster:g} % faster" if is_beyond else ""
        yield (
            f"Of crews, tools and carriers, one more of {named.place} brings the most: "
            f"{in_words(rows[named.place], figure)}{beyond}{_level(named, 'could bring as much')}."
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
        f"{named.place} causes most stop by itself: {with_span(worst.stop)} min a shift{mostly}"
        f"{_level(named, 'could cause as much')}."
    )


def _periods(share: Nomination, period: Nomination, by_station: dict[str, StationFigures]) -> Iterator[str]:
    if share.stations:
        first = by_station[share.place]
        yield (
            f"{share.place} is the momentary bottleneck for most of the time: "
            f"{with_span(first.share, scale=100)} % of it, alone for {with_span(first.sole, scale=100)} %"
            f"{_level(share, 'could be it as long')}."
        )
    if period.stations:
        first = by_station[period.place]
        yield (
            f"{period.place} works longest without a pause: {with_span(first.period)} s on average"
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
    figure: Measure,
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
    if stop.stations and gain.stations and stop.place != gain.place and tells(by_station):
        yield _gain_where_it_stops(by_station[stop.place], figure, faster)
    for place in dict.fromkeys((share.place, by_method[PERIOD].place, by_method[ARROW].place)):
        found = by_station.get(place)
        if found is not None and found.down.mean is not None and found.down.mean >= _DOWN_COUNTS:
            yield (
                f"{place} is down for {with_span(found.down, scale=100)} % of its hours: that time counts as "
                "active, and faster work does not shorten it."
            )


def _gain_where_it_stops(worst: StationFigures, figure: Measure, faster: float) -> str:
    if worst.gain is None:
        return f"What a faster {worst.station} would bring was not asked."
    text = f"{worst.station} itself, made {faster:g} % faster: {in_words(worst.gain, figure)}"
    if worst.cause in ("", "overrun") or sign_of(worst.gain) > 0:
        return f"{text}."
    why = cause_in_words(worst.cause)
    if worst.cause == "waiting":
        return f"{text}. Its stops are mostly {why}: what is short there counts more."
    return f"{text}. Its stops are mostly {why}, which faster work does not remove."


def tells(by_station: dict[str, StationFigures]) -> bool:
    """Return whether any station made faster surely brings more."""
    return any(f.gain is not None and sign_of(f.gain) > 0 for f in by_station.values())


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
