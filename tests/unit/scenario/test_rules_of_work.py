"""Rules about tasks, people, faults, options and the sequence of jobs."""

import pytest

from linesim.scenario.content import option_shares
from tests.unit.scenario.lines import base, codes, problems, warnings

TASK = "station.A1.task.fit."
OPTIONS = (
    "option.loader.take = 0.4",
    "option.roof = { take = 0.3, excludes = ['canvas'] }",
    "option.canvas.take = 0.2",
)
SKID = "carrier.skid = { count = 3, boards = 'main', leaves = 'main', returns = '2 min' }"
BAYS = (
    "crew.team.covers = ['A1', 'A2', 'A3', 'B1', 'early', 'late']",
    'bay.early = { section = "main", rejoin = "out" }',
    'bay.late = { section = "trim", rejoin = "out" }',
)


@pytest.mark.parametrize(
    ("sets", "expected"),
    [
        ([TASK + "people = 2"], []),
        ([TASK + "people = 3"], ["too-few-people"]),
        ([TASK + "people = 3", "crew.more = { people = 1, covers = ['A1'] }"], []),
        ([TASK + "people = 3", TASK + "crew = 'team'", "crew.more = { people = 1, covers = ['A1'] "
                                                       "}"], ["too-few-people"]),
        ([TASK + "people = 3", "crew.more = { people = 1, covers = ['A1'], floater = true "
                               "}"], ["too-few-people"]),
        ([TASK + "crew = ['team', 'more']", "crew.more = { people = 1, covers = ['A1'] }"], []),
        ([TASK + "crew = ['team', 'more']", "crew.more = { people = 1, covers = ['A2'] "
                                            "}"], ["crew-not-here"]),
        ([TASK + "crew = 'more'", "crew.more = { people = 1, covers = ['A1'], floater = true "
                                  "}"], ["crew-not-here"]),
        ([TASK + "crew = ['team', 'maro']", "crew.more = { people = 1, covers = ['A1'] }"], ["unknown-crew"]),
        (["crew.team.covers = ['A2', 'A3', 'B1']"], ["nobody-to-do-it"]),
        (["crew.team.covers = ['A2', 'A3', 'B1']", TASK + "people = 0"], []),
        (["crew.team.covers = ['A1', 'A2', 'A1']"], ["name-twice"]),
        (["crew.team.people = 0"], ["too-few-people", "too-few-people"]),
        (["crew.team.walk_speed = 5.0"], ["wrong-pacing"]),
        (["crew.team = { covers = ['A1', 'A2'], walk_speed = 5.0 }"], []),
        (["crew.team = { covers = ['A1', 'A2'], walk_speed = 5.0, walk = '1 s' }"], ["one-of"]),
        (["crew.team = { covers = ['A1', 'A2'], walk_speed = 1.0 }"], ["out-of-range"]),
        (["crew.fitters = { people = 1, walk_speed = 2.0 }"], ["wrong-pacing"]),
        (["crew.team.response = '5 s'"], ["needs-other-key"]),
        ([TASK + "robot = ['R1', 'R2']", "robot = { R1 = {}, R2 = {} }"], []),
        ([TASK + "robot = ['R1', 'R1']", "robot.R1 = {}"], ["name-twice"]),
        ([TASK + "tool = ['gun', 'gnu']", "tool.gun = {}"], ["unknown-tool"]),
        ([TASK + "zone = 'left'", "zone.left.people = 1"], []),
        ([TASK + "zone = 'left'", TASK + "people = 2", "zone.left.people = 1"], ["zone-too-small"]),
        ([TASK + "options = 'loader'", TASK + "unless = 'roof'", *OPTIONS], []),
        ([TASK + "options = 'loader'", TASK + "unless = 'loader'", *OPTIONS], ["never-done"]),
        ([TASK + "time_for = { loader = '60 s', standard = '55 s' }", *OPTIONS], []),
        ([TASK + "time_for = { laoder = '60 s' }", *OPTIONS], ["unknown-option"]),
        (["section.main.failure.belt = { every = '2 h', lasts = '3 min', repaired_by = 'team', people = "
          "2 }"], []),
        (["section.main.failure.belt = { every = '2 h', lasts = '3 min', repaired_by = 'team', people = "
          "3 }"], ["too-few-people"]),
        (["section.main.failure.belt = { every = '2 h', lasts = '3 min', repaired_by = 'taem' "
          "}"], ["unknown-crew"]),
        (["section.main.failure.belt = { every = '2 h', lasts = '3 min', people = 2 }"], ["needs-other-key"]),
    ],
)  # fmt: skip
def test_people_and_equipment(sets: list[str], expected: list[str]) -> None:
    """Every task finds its people, robots, tools and room; every repair its crew."""
    assert codes(*sets) == expected


@pytest.mark.parametrize(
    ("sets", "expected"),
    [
        (["station.A2.task.seal.after = 'A1.fit'"], []),
        (["station.A1.task.fit.after = 'A2.seal'"], ["later-station"]),
        (["station.A1.task.fit.after = 'fit'"], ["task-circle"]),
        (["station.A1.task.fit.after = 'seal'"], ["unknown-task"]),
        (["station.A2.task.seal.after = ['A1.fot', 'C1.x']"], ["unknown-task", "unknown-station"]),
        (
            ["station.A1.task.b = { time = '1 s', after = 'fit' }", "station.A1.task.fit.after = 'b'"],
            ["task-circle"],
        ),
        (
            [
                "station.A1.task.b = { time = '1 s', after = 'c' }",
                "station.A1.task.c = { time = '1 s', after = 'd' }",
                "station.A1.task.d = { time = '1 s', after = ['b', 'fit'] }",
            ],
            ["task-circle"],
        ),
        (
            [
                "station.A1.task.b = { time = '1 s', after = 'fit' }",
                "station.A1.task.c = { time = '1 s', after = 'fit' }",
                "station.A1.task.d = { time = '1 s', after = ['b', 'c'] }",
            ],
            [],
        ),
    ],
)
def test_the_order_of_tasks(sets: list[str], expected: list[str]) -> None:
    """Predecessors exist, are not further down the line, and make no circle; a diamond is none."""
    assert codes(*sets) == expected


def test_a_long_row_of_tasks_is_no_problem() -> None:
    """A thousand tasks one after another are checked without running out of depth, and so is their circle."""
    row = "".join(f"[station.A1.task.t{n}]\ntime = '1 s'\nafter = 't{n - 1}'\n" for n in range(1, 1000))
    first = "[station.A1.task.t0]\ntime = '1 s'\n"
    assert codes(first + row) == []
    (found,) = problems(first + "after = 't999'\n" + row)
    assert found.code == "task-circle"
    assert len(found.message) < 1000


@pytest.mark.parametrize(
    ("fault", "expected"),
    [
        ("{ chance = 0.1, tries = 3 }", []),
        ("{ chance = 0.1, found = 'B1', repair = '1 min' }", []),
        ("{ chance = 0.1, found = 'A1', repair = '1 min' }", []),
        ("{ chance = 0.1, found = 'A2.seal', repair = '1 min', right = 'late' }", []),
        ("{ chance = 0.1, found = 'B1', repair = '1 min', right = 'early' }", ["not-downstream"]),
        ("{ chance = 0.1, found = 'A2', repair = '1 min', right = 'A1' }", ["not-downstream"]),
        ("{ chance = 0.1, found = 'A2', repair = '1 min', right = 'A2' }", []),
        ("{ chance = 0.1, found = 'A2', repair = '1 min', right = 'A9' }", ["unknown-place"]),
        ("{ chance = 0.1, found = 'A2' }", ["missing-field"]),
        ("{ chance = 0.1, right = 'late' }", ["missing-field"]),
        ("{ chance = 0.1, tries = 2, right = 'late', repair = '1 min' }", []),
        ("{ chance = 0.1, found = 'A2', tries = 2, repair = '1 min' }", ["needs-other-key"]),
        ("{ chance = 0.1, found = 'A2', right = 'scrap' }", []),
        ("{ chance = 0.1, tries = 2, right = 'scrap' }", []),
        ("{ chance = 0.1, found = 'A2', right = 'scrap', repair = '1 min' }", ["needs-other-key"]),
        ("{ chance = 0.1, found = 'A2', right = 'scarp', repair = '1 min' }", ["unknown-place"]),
        ("{ chance = 0.1, found = 'later', repair = '1 min' }", ["unknown-station"]),
        ("{ chance = 0.1, found = 'A2.gone', repair = '1 min' }", ["unknown-task"]),
        ("{ chance = 0.1, chance_for = { standard = 0.2 } }", []),
        ("{ chance = 0.1, chance_for = { stand = 0.2 } }", ["unknown-option"]),
        ("{ found = 'A2', repair = '1 min' }", ["missing-field"]),
        ("{ chance = 0.1, chanse = 0.1 }", ["unknown-key"]),
        ("{ chance = -0.1 }", ["out-of-range"]),
        ("{ chance = '2 percent' }", ["wrong-kind"]),
    ],
)
def test_faults(fault: str, expected: list[str]) -> None:
    """A fault is found and put right at places that the job still passes, in a stated time."""
    assert codes(*BAYS, f"station.A1.task.fit.fault = {fault}") == expected


@pytest.mark.parametrize(
    ("joins", "found", "expected"),
    [
        ("main", "A1", []),
        ("A2", "A1", []),  # a job takes its unit as it boards the section
        ("trim", "B1", []),
        ("trim", "A1", ["not-downstream"]),
        ("gone", "B1", ["unknown-place"]),
    ],
)
def test_a_fault_of_a_unit_is_found_from_the_join_on(joins: str, found: str, expected: list[str]) -> None:
    """A fault made on a feeder may be found on the main line, where its units are part of a job."""
    feeder = (
        'section.sub = { pacing = "free", stations = ["S1"] }',
        f'feeder.f = {{ flow = ["sub"], joins = "{joins}" }}',
        "crew.feeders = { people = 1, covers = ['S1'] }",
    )
    fault = f"{{ chance = 0.1, found = '{found}', repair = '1 min' }}"
    task = f"station.S1.task.build = {{ time = '1 min', fault = {fault} }}"
    assert sorted(codes(*feeder, task)) == expected


def test_a_fault_made_late_is_not_found_early() -> None:
    """A fault made at A2 cannot be found at A1."""
    fault = "station.A2.task.seal.fault = { chance = 0.1, found = 'A1', repair = '1 min' }"
    assert codes(fault) == ["not-downstream"]


@pytest.mark.parametrize(
    ("sets", "expected"),
    [
        (OPTIONS, []),
        (["option.a = { take = 0.1, needs = ['b'] }", "option.b.take = 0.1"], []),
        (["option.a = { take = 0.1, needs = ['a'] }"], ["mix-impossible"]),
        (["option.a = { take = 0.1, needs = ['b'], excludes = ['b'] "
          "}", "option.b.take = 0.1"], ["mix-impossible"]),
        (["option.a = { take = 0.6, excludes = ['b'] }", "option.b.take = 0.4"], []),
        (["option.a = { take = 0.6, excludes = ['b'] }", "option.b.take = 0.5"], ["mix-impossible"]),
        (["option.a.take = { standard = 0.2, field = 0.1 }"], ["unknown-model"]),
        (["option.standard.take = 0.2"], ["name-twice"]),
        (["model.a.share = 0"], ["out-of-range"]),
        (["model.a.share = -1"], ["out-of-range"]),
        ([*OPTIONS, "package.winter = { take = 0.1, options = ['loader', 'roof'] }"], []),
        ([*OPTIONS, "package.winter = { take = 0.1, options = ['canvas', 'roof'] }"], ["mix-impossible"]),
        ([*OPTIONS, "package.winter = { take = 0.1, options = ['heater'] }"], ["unknown-option"]),
        ([*OPTIONS, "orders = { sequence = 'listed', list = ['standard+loader', 'standard'] }"], []),
        ([*OPTIONS, "orders = { sequence = 'listed', list = ['standard+roof+canvas'] }"], ["mix-impossible"]),
        ([*OPTIONS, "orders = { sequence = 'listed', list = ['field', 'standard+heater'] "
                    "}"], ["unknown-model", "unknown-option"]),
        (["orders.sequence = 'listed'"], ["needs-other-key"]),
        (["orders.list = ['standard']"], ["needs-other-key"]),
        ([*OPTIONS, "orders.spacing.x = { of = 'loader', at_most = 2, in_any = 5 }"], []),
        ([*OPTIONS, "orders.spacing.x = { of = 'loader', at_most = 1, in_any = 3 }"], ["spacing-impossible"]),
        ([*OPTIONS, "orders.spacing.x = { of = 'loader', at_most = 3, in_any = 3 }"], ["out-of-range"]),
        ([*OPTIONS, "orders.spacing.x = { of = 'heater', at_most = 1, in_any = 3 }"], ["unknown-option"]),
        (["model.a.share = 2", "model.b.share = 1", "orders.spacing.x = { of = 'a', at_most = 2, in_any "
                                                    "= 3 }"], []),
        (["model.a.share = 2", "model.b.share = 1", "orders.spacing.x = { of = 'b', at_most = 1, in_any "
                                                    "= 4 }"], ["spacing-impossible"]),
    ],
)  # fmt: skip
def test_the_mix(sets: list[str], expected: list[str]) -> None:
    """Options, packages, orders and spacing rules can all hold at once."""
    assert codes(*sets) == expected


def test_shares_of_options() -> None:
    """An option comes alone or through packages, which are taken independently of each other."""
    scenario = base(
        "model = { a = {}, b = {} }",
        "option.x.take = { a = 0.5 }",
        "package.p = { take = 0.2, options = ['x'] }",
        "package.q = { take = { b = 0.5 }, options = ['x'] }",
    )
    assert option_shares(scenario, "a")["x"] == pytest.approx(1 - 0.5 * 0.8)  # lacks it: 0.5 alone, 0.8 by p
    assert option_shares(scenario, "b")["x"] == pytest.approx(1 - 0.8 * 0.5)


@pytest.mark.parametrize(
    ("sets", "expected"),
    [
        ([], []),
        (["crew.idle = { people = 1, covers = ['A3'] }"], ["unused-crew"]),
        (["crew.idle = { people = 0, covers = ['A3'] }"], []),
        (["crew.late = { people = 1, covers = ['A3'] }",
          "station.A1 = { on_limit = 'pass', open_to = 'A3' }"], []),
        (["crew.late = { people = 1, covers = ['A3'] }",
          TASK + "fault = { chance = 0.1, found = 'A2', repair = '1 min', right = 'A3' }"], []),
        (["crew.late = { people = 1, covers = ['A3'] }",
          TASK + "fault = { chance = 0.1, found = 'A3', repair = '1 min' }"], []),
        (["crew.late = { people = 1, covers = ['A3'] }",
          TASK + "fault = { chance = 0.1, found = 'A3', right = 'scrap' }"], ["unused-crew"]),
        (["crew.idle = { people = 1, covers = ['A1'], floater = true }"], ["unused-crew"]),
        (["crew.idle = { people = 1, covers = ['A1'], floater = true }", "station.A1.call_at = 0.5"], []),
        (["crew.fix = { people = 1 }", "robot.R1.failure.jam = { every = { shape = 'exponential', mean "
                                       "= '2 h' }, "
          "lasts = '3 min', repaired_by = 'fix' }", TASK + "robot = 'R1'", TASK + "people = 1"], []),
        ([TASK + "crew = 'team'", "crew.more = { people = 1, covers = ['A1'] }"], ["unused-crew"]),
        ([SKID], []),
        ([SKID, "section.main.on_gap = 'wait'"], ["carriers-too-few"]),
        ([SKID, "section.main.on_gap = 'wait'", "carrier.skid.count = 4"], []),
        ([SKID, "section = { main.on_gap = 'wait', trim.on_gap = 'wait' }", "carrier.skid.count = 4"], []),
        ([SKID, "section = { main.on_gap = 'wait', trim.on_gap = 'wait' }", "carrier.skid.count = 4",
          "carrier.skid.leaves = 'trim'"], ["carriers-too-few"]),
        ([SKID, "section.trim.on_gap = 'wait'", "carrier.skid.leaves = 'trim'"], []),
        (BAYS, ["unused-bay", "unused-bay"]),
        ([*BAYS, "station.A1.on_limit = 'pass'"], ["unused-bay"]),
        ([*BAYS, "station.A1.on_limit = "
                 "'pass'", TASK + "fault = { chance = 0.1, repair = '1 min', right = 'late' }"], []),
        (["calendar = { day = { shifts = ['06:00-14:00'] }, night = { shifts = ['22:00-06:00'] } "
          "}", "run.calendar = 'day'"],
         ["unused-calendar"]),
        (["calendar = { day = { shifts = ['06:00-14:00'] } }"], []),
        (["option.loader.take = 0", TASK + "options = 'loader'"], ["option-never-taken"]),
        (["option.loader.take = 0", "option.x = { take = 0.1, needs = ['loader'] "
                                    "}", TASK + "options = 'loader'"], []),
        (["option.loader.take = 0", "package.p = { take = 0.1, options = ['loader'] "
                                    "}", TASK + "options = 'loader'"], []),
        (["model = { a = {}, b = { share = 0 } }", TASK + "models = 'b'"], ["option-never-taken"]),
        ([TASK + "time = { mean = '50 s', confidence = 'guess' }"], ["guesses"]),
        ([TASK + "confidence = 'guess'"], ["guesses"]),
        (["section.main.failure.belt = { every = '2 h', lasts = '3 min' }"], ["clockwork"]),
        (["section.main.failure.belt = { every = { shape = 'exponential', mean = '2 h' }, lasts = '3 "
          "min' }"], []),
        (["station.A1.disturbance.parts = { every = '2 h', lasts = '3 min' }"], []),
    ],
)  # fmt: skip
def test_warnings(sets: list[str], expected: list[str]) -> None:
    """What nobody uses and what nobody knows well is said, and nothing else."""
    assert warnings(*sets) == expected


def test_a_broken_spacing_rule_counts_its_runs() -> None:
    """In x x - x - - at most one in any three is broken in two of the four whole runs."""
    listed = "['standard+l', 'standard+l', 'standard', 'standard+l', 'standard', 'standard']"
    rule = "orders.spacing.x = { of = 'l', at_most = 1, in_any = 3 }"
    from linesim.scenario import read_text
    from tests.unit.scenario.lines import written

    orders = f"orders = {{ sequence = 'listed', list = {listed} }}"
    reading = read_text(written("option.l.take = 0.1", orders, rule))
    (found,) = [warning for warning in reading.warnings if warning.code == "spacing-broken"]
    assert "in 2 of 4 runs of 3 jobs" in found.message
