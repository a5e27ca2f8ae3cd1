"""Whether fields fit the pacing of their section: reaches, moves, calls, places."""

from __future__ import annotations

from linesim.scenario.checks.checker import Desk
from linesim.scenario.line import Section
from linesim.scenario.origins import Path
from linesim.scenario.suggest import shown


def check_sections(desk: Desk) -> None:
    """Check takts and moves."""
    scenario = desk.scenario
    if scenario.takt.ticks == 0:
        desk.say(("takt",), "out-of-range", f'found "{scenario.takt}"; a takt is more than 0.')
    for name, section in scenario.section.items():
        if not desk.is_whole("section", name, "pacing"):
            continue
        path: Path = ("section", name)
        takt = section.takt or scenario.takt
        if section.takt is not None and section.takt.ticks == 0:
            desk.say((*path, "takt"), "out-of-range", f'found "{section.takt}"; a takt is more than 0.')
        if section.pacing != "indexed" and section.transfer.ticks > 0:
            _misfit(desk, (*path, "transfer"), section, "only an indexed section moves all jobs in one step")
        elif section.pacing == "indexed" and section.transfer.ticks >= takt.ticks > 0:
            desk.say(
                (*path, "transfer"),
                "out-of-range",
                f'a move of "{section.transfer}" leaves nothing of a takt of "{takt}"; write less.',
            )
        if section.pacing == "free" and section.on_gap == "wait":
            _misfit(desk, (*path, "on_gap"), section, "a free section has no pitch marks and so no gaps")
        _check_ends(desk, name, section)


def _misfit(desk: Desk, path: Path, section: Section, why: str) -> None:
    desk.say(
        path, "wrong-pacing", f"{why}, and this one is {section.pacing}; remove the key or change the pacing."
    )


def _check_ends(desk: Desk, name: str, section: Section) -> None:
    """A crew that reaches past the end of its section would work on jobs that are elsewhere."""
    stations = [station for station in section.stations if station in desk.scenario.station]
    if section.pacing != "moving" or not stations:
        return
    for number, station in enumerate(stations):
        table = desk.scenario.station[station]
        for key, room in (("early", number), ("late", len(stations) - 1 - number)):
            if getattr(table, key) <= room:
                continue
            side, edge = ("before", "first") if key == "early" else ("after", "last")
            behind = f"only {room} from the {edge}" if room else f"the {edge}"
            desk.say(
                ("station", station, key),
                "reach-past-end",
                f"{shown(station)} is {behind} station of section {shown(name)}, and the reach goes past the "
                f"section's end; add an empty station {side} it.",
            )


def check_reaches(desk: Desk) -> None:
    """Check that stations only have what the pacing of their section knows."""
    for name, station in desk.scenario.station.items():
        home = desk.scenario.section.get(desk.layout.section_of.get(name, ""))
        if home is None or not desk.is_whole("section", desk.layout.section_of[name], "pacing"):
            continue
        path: Path = ("station", name)
        if home.pacing != "moving":
            for key in ("early", "late"):
                if getattr(station, key) > 0:
                    _misfit(
                        desk, (*path, key), home, "only in a moving section can a crew reach past its border"
                    )
        if home.pacing == "free":
            if station.call_at is not None:
                _misfit(desk, (*path, "call_at"), home, "a free section has no limit to call before")
            if station.on_limit == "pass":
                _misfit(desk, (*path, "on_limit"), home, "a free section has no limit to pass")
        elif station.places > 1:
            _misfit(desk, (*path, "places"), home, "only in a free section does a station hold several jobs")
        if station.open_to is not None:
            _check_open_to(desk, name, station.open_to)
        elif station.on_limit == "pass" and home.pacing != "free" and first_bay_after(desk, name) is None:
            desk.say(
                (*path, "on_limit"),
                "nowhere-to-go",
                "jobs may pass with open work, but no bay stands downstream; add one, or name a later "
                "station in `open_to`.",
            )


def first_bay_after(desk: Desk, station: str) -> str | None:
    """Return the first bay at or after the end of the station's own section, in line order."""
    scenario, layout = desk.scenario, desk.layout
    found: list[tuple[int, str]] = []
    for name, bay in scenario.bay.items():
        if bay.section in scenario.section and layout.line_of.get(bay.section) == layout.line_of.get(station):
            end = layout.end_of(scenario, bay.section)
            if end is not None and end >= layout.rank[station]:
                found.append((end, name))
    return min(found, key=lambda item: item[0])[1] if found else None


def _check_open_to(desk: Desk, name: str, target: str) -> None:
    path: Path = ("station", name, "open_to")
    if desk.scenario.station[name].on_limit != "pass":
        desk.say(
            path,
            "needs-other-key",
            '`open_to` only means something with on_limit = "pass"; add that or remove it.',
        )
    if desk.expect(path, target, "place"):
        check_after(desk, path, name, target, "the open work")


def check_after(desk: Desk, path: Path, start: str, target: str, what: str) -> None:
    """Say so if a station or bay does not come after the station `start`."""
    scenario, layout = desk.scenario, desk.layout
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
        desk.say(
            path,
            "not-downstream",
            f"{shown(target)} does not come after {shown(start)}, so {what} would never get there; name "
            "one further down.",
        )
