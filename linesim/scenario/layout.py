"""Where things stand along the line: which section holds a station, and what comes after what."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from linesim.scenario.models import Scenario


@dataclass(frozen=True, slots=True)
class Layout:
    """The main line and its feeders, each a row of sections and buffers.

    Attributes:
        flows: Sections and buffers of the main line, then of each feeder.
        section_of: Section of each station, in line order.
        line_of: Line (0 is the main one) of each section, buffer and station.
        rank: Number of each section, buffer and station along its own line; a section ranks
            just before its first station.
        joins: Section or station of the main line that each feeder joins, by line.
    """

    flows: tuple[tuple[str, ...], ...]
    section_of: dict[str, str]
    line_of: dict[str, int]
    rank: dict[str, int]
    joins: dict[int, str]

    @classmethod
    def of(cls, scenario: Scenario) -> Layout:
        """Return the layout of a scenario; what is named twice counts where it comes first."""
        flows = (scenario.flow, *(feeder.flow for feeder in scenario.feeder.values()))
        section_of: dict[str, str] = {}
        line_of: dict[str, int] = {}
        rank: dict[str, int] = {}
        for line, flow in enumerate(flows):
            number = 0
            for name in flow:
                section = scenario.section.get(name)
                for place in (name, *(section.stations if section else ())):
                    if place not in rank:
                        rank[place] = number
                        line_of[place] = line
                        number += 1
                for station in section.stations if section else ():
                    section_of.setdefault(station, name)
        joins = {line: feeder.joins for line, feeder in enumerate(scenario.feeder.values(), start=1)}
        return cls(flows, section_of, line_of, rank, joins)

    def end_of(self, scenario: Scenario, section: str) -> int | None:
        """Return the rank of the last station of a section; `None` if it is not in the line."""
        ranks = [self.rank[name] for name in scenario.section[section].stations if name in self.rank]
        return max(ranks, default=self.rank.get(section))

    def is_before(self, first: str, second: str) -> bool | None:
        """Return whether `first` comes strictly before `second`; `None` on different lines."""
        if first not in self.line_of or second not in self.line_of:
            return None
        if self.line_of[first] != self.line_of[second]:
            return None
        return self.rank[first] < self.rank[second]

    def rides_to(self, first: str, second: str) -> bool:
        """Return whether what is built at `first`, on a feeder, comes to `second`, on the main line.

        It comes to all of it where nobody knows what the feeder joins.
        """
        joins = self.joins.get(self.line_of.get(first, 0))
        if joins is None or self.line_of.get(second) != 0:
            return False
        section = self.section_of.get(joins, joins)  # a unit joins as the job boards
        return section not in self.rank or self.rank[second] >= self.rank[section]

    def stations(self) -> Iterator[str]:
        """Yield the stations in line order, the main line first."""
        yield from self.section_of
