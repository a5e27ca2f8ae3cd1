"""Whether there is somebody for everything: crews, and the people that work asks for."""

from __future__ import annotations

from linesim.scenario.checks.checker import Desk
from linesim.scenario.line import placed_tasks
from linesim.scenario.origins import Path
from linesim.scenario.suggest import shown


def check_crews(desk: Desk) -> None:
    """Check where crews work, how they walk, and whether floaters can answer."""
    scenario = desk.scenario
    for name, crew in scenario.crew.items():
        path: Path = ("crew", name)
        for number, place in enumerate(crew.covers):
            here = (*path, "covers", number)
            if place in crew.covers[:number]:
                desk.say(here, "name-twice", f"{shown(place)} is covered twice; keep one.")
                continue
            desk.expect(here, place, "place")
            home = scenario.section.get(desk.layout.section_of.get(place, ""))
            if home is not None and not desk.is_whole("section", desk.layout.section_of[place], "pacing"):
                continue
            if crew.walk_speed is not None and home is not None and home.pacing != "moving":
                desk.say(
                    (*path, "walk_speed"),
                    "wrong-pacing",
                    f"{shown(place)} is in a section that is {home.pacing}; a walking speed needs a moving "
                    "one, write `walk` as a time.",
                )
        if crew.walk_speed is not None and not any(place in desk.layout.section_of for place in crew.covers):
            desk.say(
                (*path, "walk_speed"),
                "wrong-pacing",
                "a walking speed is a multiple of the conveyor's, and this crew covers no moving section.",
            )
        if crew.response.ticks > 0 and not crew.floater:
            desk.say(
                (*path, "response"),
                "needs-other-key",
                "only floaters answer calls; add floater = true or remove `response`.",
            )
        if crew.calendar is not None:
            desk.expect((*path, "calendar"), crew.calendar, "calendar")


def crews_at(desk: Desk, place: str) -> tuple[str, ...]:
    """Return the crews that cover a station or bay, floaters left out: they only come when called."""
    return tuple(
        name for name, crew in desk.scenario.crew.items() if place in crew.covers and not crew.floater
    )


def check_staff(desk: Desk) -> None:
    """Check that every task and every bay can have the people it asks for."""
    if not desk.is_whole("crew"):
        return
    for station, name, at, task in placed_tasks(desk.scenario.station):
        here = crews_at(desk, at)
        path: Path = ("station", station, "task", name)
        for number, crew in enumerate(task.crew):
            place = (*path, "crew", number) if len(task.crew) > 1 else (*path, "crew")
            if desk.expect(place, crew, "crew") and crew not in here:
                floats = desk.scenario.crew[crew].floater
                why = "only comes when called" if floats else f"does not cover {shown(at)}"
                mend = "name a crew that is always there" if floats else "add the station to `covers`"
                desk.say(place, "crew-not-here", f"the crew {shown(crew)} {why}; {mend}.")
        if not task.crew or all(crew in desk.scenario.crew for crew in task.crew):
            named = tuple(crew for crew in task.crew or here if crew in here)
            if named or not task.crew:
                _check_number(desk, (*path, "people"), named, task.people, f"the task {shown(name)}")
    for name, bay in desk.scenario.bay.items():
        _check_number(
            desk, ("bay", name, "people"), crews_at(desk, name), bay.people, f"the bay {shown(name)}"
        )


def _check_number(desk: Desk, path: Path, crews: tuple[str, ...], people: int, who: str) -> None:
    if people == 0:
        return
    if not crews:
        desk.say(
            path[:-1],
            "nobody-to-do-it",
            f"{who} needs {people} {'person' if people == 1 else 'people'} and no crew covers its place; "
            "add the place to the `covers` of a crew (floaters do not count).",
        )
        return
    there = sum(desk.scenario.crew[crew].people for crew in crews)
    if there < people:
        desk.say(
            path,
            "too-few-people",
            f"{who} needs {people} at once and {' and '.join(crews)} "
            f"{'has' if len(crews) == 1 else 'have'} {there}; "
            "ask for fewer or give the crew more people.",
        )
