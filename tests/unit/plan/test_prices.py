"""What people and equipment of a line cost in a shift, added up by hand."""

import pytest

from linesim.plan.build import build
from linesim.plan.tables import Prices
from linesim.scenario import load_text

LINE = """
takt = "60 s"
flow = ["one", "lane", "two"]
[run]
length = "8 h"
calendar = "two-shifts"
[calendar.two-shifts]
shifts = ["06:00-14:00", "14:00-22:00"]
days = ["mon", "tue", "wed", "thu", "fri"]
[calendar.nights]
shifts = ["22:00-06:00"]
days = ["mon", "tue", "wed", "thu", "fri"]
[section.one]
pacing = "moving"
stations = ["A"]
[section.two]
pacing = "moving"
stations = ["B"]
[buffer.lane]
capacity = 3
[crew.day]
people = 4
covers = ["A", "B"]
[crew.night]
people = 1
covers = ["A"]
calendar = "nights"
[robot.R1]
[robot.R2]
[tool.gun]
count = 2
[station.A.task.weld]
robot = ["R1", "R2"]
time = "30 s"
[station.B.task.bolt]
tool = "gun"
time = "30 s"
"""


def prices(cost: str) -> Prices | None:
    """Return the prices of the line with a table of costs."""
    return build(load_text(LINE + cost)).prices


def test_no_price_no_money() -> None:
    """A scenario that names no price, or only its currency, speaks of no money."""
    assert prices("") is None
    assert prices('[cost]\ncurrency = "EUR"\n') is None


def test_people_are_paid_by_the_shifts_of_their_own_calendar() -> None:
    """Four people of every shift and one of one night shift a day: 4 + 1/2 shifts of pay a line shift."""
    found = prices("[cost]\noperator_per_shift = 200\n")
    assert found == Prices("money", None, None, 4 * 200 + 200 / 2, None)


def test_premiums_are_paid_for_their_hours() -> None:
    """A quarter more from 20:00 to 06:00: 2 of 16 h of the day crew, all 8 of the night crew."""
    found = prices(
        '[cost]\noperator_per_shift = 200\n[cost.premium.night]\nhours = "20:00-06:00"\nshare = 0.25\n'
    )
    assert found is not None
    assert found.people == pytest.approx(800 * (1 + 0.25 * 2 / 16) + 100 * 1.25)


def test_a_premium_of_days_counts_the_hours_that_fall_on_them() -> None:
    """Half more on all Saturday: the night shift that begins on Friday has 6 of its 40 weekly hours there."""
    saturday = '[cost.premium.sat]\nhours = "00:00-24:00"\ndays = ["sat"]\nshare = 0.5\n'
    found = prices("[cost]\noperator_per_shift = 200\n" + saturday)
    assert found is not None
    assert found.people == pytest.approx(800 + 100 * (1 + 0.5 * 6 / 40))


def test_equipment_costs_by_kind_or_by_name() -> None:
    """Three places at 5, two robots of which one is dear, two guns at 7; what has no price costs nothing."""
    kinds = "[cost]\nbuffer_place_per_shift = 5\nrobot_per_shift = 60\ntool_per_shift = 7\n"
    assert prices(kinds + "equipment = { R2 = 90 }\n") == Prices(
        "money", None, None, None, 3 * 5 + 60 + 90 + 2 * 7
    )
    assert prices("[cost]\nequipment = { lane = 4 }\n") == Prices("money", None, None, None, 12)
