"""A scenario around the tables that were read: what they do not say is a guess, and marked as one."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from linesim.intake.figures import UnclearError, Writing, name_of, seconds_of, written
from linesim.intake.other_rows import StationRow
from linesim.intake.task_rows import TaskTable
from linesim.intake.words import UNITS
from linesim.scenario.cells import TIME_FOR
from linesim.scenario.toml import key, toml_value

TAKT = re.compile(
    r"\btakt(?:\s*time)?\s*(?:[\[(]\s*([a-z]*)\.?\s*[\])])?[^\d]{0,20}(\d[\d.,:]*)\s*([a-z]*)", re.IGNORECASE
)
_SLACK = 1.1  #: A guessed takt is so much longer than the work of the busiest station.
Rows = Sequence[Mapping[str, str]]


@dataclass(frozen=True, slots=True)
class Skeleton:
    """A scenario as text.

    Attributes:
        text: The TOML.
        guesses: What in it nobody said, in sentences.
    """

    text: str
    guesses: tuple[str, ...]


def skeleton(
    source: str,
    tasks: Sequence[TaskTable],
    stations: Sequence[StationRow],
    orders: Rows,
    files: Mapping[str, str],
    takt: Decimal | None,
) -> Skeleton:
    """Return the scenario that tables make, so that it can be checked and run as it stands.

    Args:
        source: Name of the file that was read.
        tasks: Its task tables.
        stations: Its stations, if it lists them.
        orders: Its orders, if it lists them.
        files: Kind -> name of the file that the scenario reads it from.
        takt: Planned time between two jobs [s]; None if nobody said it.
    """
    return _Writer(source, tasks, stations, orders, files).scenario(takt)


class _Writer:
    def __init__(
        self,
        source: str,
        tasks: Sequence[TaskTable],
        stations: Sequence[StationRow],
        orders: Rows,
        files: Mapping[str, str],
    ) -> None:
        self.source, self.orders, self.files = source, orders, files
        self.rows = [row for table in tasks for row in table.rows]
        self.at: dict[str, list[tuple[Mapping[str, str], float]]] = {}
        for table in tasks:
            for row, seconds in zip(table.rows, table.seconds, strict=True):
                self.at.setdefault(row["station"], []).append((row, float(seconds)))
        self.titles = {name: text for table in tasks for name, text in table.stations.items() if name != text}
        self.titles |= {one.name: one.title for one in stations if one.title}
        self.sections = {name: text for table in tasks for name, text in table.sections.items()}
        self.listed = {one.name: one for one in stations}
        self.names = list(dict.fromkeys([*self.listed, *(row["station"] for row in self.rows)]))
        self.own_people = {name: n for table in tasks for name, n in table.people.items()}
        self.own_people |= {one.name: one.people for one in stations if one.people is not None}
        self.timed_models = [name for table in tasks for name in table.models]
        self.guesses: list[str] = []
        self.crews = self._crews()

    def guess(self, what: str) -> str:
        """Keep a guess, and return the comment that marks it."""
        self.guesses.append(f"{what}.")
        return "  # a guess"

    def scenario(self, takt: Decimal | None) -> Skeleton:
        """Return the whole text."""
        mark = ""
        if not self.rows:
            self.guess(f"Nothing says the tasks: {self.files['tasks']} is missing; import them next")
        if takt is None and not self.rows:
            takt, mark = Decimal(60), self.guess("Nothing says the takt: 60 s")
        if takt is None:
            takt = Decimal(max(1, math.ceil(_SLACK * max(map(self._load, self.names), default=1.0))))
            mark = self.guess(
                f"Nothing says the takt: {takt} s, a tenth above what the busiest station needs"
            )
        sections = self._sections()
        lines = [
            f"# Made by `linesim import` from {_plain(self.source)}. What that does not say is a guess and",
            "# marked so: put what you know in its place. Then: linesim check, linesim run.",
            "",
            f"title = {toml_value(_title(self.source))}",
            f"takt  = {toml_value(f'{written(takt)} s')}{mark}",
            f"flow  = {toml_value(list(sections))}",
            f"tasks = {toml_value(self.files['tasks'])}",
            "",
            "[study]",
            'question = "Does the line keep its takt, and if not, what keeps it from it?"',
            "",
            "[run]",
            'warm_up = "1 shift"',
            'length  = "5 shifts"',
            *self._orders(),
            *self._line(sections),
            *self._people(),
            *self._equipment(),
        ]
        return Skeleton("\n".join(lines) + "\n", tuple(self.guesses))

    def _sections(self) -> dict[str, list[str]]:
        """Return the stations of each section, in line order."""
        found: dict[str, list[str]] = {}
        last = ""
        for name in self.names:
            one = self.listed.get(name)
            last = (one.section if one is not None else "") or self.sections.get(name, "") or last or "line"
            found.setdefault(last, []).append(name)
        taken = set(self.names)
        return {
            name_of(section, taken) if section in taken else section: some for section, some in found.items()
        }

    def _line(self, sections: Mapping[str, list[str]]) -> list[str]:
        mark = self.guess("Nothing says how the line moves: every section is a moving conveyor")
        lines = []
        for section, names in sections.items():
            lines += ["", f"[section.{key((section,))}]", f'pacing   = "moving"{mark}']
            lines.append(f"stations = {toml_value(names)}")
        for name in self.names:
            one = self.listed.get(name)
            own = [f"title = {toml_value(self.titles[name])}"] if name in self.titles else []
            reaches = (("late", one.late), ("early", one.early)) if one is not None else ()
            own += [f"{field} = {float(value)!r}" for field, value in reaches if value is not None]
            if own:
                lines += ["", f"[station.{key((name,))}]", *own]
        return lines

    def _load(self, station: str) -> float:
        """Return how long a job must be at a station at least [s], with the people that it has."""
        mine = [(seconds, _people_of(row)) for row, seconds in self.at.get(station, ())]
        people = self.own_people.get(station) or self._needed(station)
        by_hand = sum(seconds * count for seconds, count in mine) / max(1, people)
        machines = sum(seconds for seconds, count in mine if not count)
        return max([by_hand, machines, *(seconds for seconds, _ in mine)])

    def _needed(self, station: str) -> int:
        """Return the most people that one task of a station needs; 0 where robots do all of it."""
        return max((_people_of(row) for row, _ in self.at.get(station, ())), default=0)

    def _crews(self) -> dict[str, tuple[int, list[str], bool]]:
        """Return people and stations of each crew, and whether their number is a guess."""
        found: dict[str, tuple[int, list[str], bool]] = {}
        named: dict[str, list[str]] = {}
        for name in self.names:
            one = self.listed.get(name)
            crews = _named((row for row, _ in self.at.get(name, ())), "crew")
            for crew in dict.fromkeys([*([one.crew] if one and one.crew else []), *crews]):
                named.setdefault(crew, []).append(name)
        covered = {name for some in named.values() for name in some}
        for crew, some in named.items():
            known = [self.own_people[name] for name in some if name in self.own_people]
            needed = max(self._needed(name) for name in some)
            found[crew] = (max(needed, sum(known) if known else len(some)), some, not known)
        for name in self.names:
            if name in covered or (name not in self.at and name not in self.own_people):
                continue
            needed = self._needed(name)
            people = self.own_people.get(name, needed)
            if needed or people:
                crew = name_of(name, set(found))
                found[crew] = (max(people, needed), [name], name not in self.own_people)
        return found

    def _people(self) -> list[str]:
        lines = []
        mark = ""
        if any(is_guess for _, _, is_guess in self.crews.values()):
            mark = self.guess(
                "Nothing says how many people some crews have: as many as their work needs at once"
            )
        for crew, (people, covers, is_guess) in self.crews.items():
            lines += ["", f"[crew.{key((crew,))}]", f"people = {people}{mark if is_guess else ''}"]
            lines.append(f"covers = {toml_value(covers)}")
        return lines

    def _orders(self) -> list[str]:
        models = [*self.timed_models, *_named(self.rows, "models")]
        options = [*_named(self.rows, "options"), *_named(self.rows, "unless")]
        lines: list[str] = []
        ordered = [row["options"].split(";") if row["options"] else [] for row in self.orders]
        models = list(dict.fromkeys([*(row["model"] for row in self.orders), *models]))
        timed = [found[2] for row in self.rows for one in row if (found := TIME_FOR.fullmatch(one))]
        options = [*(one for some in ordered for one in some), *options, *timed]
        options = [one for one in dict.fromkeys(options) if one not in models]
        if models and not self.orders:
            mark = self.guess("Nothing says the shares of the models: all are built alike")
        for name in models:
            share = sum(row["model"] == name for row in self.orders) if self.orders else 1
            lines += ["", f"[model.{key((name,))}]", f"share = {share}{'' if self.orders else mark}"]
        if options and not self.orders:
            mark = self.guess("Nothing says how often options are taken: half of the jobs have each")
        for name in options:
            count = sum(name in some for some in ordered)
            take = round(count / len(ordered), 4) if ordered else 0.5
            lines += ["", f"[option.{key((name,))}]", f"take = {take}{'' if self.orders else mark}"]
        if self.orders:
            lines += ["", "[orders]", 'sequence = "listed"', f"file     = {toml_value(self.files['orders'])}"]
        return lines

    def _equipment(self) -> list[str]:
        lines = []
        for name in _named(self.rows, "robot"):
            lines += ["", f"[robot.{key((name,))}]"]
        tools = _named(self.rows, "tool")
        if tools:
            mark = self.guess("Nothing says how many of each tool there are: one")
        for name in tools:
            lines += ["", f"[tool.{key((name,))}]", f"count = 1{mark}"]
        zones = _named(self.rows, "zone")
        if zones:
            mark = self.guess(
                "Nothing says how many people have room in a zone: as many as its largest task needs"
            )
        for name in zones:
            people = max(int(row.get("people", 1)) for row in self.rows if row.get("zone") == name)
            lines += ["", f"[zone.{key((name,))}]", f"people = {max(1, people)}{mark}"]
        return lines


def _people_of(row: Mapping[str, str]) -> int:
    return int(row.get("people", 0 if "robot" in row else 1))


def _named(rows: Iterable[Mapping[str, str]], column: str) -> list[str]:
    """Return the names in a column of lists, in the order in which they come."""
    return list(dict.fromkeys(name for row in rows for name in row.get(column, "").split(";") if name))


def _plain(name: str) -> str:
    """Return a file's name as a comment can hold it."""
    return "".join(letter if letter.isprintable() else "?" for letter in name)


def _title(source: str) -> str:
    return _plain(source.rpartition(".")[0] or source)[:200]


def takt_in(texts: Iterable[str]) -> Decimal | None:
    """Return the takt that a title row names [s]; None if none does.

    Examples:
        >>> takt_in(["Line 4", "Takt: 95 s"]), takt_in(["Takt time 1:35"]), takt_in(["Takt (sec): 92 x 2"])
        (Decimal('95'), Decimal('95'), Decimal('92'))
    """
    for text in texts:
        found = TAKT.search(text[:200])
        if found is None:
            continue
        unit = found[3] if found[3].lower() in UNITS else found[1] or ""
        if unit.lower() not in UNITS and ":" not in found[2]:
            continue
        try:
            return seconds_of(f"{found[2]} {unit}".strip(), "s", Writing(","))
        except UnclearError:
            continue
    return None
