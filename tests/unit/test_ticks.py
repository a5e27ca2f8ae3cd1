"""Time in whole ticks, and durations as text with a unit."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from linesim.ticks import LONGEST_S, Duration, of_seconds, parse_duration, seconds, ticks


def test_a_tick_is_a_millisecond() -> None:
    """Seconds become milliseconds and come back."""
    assert ticks(57.6) == 57_600
    assert seconds(57_600) == 57.6
    assert isinstance(ticks(1.0), int)


@pytest.mark.parametrize(
    ("value", "expected"), [(0.0005, 0), (0.0015, 2), (0.0025, 2), (-0.0005, 0), (0.00051, 1)]
)
def test_halves_go_to_the_even_tick(value: float, expected: int) -> None:
    """A time halfway between two ticks becomes the even one."""
    assert ticks(value) == expected


def test_sums_of_ticks_close() -> None:
    """Tasks of 19.2 s and 38.4 s fill a takt of 57.6 s exactly in ticks, not in every cycle in floats."""
    assert ticks(19.2) + ticks(38.4) == ticks(57.6)
    assert any(n * 57.6 + 19.2 + 38.4 != (n + 1) * 57.6 for n in range(50))


@pytest.mark.parametrize("value", [float("nan"), float("inf"), -float("inf")])
def test_ticks_of_no_number(value: float) -> None:
    """What is no finite time has no ticks."""
    with pytest.raises(ValueError, match="finite"):
        ticks(value)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("61 s", 61.0), ("61s", 61.0), (" 2  min ", 120.0), ("1.5 h", 5400.0), ("1 shift", 28_800.0),
        ("5 shifts", 144_000.0), ("0 s", 0.0), (".5 s", 0.5), ("5. s", 5.0), ("+3 s", 3.0), ("0.1 min", 6.0),
    ],
)  # fmt: skip
def test_durations_are_read(text: str, expected: float) -> None:
    """A number and a unit are read, in decimal and without rounding."""
    assert parse_duration(text).seconds == expected


def test_a_shift_is_as_long_as_it_is_said_to_be() -> None:
    """The length of a shift decides what shifts mean."""
    assert parse_duration("2 shifts", shift_s=27_000).seconds == 54_000


@pytest.mark.parametrize(
    "text",
    [
        "",
        "61",
        "s",
        "61 sec",
        "sixty s",
        "1,5 s",
        "1e3 s",
        "nan s",
        "inf s",
        "61 s s",
        "6 1 s",
        "1 m",
        "٣ s",
        "9" * 200 + " s",
    ],
)
def test_what_is_no_duration(text: str) -> None:
    """Anything else is refused with an example of what is right."""
    with pytest.raises(ValueError, match="is no time; write a number and a unit"):
        parse_duration(text)


def test_negative_and_endless_durations() -> None:
    """A negative time and one beyond all use are refused."""
    with pytest.raises(ValueError, match="is negative"):
        parse_duration("-5 s")
    with pytest.raises(ValueError, match="is longer than"):
        parse_duration(f"{LONGEST_S * 2:.0f} s")
    with pytest.raises(ValueError, match="from 0 to"):
        of_seconds(-1)
    with pytest.raises(ValueError, match="from 0 to"):
        of_seconds(float("nan"))


@given(amount=st.floats(0, 1e5), unit=st.sampled_from(["s", "min", "h", "shift"]))
def test_durations_come_back_from_their_text(amount: float, unit: str) -> None:
    """The text of a duration is read back as the same duration, and so is its repr."""
    read = parse_duration(f"{amount:.9f} {unit}")
    assert parse_duration(str(read)) == read
    assert eval(repr(read), {"Duration": Duration}) == read
    assert read.ticks == ticks(read.seconds)
