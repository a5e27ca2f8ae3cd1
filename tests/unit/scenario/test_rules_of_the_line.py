"""Rules about flow, sections, stations, buffers, bays, feeders and carriers."""

import tomllib

import pytest

from linesim.errors import ScenarioError
from linesim.scenario import from_dict
from linesim.scenario.replace import laid
from tests.unit.scenario.lines import base, codes, problems

SUB = ('section.sub = { pacing = "free", stations = ["S1"] }', 'feeder.f = { flow = ["sub"], joins = "A2" }')
BAY = (
    'bay.hospital = { section = "trim", rejoin = "out" }',
    "crew.team.covers = ['A1', 'A2', 'A3', 'B1', 'hospital']",
)


@pytest.mark.parametrize(
    ("flow", "expected"),
    [
        ('["main", "lane", "trim"]', []),
        ('["lane", "main", "trim"]', ["flow-order"]),
        ('["main", "trim", "lane"]', ["flow-order"]),
        ('["main", "lane", "lane", "trim"]', ["flow-order", "name-twice"]),
        ('["main", "lane", "trim", "main"]', ["name-twice"]),
        ('["main", "lane", "trim", "tirm"]', ["unknown-section"]),
        ('["main", "trim"]', ["not-in-flow"]),
        ('["lane"]', ["flow-order", "not-in-flow", "not-in-flow"]),
        ("[]", ["flow-order", "not-in-flow", "not-in-flow", "not-in-flow"]),
    ],
)
def test_the_flow(flow: str, expected: list[str]) -> None:
    """A flow is a row of sections with single buffers between them, and everything is in one."""
    assert sorted(codes(f"flow = {flow}")) == expected


@pytest.mark.parametrize(
    ("sets", "expected"),
    [
        ((), ["no-time"]),
        (('station.A1.task.fit = { time = "0 s", people = 0 }',), ["no-time"]),
        (('station.A1.task.fit = { time = "1 s", people = 0 }',), []),
        (('supply.every = "60 s"',), []),
        (('removal.every = "60 s"',), []),
        (('section.main.pacing = "moving"',), []),
    ],
)
def test_something_takes_time(sets: tuple[str, ...], expected: list[str]) -> None:
    """A line on which nothing takes time is refused: it would make endless jobs in one instant."""
    raw = {"takt": "60 s", "flow": ["main"], "run": {"length": "1 h"}}
    raw["section"] = {"main": {"pacing": "free", "stations": ["A1", "A2"]}}
    for text in sets:
        raw = laid(raw, tomllib.loads(text))
    found: list[str] = []
    try:
        from_dict(raw)
    except ScenarioError as error:
        found = [problem.code for problem in error.problems]
    assert found == expected


def test_sections_may_follow_each_other_without_a_buffer() -> None:
    """Direct handover needs no buffer, and a buffer without places is one too."""
    assert (
        codes(
            'section.more = { pacing = "free", stations = ["C1"] }', "flow = ['main', 'lane', 'trim', 'more']"
        )
        == []
    )
    assert codes("buffer.lane.capacity = 0") == []


@pytest.mark.parametrize(
    ("sets", "expected"),
    [
        (SUB, []),
        ((SUB[0], SUB[1].replace("A2", "lane")), ["unknown-place"]),
        ((SUB[0], SUB[1].replace("A2", "gone")), ["unknown-place"]),
        ((SUB[0], SUB[1].replace("A2", "S1")), ["not-downstream"]),
        ((SUB[0], SUB[1].replace("A2", "sub")), ["not-downstream"]),
        ((SUB[0], SUB[1].replace("A2", "trim")), []),
        ((*SUB, "buffer.side.capacity = 2", "feeder.f.flow = ['sub', 'side']"), []),
        ((*SUB, "feeder.f.flow = ['sub', 'trim']"), ["name-twice"]),
    ],
)
def test_feeders(sets: tuple[str, ...], expected: list[str]) -> None:
    """A feeder has sections of its own, may end in a buffer, and joins the main line at any section."""
    assert codes(*sets) == expected


@pytest.mark.parametrize(
    ("sets", "expected"),
    [
        (['section.trim.stations = ["B1", "A1"]'], ["name-twice"]),
        (['section.trim.stations = ["B1", "lane"]'], ["name-twice"]),
        (['section.trim.stations = ["B1", "main"]'], ["name-twice"]),
        (['section.trim.stations = ["B1", "scrap"]'], ["name-twice"]),
        (['section.trim.stations = ["B1", "segment"]'], ["name-twice"]),
        (['flow = ["main", "out", "trim"]', "buffer.out.capacity = 2"], ["name-twice", "not-in-flow"]),
        (["section.trim.stations = []"], ["empty-section", "unknown-place"]),
        (['station.C9.call_at = 0.5'], ["unknown-station"]),
        (["buffer.lane.level = 3"], ["out-of-range"]),
        (["buffer.lane.level = 2"], []),
        (['takt = "0 s"', 'section.trim.takt = "60 s"'], ["out-of-range"]),
        (['section.main.takt = "0 s"'], ["out-of-range"]),
        (['section.trim.transfer = "60 s"'], ["out-of-range"]),
        (['section.main.transfer = "6 s"'], ["wrong-pacing"]),
        (["station.A2.late = 0.2", "station.A2.early = 1.0"], []),
        (["station.A1.early = 0.2"], ["reach-past-end"]),
        (["station.A3.late = 0.2"], ["reach-past-end"]),
        (["station.A1.late = 2.0", "station.A2.late = 1.0"], []),
        (["station.A1.late = 2.2", "station.A2.late = 1.2"], ["reach-past-end", "reach-past-end"]),
        (["station.B1.late = 0.2"], ["wrong-pacing"]),
        (["station.B1.early = 0.2"], ["wrong-pacing"]),
        (["station.A2.early = 1.2"], ["out-of-range"]),
        (["station.A1.places = 2"], ["wrong-pacing"]),
        (['section.trim = { pacing = "free", transfer = "0 s" }', "station.B1.places = 2"], []),
        (['section.trim = { pacing = "free", transfer = "0 s", on_gap = "wait" }'], ["wrong-pacing"]),
        (['section.trim = { pacing = "free", transfer = "0 s" '
          '}', "station.B1.call_at = 0.5"], ["wrong-pacing"]),
        (['section.trim = { pacing = "free", transfer = "0 s" '
          '}', 'station.B1.on_limit = "pass"'], ["wrong-pacing"]),
        (['station.A1.on_limit = "pass"'], ["nowhere-to-go"]),
        (['station.A1 = { on_limit = "pass", open_to = "B1" }'], []),
        (['station.A2 = { on_limit = "pass", open_to = "A1" }'], ["not-downstream"]),
        (['station.A2 = { on_limit = "pass", open_to = "C1" }'], ["unknown-place"]),
        (['station.A2.open_to = "B1"'], ["needs-other-key"]),
        ([*BAY, 'station.A1.on_limit = "pass"'], []),
        ([*BAY, 'bay.hospital.section = "main"', 'station.B1.on_limit = "pass"'], ["nowhere-to-go"]),
        (["section.main.failure.belt = { every = '2 h', lasts = '3 min' }"], []),
        (["station.A1.disturbance.parts = { every = 50, lasts = '3 min', per = 'jobs' }"], []),
        (["station.A1.disturbance.parts = { every = 50, lasts = '3 min' }"], ["one-of"]),
        (["station.A1.disturbance.parts = { every = '5 min', lasts = '3 min', per = 'jobs' }"], ["one-of"]),
        (["station.A1.disturbance.parts = { every = '0 s', lasts = '3 min' }"], ["out-of-range"]),
        (["station.A1.disturbance.overrun = { every = '5 h', lasts = '3 min' }"], ["cause-taken"]),
        (["section.main.disturbance.starved = { every = '5 h', lasts = '3 min' }"], ["cause-taken"]),
        (["supply = { every = '60 s', at_s = [1.0] }"], ["one-of"]),
        (["supply.every = '0 s'"], ["out-of-range"]),
        (["removal.outage.lorry = { every = '5 h', lasts = '3 min' }"], []),
        (["removal.outage.lorry = { every = '5 h', lasts = '3 min', per = 'running' }"], ["unknown-word"]),
        (["carrier.skid = { count = 9, boards = 'main', leaves = 'trim', returns = '2 min' }"], []),
        (["carrier.skid = { count = 9, boards = 'trim', leaves = 'main', returns = '2 min' "
          "}"], ["not-downstream"]),
        (["carrier.skid = { count = 9, boards = 'main', leaves = 'main', returns = '2 min' }"], []),
        (["carrier.skid = { count = 0, boards = 'main', leaves = 'man', returns = '2 min' "
          "}"], ["out-of-range", "unknown-section"]),
    ],
)  # fmt: skip
def test_sections_stations_and_ends(sets: list[str], expected: list[str]) -> None:
    """Each broken rule is said once, and the same line with the rule kept is right."""
    assert sorted(codes(*sets)) == expected


@pytest.mark.parametrize(
    ("change", "expected"),
    [
        ("", []),
        ('bay.hospital.rejoin = "lane"', []),
        ('bay.hospital.rejoin = "main"', ["unknown-buffer"]),
        ('bay.hospital.section = "tirm"', ["unknown-section"]),
        ("bay.hospital.people = 3", ["too-few-people"]),
        ("crew.team.covers = ['A1', 'A2', 'A3', 'B1']", ["nobody-to-do-it"]),
        ("bay.hospital.max_passes = 0", ["out-of-range"]),
        ('bay.hospital.on_full = "wait"', ["unknown-word"]),
        ('bay.segment = { section = "trim", rejoin = "out" }', ["name-twice", "nobody-to-do-it"]),
        ("bay.hospital.success = 1.1", ["out-of-range"]),
    ],
)
def test_bays(change: str, expected: list[str]) -> None:
    """A bay stands at a section, has people, and sends its jobs to a buffer or out."""
    assert codes(*BAY, *([change] if change else [])) == expected


def test_a_bay_of_a_feeder_keeps_to_its_line() -> None:
    """Units in a feeder's bay can neither rejoin at a buffer of the main line nor leave as finished jobs."""
    for rejoin in ("lane", "out"):
        bay = f'bay.hospital = {{ section = "sub", rejoin = "{rejoin}" }}'
        assert codes(*SUB, bay, BAY[1]) == ["not-in-flow"]


def test_the_place_of_a_reach_past_the_end_is_the_station() -> None:
    """The mend says where to add an empty station."""
    (found,) = problems("station.A3.late = 0.2")
    assert found.place == "station.A3.late"
    assert "add an empty station after it" in found.message


@pytest.mark.parametrize(
    ("calendar", "expected"),
    [
        ("shifts = ['06:00-14:00', '14:00-22:00', '22:00-06:00']", []),
        ("shifts = ['06:00-14:00', '13:59-22:00']", ["shifts-overlap"]),
        ("shifts = ['22:00-06:00', '05:30-10:00']", ["shifts-overlap"]),
        ("shifts = ['22:00-06:00', '05:30-10:00'], days = ['mon', 'wed']", []),
        ("shifts = ['22:00-06:00'], days = ['sun', 'mon']", []),
        ("shifts = ['22:00-06:00', '04:00-05:00'], days = ['sun', 'mon']", ["shifts-overlap"]),
        ("shifts = ['06:00-24:00', '00:00-06:00']", []),
        ("shifts = ['06:00-06:00']", ["bad-span"]),
        ("shifts = ['6:00-14:00']", ["bad-span"]),
        ("shifts = ['06:00-24:30']", ["bad-span"]),
        ("shifts = []", ["out-of-range"]),
        ("shifts = ['06:00-14:00'], breaks = ['09:00-09:15', '12:00-12:30']", []),
        ("shifts = ['22:00-06:00'], breaks = ['23:50-00:10', '02:00-02:30']", []),
        ("shifts = ['06:00-14:00'], breaks = ['13:50-14:10']", ["break-outside"]),
        ("shifts = ['06:00-14:00'], breaks = ['09:00-09:15', '09:10-09:20']", ["shifts-overlap"]),
        ("shifts = ['06:00-07:00'], breaks = ['06:00-07:00']", ["break-outside"]),
        ("shifts = ['06:00-14:00'], days = ['mon', 'mon']", ["name-twice"]),
        ("shifts = ['06:00-14:00'], days = ['monday']", ["unknown-word"]),
    ],
)
def test_calendars(calendar: str, expected: list[str]) -> None:
    """Shifts do not overlap on any day of the week, breaks lie inside them and leave some work."""
    assert codes(f"calendar.day = {{ {calendar} }}") == expected


def test_the_run() -> None:
    """A run has a length, a shift in hours, and a calendar that exists."""
    assert codes('run.length = "0 h"') == ["out-of-range"]
    assert codes('run.shift = "1 shift"') == ["bad-time"]
    assert codes('run.calendar = "night"') == ["unknown-calendar"]
    assert (
        codes('crew.team.calendar = "night"', 'section.main.calendar = "night"') == ["unknown-calendar"] * 2
    )
    assert codes("run.replications = 0", "run.seed = -1") == ["out-of-range"] * 2
    assert base("run.warm_up = '0 s'").run.warm_up.ticks == 0
