"""What a study of bottlenecks says in plain sentences, and what to know before one is acted on."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from types import MappingProxyType

from linesim.answers.measure import Measure
from linesim.answers.values import Change, Estimate
from linesim.answers.wording import change_in_words, count_of, listed, number, text
from linesim.capacity.ceiling import limits
from linesim.capacity.loads import Loads
from linesim.plan.plan import Plan
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
    Resource,
    StationFigures,
    tells_more,
)
from linesim.questions.cautions import few_compared
from linesim.questions.run.sentences import cause_in_words
from linesim.scenario import Scenario

MOST_NAMED = 4
_DOUBT = "can't tell: "
_DOWN_COUNTS = 0.02  #: Share of its hours in which a station is down that is worth a word.

#: What each method is called in a sentence.
_CALLED = MappingProxyType({
    GAIN: "gain from speed", ONE_MORE: "one more", STOP: "minutes of stop caused",
    SHARE: "shifting bottleneck", PERIOD: "active periods", ARROW: "arrow rule", TURN: "turning point",
})  # fmt: skip


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


class BottleneckSentences:
    """Says whether the methods agree, then what each of them finds, the yardstick first."""

    def __init__(
        self, figures: Sequence[StationFigures], one_more: Mapping[Resource, Change],
        methods: Sequence[Nomination], links: Sequence[Link], measure: Measure, faster: float, *,
        is_beyond: bool,
    ) -> None:  # fmt: skip
        """Take what was found.

        Args:
            figures: What the methods look at, by station.
            one_more: What one more of each crew, tool and carrier brings.
            methods: Whom each method names.
            links: What the rules of blocking and starving compare.
            measure: The measure that counts.
            faster: By how many percent stations were made faster.
            is_beyond: Whether one more of some crew, tool or carrier surely brings more than any faster
                station; then that is said first.
        """
        self.figures, self.one_more, self.methods, self.links = figures, one_more, methods, links
        self.measure, self.rest, self.is_beyond = measure, measure.words()[2], is_beyond
        self.made_faster = f"made {faster:g} % faster"
        self.by_station = {one.station: one for one in figures}
        self.by_method = {one.method: one for one in methods}
        self.replications = methods[0].replications
        self.has_paced = any(link.is_paced for link in links)

    def all(self) -> Iterator[str]:
        """Yield the answer."""
        more = list(self._one_more())
        yield from more if self.is_beyond else ()
        yield self._agreement()
        if self.replications == 1:
            yield "One replication was run: no figure has an interval, and nothing can be told apart."
        if any(one.gain is not None for one in self.figures):
            yield self._gain(self.by_method[GAIN])
        yield from () if self.is_beyond else more
        yield from self._stop(self.by_method[STOP])
        yield from self._periods(self.by_method[SHARE], self.by_method[PERIOD])
        yield self._rules(self.by_method[ARROW], self.by_method[TURN])
        yield from self._why()

    def _words(self, change: Change) -> str:
        return change_in_words(change, self.measure)

    def _agreement(self) -> str:
        """Return whether those methods agree that look for a station."""
        naming = [one for one in self.methods if one.method != ONE_MORE and one.stations]
        if not naming and tells_more(self.one_more):
            return "No method names a station."
        if not naming:
            return "No method names a bottleneck: nothing is stopped, blocked, starved or gained anywhere."
        common = set.intersection(*(set(one.stations) for one in naming))
        if common:
            where = naming[0].place if len(naming) == 1 or naming[0].place in common else min(common)
            every = "All" if len(naming) > 1 else "The only"
            which = f"{every} {count_of(len(naming), 'method that names', 'methods that name')} a place"
            return f"{which} {'point' if len(naming) > 1 else 'points'} to {where}."
        by_place: dict[str, list[str]] = {}
        for one in naming:
            # Of a section also whose, if another method names a station in it.
            inside = [m.place for m in naming if m.place in one.stations and m.place != one.place]
            place = f"{one.place}, the section of {inside[0]}," if inside else one.place
            by_place.setdefault(place, []).append(_CALLED[one.method])
        places = "; ".join(f"{place} by {listed(names)}" for place, names in by_place.items())
        possible = set.intersection(*(set(one.level) | set(one.stations) for one in naming))
        if possible:
            names = [name for name in self.by_station if name in possible]
            return f"The methods name different places: {places}. None of them rules out {some(names, 'or')}."
        return f"The methods disagree: {places}."

    def _gain(self, named: Nomination) -> str:
        rows = {name: one.gain for name, one in self.by_station.items() if one.gain is not None}
        highs = [gain.high for gain in rows.values() if gain.high is not None]
        asked = "no station" if len(rows) == len(self.by_station) else f"none of {some(list(rows))}"
        made = f"M{self.made_faster[1:]}"
        if highs and max(highs) <= 0:
            return f"{made}, {asked} brings more {self.rest}."
        if not named.place:
            most = f": none more than {number(max(highs), 2)}" if highs else " (one replication, no interval)"
            return f"{made}, {asked} surely brings more {self.rest}{most}."
        first, brings = named.place, self._words(rows[named.place])
        if len(rows) == 1:
            return f"{made}, {first} brings: {brings}."
        if not named.stations:
            return (
                f"Whether any station {self.made_faster} brings more, the data can't tell; the one with the "
                f"most is {first}, {brings.removeprefix(_DOUBT)}."
            )
        return f"{made}, {first} brings the most: {brings}{_level(named, 'could bring as much')}."

    def _one_more(self) -> Iterator[str]:
        """Yield which crew, tool or carrier holds the line back, by what one more of it brings."""
        named = self.by_method.get(ONE_MORE)
        if named is None:
            return
        rows = {one.label: gain for one, gain in self.one_more.items()}
        asked = f"{'crews, tools and carriers' if len(rows) > 4 else some(list(rows))}, each alone,"
        highs = [gain.high for gain in rows.values() if gain.high is not None]
        if highs and max(highs) <= 0:
            yield f"One more of {asked} brings no more {self.rest}."
        elif not named.stations:
            yield f"Whether one more of {asked} brings more {self.rest}, the data can't tell."
        else:
            beyond = f", surely more than any station {self.made_faster}" if self.is_beyond else ""
            yield (
                f"Of crews, tools and carriers, one more of {named.place} brings the most: "
                f"{self._words(rows[named.place])}{beyond}{_level(named, 'could bring as much')}."
            )

    def _stop(self, named: Nomination) -> Iterator[str]:
        if not self.has_paced:
            return
        if not named.stations:
            yield "No station of a paced section stops it by itself."
            return
        worst = self.by_station[named.place]
        assert worst.stop is not None
        mostly = f", mostly {cause_in_words(worst.cause)}" if worst.cause else ""
        yield (
            f"{named.place} causes most stop by itself: {text(worst.stop)} min a shift{mostly}"
            f"{_level(named, 'could cause as much')}."
        )

    def _periods(self, share: Nomination, period: Nomination) -> Iterator[str]:
        if share.stations:
            first = self.by_station[share.place]
            yield (
                f"{share.place} is the momentary bottleneck for most of the time: {text(first.share)} % of "
                f"it, alone for {text(first.sole)} %{_level(share, 'could be it as long')}."
            )
        if period.stations:
            yield (
                f"{period.place} works longest without a pause: "
                f"{text(self.by_station[period.place].period)} s on average"
                f"{_level(period, 'could work as long')}."
            )

    def _rules(self, arrow: Nomination, turn: Nomination) -> str:
        why = ""
        if len(self.links) < 2:
            why = "the line is one station"
            if self.has_paced:
                why = "the line is one section whose stations stop together"
        elif not arrow.level:
            why = "nothing is ever blocked or starved"
        if why:
            return f"Arrow rule and turning point have nothing to compare: {why}."
        if arrow.stations:
            points = f"the arrow rule points to {_place(arrow)}"
        else:
            points = f"where the arrow rule points the data can't tell ({arrow.place})"
        if turn.stations:
            turns = f"blocked turns into starved at {_place(turn)}"
        elif turn.level:
            turns = f"where blocked turns into starved the data can't tell ({turn.place})"
        else:
            turns = "there is no single place where blocked turns into starved"
        return f"By blocking and starving, {points}; {turns}."

    def _why(self) -> Iterator[str]:
        """Yield why the methods differ, where the line's pacing or its failures explain it."""
        gain, stop, share, period, arrow = (self.by_method[m] for m in (GAIN, STOP, SHARE, PERIOD, ARROW))
        if self.has_paced and {share.place, period.place} - {"", gain.place, stop.place}:
            yield (
                "On a paced line the pitch hides a bottleneck: work that is done early becomes spare time "
                "and work that is late becomes a stop, so a station may work without a pause and still keep "
                "its takt. There the minutes of stop caused and the gain from speed count more than active "
                "periods."
            )
        if stop.stations and gain.stations and stop.place != gain.place:
            yield self._gain_where_it_stops(self.by_station[stop.place])
        for place in dict.fromkeys((share.place, period.place, arrow.place)):
            found = self.by_station.get(place)
            if found is not None and found.down.mean is not None and found.down.mean >= _DOWN_COUNTS:
                yield (
                    f"{place} is down for {text(found.down)} % of its hours: that time counts as active, and "
                    "faster work does not shorten it."
                )

    def _gain_where_it_stops(self, worst: StationFigures) -> str:
        if worst.gain is None:
            return f"What a faster {worst.station} would bring was not asked."
        said = f"{worst.station} itself, {self.made_faster}: {self._words(worst.gain)}."
        if worst.cause in ("", "overrun") or worst.gain.sign > 0:
            return said
        why = f"{said} Its stops are mostly {cause_in_words(worst.cause)}"
        if worst.cause == "waiting":
            return f"{why}: what is short there counts more."
        return f"{why}, which faster work does not remove."

    def cautions(self, scenario: Scenario) -> Iterator[str]:
        """Yield what a reader should look into before acting on the answer."""
        changed = [one.station for one in self.figures if one.gain is not None]
        tasks = [(one.at, one.task) for one in scenario.placed_tasks if one.at in changed]
        robots = list(dict.fromkeys(name for name, task in tasks if task.robot))
        yield from few_compared(self.replications)
        if any(task.people for _, task in tasks):
            yield (
                f"{self.made_faster.removeprefix('made ')} is a question put to the line, not an order to "
                "its people: a faster pace raises how often loads are handled and how long postures are held "
                "(ISO 11228-3, EN 1005-5, ISO 11226, ISO 6385, ISO 10075). A better method or less work at "
                "the station shortens its time as well. No figure here says that a pace is safe."
            )
        if robots:
            yield (
                f"A faster robot (here at {listed(robots[:4])}{' and more' if len(robots) > 4 else ''}) "
                "moves with more force and takes longer to stop: its risks and safeguards are to be looked "
                "into anew (ISO 12100, ISO 10218-1 and -2, ISO 13849-1, ISO 13855)."
            )
        if self.by_method[ARROW].stations and any(not link.is_paced for link in self.links):
            yield (
                "The arrow rule was made for lines whose machines start together; where a finished job "
                "blocks its machine, as in free sections here, it can point one place off near the ends of "
                "the line."
            )
        if scenario.feeder:
            names = listed(list(scenario.feeder))
            yield f"Arrow rule and turning point look at the main line only, not at {names}."


def _place(named: Nomination) -> str:
    what = f"{named.place}" if len(named.stations) == 1 else f"the section {named.place}"
    return f"{what} (in {named.times} of {count_of(named.replications, 'replication')})"


def _level(named: Nomination, could: str) -> str:
    """Return which others cannot be told from the one that is named."""
    others = [name for name in named.level if name != named.place]
    return f"; the data can't tell it from {some(others)}, which {could}" if others else ""


def some(names: Sequence[str], last: str = "and") -> str:
    """Return the first names of a list, and how many more there are."""
    if len(names) <= MOST_NAMED:
        return listed(list(names), last)
    return f"{', '.join(names[:MOST_NAMED])} {last} {len(names) - MOST_NAMED} more"
