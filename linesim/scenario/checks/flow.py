"""Whether the line hangs together: flow, sections, stations, buffers, feeders, carriers."""

from __future__ import annotations

from linesim.scenario.checks.checker import Desk
from linesim.scenario.origins import Path
from linesim.scenario.suggest import has, shown


def check_flow(desk: Desk) -> None:
    """Check that the main line and every feeder are rows of sections with buffers between them."""
    scenario = desk.scenario
    used: dict[str, Path] = {}
    _check_row(desk, scenario.flow, ("flow",), used)
    for name, feeder in scenario.feeder.items():
        _check_row(desk, feeder.flow, ("feeder", name, "flow"), used)
        _check_join(desk, name)
    for kind in ("section", "buffer") if desk.is_whole("flow") and desk.is_whole("feeder") else ():
        for name in getattr(scenario, kind):
            if name not in used:
                desk.say(
                    (kind, name),
                    "not-in-flow",
                    f"the {kind} {shown(name)} is in no flow; name it in `flow` or in that of a feeder, "
                    "or remove it.",
                )


def _check_row(desk: Desk, row: tuple[str, ...], path: Path, used: dict[str, Path]) -> None:
    sections, buffers = desk.known("section"), desk.known("buffer")
    is_feeder = path[0] == "feeder"
    is_lost = desk.is_lost("section") or desk.is_lost("buffer")
    for number, name in enumerate(row):
        here = (*path, number)
        if name not in sections and name not in buffers and not is_lost:
            known = [*desk.scenario.section, *desk.scenario.buffer]
            desk.say(
                here,
                "unknown-section",
                f"{shown(name)} is neither a section nor a buffer of this scenario; "
                f"{has(known, name, 'section')}.",
            )
        elif name in used:
            desk.say(here, "name-twice", f"{shown(name)} is in the flow twice; a job passes it once.")
        used.setdefault(name, here)
    if all(name in buffers for name in row):
        what = "has no section" if row else "is empty"
        desk.say(path, "flow-order", f"the flow {what}; name the sections in line order.")
        return
    for number, name in enumerate(row):
        if name not in buffers or name in sections:
            continue
        here = (*path, number)
        if number == 0:
            desk.say(
                here,
                "flow-order",
                f"the flow begins with the buffer {shown(name)}; it begins with a section.",
            )
        elif number == len(row) - 1 and not is_feeder:
            desk.say(
                here, "flow-order", f"the flow ends with the buffer {shown(name)}; it ends with a section."
            )
        elif row[number - 1] in buffers:
            desk.say(
                here,
                "flow-order",
                f"the buffers {shown(row[number - 1])} and {shown(name)} follow one another; "
                "join them to one, or put a section between them.",
            )


def _check_join(desk: Desk, name: str) -> None:
    feeder = desk.scenario.feeder[name]
    path: Path = ("feeder", name, "joins")
    main_line = [
        place
        for place, line in desk.layout.line_of.items()
        if line == 0 and place not in desk.known("buffer")
    ]
    if feeder.joins not in main_line and feeder.joins not in feeder.flow:
        if feeder.joins in desk.known("section") or feeder.joins in desk.known("station"):
            desk.say(
                path,
                "not-downstream",
                f"{shown(feeder.joins)} is not on the main line; a feeder joins a section or station there.",
            )
        else:
            desk.say(
                path,
                "unknown-place",
                f"{shown(feeder.joins)} is not a section or station of the main line; "
                f"{has(main_line, feeder.joins, 'section')}.",
            )
    elif feeder.joins in feeder.flow:
        desk.say(path, "not-downstream", f"the feeder {shown(name)} joins itself; it joins the main line.")


def check_stations(desk: Desk) -> None:
    """Check that every station stands in exactly one section, and that names are used once."""
    scenario = desk.scenario
    home: dict[str, str] = {}
    for name, section in scenario.section.items():
        path: Path = ("section", name, "stations")
        if not section.stations:
            desk.say(path, "empty-section", f"the section {shown(name)} has no station; name at least one.")
        for number, station in enumerate(section.stations):
            if station in home:
                desk.say(
                    (*path, number),
                    "name-twice",
                    f"the station {shown(station)} already stands in section {shown(home[station])}; "
                    "a station stands in the line once.",
                )
            home.setdefault(station, name)
    for station in scenario.station:
        if station not in home and desk.is_whole("section"):
            known = sorted(home)
            desk.say(
                ("station", station),
                "unknown-station",
                f"the station {shown(station)} stands in no section; add it to the stations of one "
                f"(the line has {has(known, station, 'station').removeprefix('it has ')}).",
            )
    _check_names(desk, home)


#: Words that stand where a name could: the whole line in results, `right` of a fault, `rejoin` of a bay.
_WORDS = (
    ("section", ("segment",)),
    ("bay", ("segment", "there", "scrap")),
    ("station", ("segment", "there", "scrap")),
    ("buffer", ("out",)),
)


def _check_names(desk: Desk, home: dict[str, str]) -> None:
    """Names are looked up across these kinds (`covers`, `right`, `joins`), so they must differ.

    So must the rows of the results: segment, section and station in `own_stop`, bay in `reworked`.
    """
    scenario = desk.scenario
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
                desk.say(
                    path,
                    "name-twice",
                    f"{shown(name)} is the name of a {taken[name]} and of a {kind}; rename one.",
                )
            taken.setdefault(name, kind)
            if name in dict(_WORDS).get(kind, ()):
                path = ("section", home[name], "stations") if kind == "station" else (kind, name)
                desk.say(path, "name-twice", f"{shown(name)} is a word of its own; rename the {kind}.")


def check_buffers(desk: Desk) -> None:
    """Check that buffers hold what they are said to hold."""
    for name, buffer in desk.scenario.buffer.items():
        if buffer.level is not None and buffer.level > buffer.capacity:
            desk.say(
                ("buffer", name, "level"),
                "out-of-range",
                f"found {buffer.level} jobs in {buffer.capacity} places; write at most {buffer.capacity}.",
            )


def check_carriers(desk: Desk) -> None:
    """Check that carriers board and leave on the main line, in this order."""
    layout = desk.layout
    for name, loop in desk.scenario.carrier.items():
        path: Path = ("carrier", name)
        boards = desk.expect((*path, "boards"), loop.boards, "section")
        leaves = desk.expect((*path, "leaves"), loop.leaves, "section")
        if (
            boards
            and leaves
            and loop.boards != loop.leaves
            and not layout.is_before(loop.boards, loop.leaves)
        ):
            desk.say(
                (*path, "leaves"),
                "not-downstream",
                f"the section {shown(loop.leaves)} does not come after {shown(loop.boards)}, where the "
                "carriers board.",
            )
