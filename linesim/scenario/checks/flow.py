"""Whether the line hangs together, and fields fit the pacing of their section."""

from __future__ import annotations

from linesim.scenario.checks.checker import Checker
from linesim.scenario.line import Section
from linesim.scenario.origins import Path
from linesim.scenario.problems import has, shown


def check_flow(checker: Checker) -> None:
    """Check that the main line and every feeder are rows of sections with buffers between them."""
    scenario = checker.scenario
    used: dict[str, Path] = {}
    _check_row(checker, scenario.flow, ("flow",), used)
    for name, feeder in scenario.feeder.items():
        _check_row(checker, feeder.flow, ("feeder", name, "flow"), used)
        _check_join(checker, name)
    for kind in ("section", "buffer") if checker.is_whole("flow") and checker.is_whole("feeder") else ():
        for name in getattr(scenario, kind):
            if name not in used:
                checker.say(
                    (kind, name),
                    "not-in-flow",
                    f"the {kind} {shown(name)} is in no flow; name it in `flow` or in that of a feeder, "
                    "or remove it.",
                )


def _check_row(checker: Checker, row: tuple[str, ...], path: Path, used: dict[str, Path]) -> None:
    sections, buffers = checker.known("section"), checker.known("buffer")
    is_feeder = path[0] == "feeder"
    is_lost = checker.is_lost("section") or checker.is_lost("buffer")
    for number, name in enumerate(row):
        here = (*path, number)
        if name not in sections and name not in buffers and not is_lost:
            known = [*checker.scenario.section, *checker.scenario.buffer]
            checker.say(
                here,
                "unknown-section",
                f"{shown(name)} is neither a section nor a buffer of this scenario; "
                f"{has(known, name, 'section')}.",
            )
        elif name in used:
            checker.say(here, "name-twice", f"{shown(name)} is in the flow twice; a job passes it once.")
        used.setdefault(name, here)
    if all(name in buffers for name in row):
        what = "has no section" if row else "is empty"
        checker.say(path, "flow-order", f"the flow {what}; name the sections in line order.")
        return
    for number, name in enumerate(row):
        if name not in buffers or name in sections:
            continue
        here = (*path, number)
        if number == 0:
            checker.say(
                here,
                "flow-order",
                f"the flow begins with the buffer {shown(name)}; it begins with a section.",
            )
        elif number == len(row) - 1 and not is_feeder:
            checker.say(
                here, "flow-order", f"the flow ends with the buffer {shown(name)}; it ends with a section."
            )
        elif row[number - 1] in buffers:
            checker.say(
                here,
                "flow-order",
                f"the buffers {shown(row[number - 1])} and {shown(name)} follow one another; "
                "join them to one, or put a section between them.",
            )


def _check_join(checker: Checker, name: str) -> None:
    feeder = checker.scenario.feeder[name]
    path: Path = ("feeder", name, "joins")
    main_line = [
        place
        for place, line in checker.layout.line_of.items()
        if line == 0 and place not in checker.known("buffer")
    ]
    if feeder.joins not in main_line and feeder.joins not in feeder.flow:
        if feeder.joins in checker.known("section") or feeder.joins in checker.known("station"):
            checker.say(
                path,
                "not-downstream",
                f"{shown(feeder.joins)} is not on the main line; a feeder joins a section or station there.",
            )
        else:
            checker.say(
                path,
                "unknown-place",
                f"{shown(feeder.joins)} is not a section or station of the main line; "
                f"{has(main_line, feeder.joins, 'section')}.",
            )
    elif feeder.joins in feeder.flow:
        checker.say(path, "not-downstream", f"the feeder {shown(name)} joins itself; it joins the main line.")


def check_stations(checker: Checker) -> None:
    """Check that every station stands in exactly one section, and that names are used once."""
    scenario = checker.scenario
    home: dict[str, str] = {}
    for name, section in scenario.section.items():
        path: Path = ("section", name, "stations")
        if not section.stations:
            checker.say(
                path, "empty-section", f"the section {shown(name)} has no station; name at least one."
            )
        for number, station in enumerate(section.stations):
            if station in home:
                checker.say(
                    (*path, number),
                    "name-twice",
                    f"the station {shown(station)} already stands in section {shown(home[station])}; "
                    "a station stands in the line once.",
                )
            home.setdefault(station, name)
    for station in scenario.station:
        if station not in home and checker.is_whole("section"):
            known = sorted(home)
            checker.say(
                ("station", station),
                "unknown-station",
                f"the station {shown(station)} stands in no section; add it to the stations of one "
                f"(the line has {has(known, station, 'station').removeprefix('it has ')}).",
            )
    _check_names(checker, home)


#: Words that stand where a name could: the whole line in results, `right` of a fault, `rejoin` of a bay.
_WORDS = (
    ("section", ("segment",)),
    ("bay", ("segment", "there", "scrap")),
    ("station", ("segment", "there", "scrap")),
    ("buffer", ("out",)),
)


def _check_names(checker: Checker, home: dict[str, str]) -> None:
    """Names are looked up across these kinds (`covers`, `right`, `joins`), so they must differ.

    So must the rows of the results: segment, section and station in `own_stop`, bay in `reworked`.
    """
    scenario = checker.scenario
    taken: dict[str, str] = {}
    for kind, names in (
        ("section", scenario.section),
        ("buffer", scenario.buffer),
        ("bay", scenario.bay),
        ("station", home),
    ):
        for name in names:
            if name in taken:
                path: Path = ("section", home[name], "stations") if kind == "station" else (kind, name)
                checker.say(
                    path,
                    "name-twice",
                    f"{shown(name)} is the name of a {taken[name]} and of a {kind}; rename one.",
                )
            taken.setdefault(name, kind)
            if name in dict(_WORDS).get(kind, ()):
                path = ("section", home[name], "stations") if kind == "station" else (kind, name)
                checker.say(path, "name-twice", f"{shown(name)} is a word of its own; rename the {kind}.")


def check_buffers(checker: Checker) -> None:
    """Check that buffers hold what they are said to hold."""
    for name, buffer in checker.scenario.buffer.items():
        if buffer.level is not None and buffer.level > buffer.capacity:
            checker.say(
                ("buffer", name, "level"),
                "out-of-range",
                f"found {buffer.level} jobs in {buffer.capacity} places; write at most {buffer.capacity}.",
            )


def check_carriers(checker: Checker) -> None:
    """Check that carriers board and leave on the main line, in this order."""
    layout = checker.layout
    for name, loop in checker.scenario.carrier.items():
        path: Path = ("carrier", name)
        boards = checker.expect((*path, "boards"), loop.boards, "section")
        leaves = checker.expect((*path, "leaves"), loop.leaves, "section")
        if (
            boards
            and leaves
            and loop.boards != loop.leaves
            and not layout.is_before(loop.boards, loop.leaves)
        ):
            checker.say(
                (*path, "leaves"),
                "not-downstream",
                f"the section {shown(loop.leaves)} does not come after {shown(loop.boards)}, where the "
                "carriers board.",
            )


def check_sections(checker: Checker) -> None:
    """Check takts and moves."""
    scenario = checker.scenario
    if scenario.takt.ticks == 0:
        checker.say(("takt",), "out-of-range", f'found "{scenario.takt}"; a takt is more than 0.')
    for name, section in scenario.section.items():
        if not checker.is_whole("section", name, "pacing"):
            continue
        path: Path = ("section", name)
        takt = section.takt or scenario.takt
        if section.takt is not None and section.takt.ticks == 0:
            checker.say((*path, "takt"), "out-of-range", f'found "{section.takt}"; a takt is more than 0.')
        if section.pacing != "indexed" and section.transfer.ticks > 0:
            _misfit(
                checker, (*path, "transfer"), section, "only an indexed section moves all jobs in one step"
            )
        elif section.pacing == "indexed" and section.transfer.ticks >= takt.ticks > 0:
            checker.say(
                (*path, "transfer"),
                "out-of-range",
                f'a move of "{section.transfer}" leaves nothing of a takt of "{takt}"; write less.',
            )
        if section.pacing == "free" and section.on_gap == "wait":
            _misfit(checker, (*path, "on_gap"), section, "a free section has no pitch marks and so no gaps")
        _check_ends(checker, name, section)


def _misfit(checker: Checker, path: Path, section: Section, why: str) -> None:
    checker.say(
        path, "wrong-pacing", f"{why}, and this one is {section.pacing}; remove the key or change the pacing."
    )


def _check_ends(checker: Checker, name: str, section: Section) -> None:
    """A crew that reaches past the end of its section would work on jobs that are elsewhere."""
    stations = [station for station in section.stations if station in checker.scenario.station]
    if section.pacing != "moving" or not stations:
        return
    for number, station in enumerate(stations):
        table = checker.scenario.station[station]
        for key, room in (("early", number), ("late", len(stations) - 1 - number)):
            if getattr(table, key) <= room:
                continue
            side, edge = ("before", "first") if key == "early" else ("after", "last")
            behind = f"only {room} from the {edge}" if room else f"the {edge}"
            checker.say(
                ("station", station, key),
                "reach-past-end",
                f"{shown(station)} is {behind} station of section {shown(name)}, and the reach goes past the "
                f"section's end; add an empty station {side} it.",
            )


def check_reaches(checker: Checker) -> None:
    """Check that stations only have what the pacing of their section knows."""
    for name, station in checker.scenario.station.items():
        home = checker.scenario.section.get(checker.layout.section_of.get(name, ""))
        if home is None or not checker.is_whole("section", checker.layout.section_of[name], "pacing"):
            continue
        path: Path = ("station", name)
        if home.pacing != "moving":
            for key in ("early", "late"):
                if getattr(station, key) > 0:
                    _misfit(
                        checker,
                        (*path, key),
                        home,
                        "only in a moving section can a crew reach past its border",
                    )
        if home.pacing == "free":
            if station.call_at is not None:
                _misfit(checker, (*path, "call_at"), home, "a free section has no limit to call before")
            if station.on_limit == "pass":
                _misfit(checker, (*path, "on_limit"), home, "a free section has no limit to pass")
        elif station.places > 1:
            _misfit(
                checker, (*path, "places"), home, "only in a free section does a station hold several jobs"
            )
        if station.open_to is not None:
            _check_open_to(checker, name, station.open_to)
        elif station.on_limit == "pass" and home.pacing != "free" and first_bay_after(checker, name) is None:
            checker.say(
                (*path, "on_limit"),
                "nowhere-to-go",
                "jobs may pass with open work, but no bay stands downstream; add one, or name a later "
                "station in `open_to`.",
            )


def first_bay_after(checker: Checker, station: str) -> str | None:
    """Return the first bay at or after the end of the station's own section, in line order."""
    scenario, layout = checker.scenario, checker.layout
    found: list[tuple[int, str]] = []
    for name, bay in scenario.bay.items():
        if bay.section in scenario.section and layout.line_of.get(bay.section) == layout.line_of.get(station):
            end = layout.end_of(scenario, bay.section)
            if end is not None and end >= layout.rank[station]:
                found.append((end, name))
    return min(found, key=lambda item: item[0])[1] if found else None


def _check_open_to(checker: Checker, name: str, target: str) -> None:
    path: Path = ("station", name, "open_to")
    if checker.scenario.station[name].on_limit != "pass":
        checker.say(
            path,
            "needs-other-key",
            '`open_to` only means something with on_limit = "pass"; add that or remove it.',
        )
    if checker.expect(path, target, "place"):
        check_after(checker, path, name, target, "the open work")


def check_after(checker: Checker, path: Path, start: str, target: str, what: str) -> None:
    """Say so if a station or bay does not come after the station `start`."""
    scenario, layout = checker.scenario, checker.layout
    if target in scenario.bay:
        section = scenario.bay[target].section
        end = layout.end_of(scenario, section) if section in scenario.section else None
        is_after = (
            end is None
            or start not in layout.rank
            or (layout.line_of.get(section) == layout.line_of[start] and end >= layout.rank[start])
        )
    elif target in scenario.station and start in layout.rank and target in layout.rank:
        is_after = bool(layout.is_before(start, target))
    else:
        return
    if not is_after:
        checker.say(
            path,
            "not-downstream",
            f"{shown(target)} does not come after {shown(start)}, so {what} would never get there; name "
            "one further down.",
        )
