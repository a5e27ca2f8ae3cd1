"""What every check works with: the scenario, the names it knows, and a way to say what is wrong."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from typing import Any

from linesim.scenario.base import part_of
from linesim.scenario.content import Layout
from linesim.scenario.models import Scenario
from linesim.scenario.origins import Origins, Path
from linesim.scenario.problems import Notes, has, shown


class Checker:
    """One scenario on the table, with everything the checks need.

    Attributes:
        scenario: The scenario, without the parts that are known to be wrong.
        layout: Where things stand along the line.
    """

    def __init__(
        self, scenario: Scenario, names: Mapping[str, frozenset[str]], origins: Origins, notes: Notes
    ) -> None:
        self.scenario = scenario
        self.layout = Layout.of(scenario)
        self._names = names
        self._origins = origins
        self._notes = notes

    def say(self, path: Path, code: str, message: str) -> None:
        """Note a problem, unless the value is already known to be wrong."""
        if not self._notes.is_failed(path):
            self._notes.at_path(self._origins, path, code, message)

    def warn(self, path: Path, code: str, message: str) -> None:
        """Note something worth saying that does not refuse the scenario."""
        self._notes.at_path(self._origins, path, code, message, "warning")

    def is_whole(self, *path: str) -> bool:
        """Return whether nothing in the table at `path` is known to be wrong."""
        return not any(failed[: len(path)] == path for failed in self._notes.failed)

    def is_lost(self, kind: str) -> bool:
        """Return whether the tables of a kind could not be read at all, so that no name of it is known."""
        sections = (("section",), ("station",)) if kind in ("station", "place") else ()
        return any(path in self._notes.failed for path in ((kind,), *sections))

    def known(self, kind: str) -> Collection[str]:
        """Return the names of a kind as they were written, also those of wrong tables."""
        return self._names.get(kind, frozenset())

    def expect(self, path: Path, word: str, kind: str, *, also: Iterable[str] = ()) -> bool:
        """Return whether a name of a kind is known; say so if not.

        Args:
            path: Where the name was used.
            word: The name.
            kind: Table that should hold it: `tool`, `crew`, ...
            also: Further words that are right here.
        """
        if word in also or word in self.known(kind):
            return True
        if self.is_lost(kind):
            return False
        known = list(getattr(self.scenario, kind)) if kind != "place" else sorted(self.known(kind))
        thing = "station or bay" if kind == "place" else kind
        article = "an" if kind == "option" else "a"
        other = "".join(f', or write "{item}"' for item in also)
        self.say(
            path,
            f"unknown-{kind}",
            f"{shown(word)} is not {article} {thing} of this scenario; {has(known, word, thing)}{other}.",
        )
        return False


def names_in(raw: Mapping[str, Any]) -> dict[str, frozenset[str]]:
    """Return the names of every kind of table as they were written, however wrong the tables are.

    Under `task of K1` stand the tasks of station K1, under `place` all stations and bays.
    """
    found: dict[str, frozenset[str]] = {}
    for kind, table in raw.items():
        if isinstance(table, Mapping):
            found[kind] = frozenset(str(name) for name in table)
    sections = raw.get("section")
    listed: set[str] = set(found.get("station", ()))
    for section in sections.values() if isinstance(sections, Mapping) else ():
        stations = part_of(section, "stations")
        stations = [stations] if isinstance(stations, str) else stations
        if isinstance(stations, list | tuple):
            listed.update(name for name in stations if isinstance(name, str))
    stations = raw.get("station")
    for name, station in stations.items() if isinstance(stations, Mapping) else ():
        tasks = part_of(station, "task")
        found[f"task of {name}"] = frozenset(map(str, tasks)) if isinstance(tasks, Mapping) else frozenset()
    found["station"] = frozenset(listed)
    found["place"] = found["station"] | found.get("bay", frozenset())
    return found
