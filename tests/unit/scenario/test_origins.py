"""Laying one scenario over another, and knowing where each part was written."""

from linesim.scenario.origins import Origin, Origins, dotted, merged, value_at
from linesim.scenario.problems import has, nearest, shown


def test_tables_merge_and_lists_are_replaced() -> None:
    """Inner tables are laid over each other; lists and single values are replaced."""
    low = {"a": {"x": 1, "y": [1, 2]}, "b": 1}
    high = {"a": {"y": [3]}, "c": 2}
    raw, replaced = merged(low, high)
    assert raw == {"a": {"x": 1, "y": [3]}, "b": 1, "c": 2}
    assert replaced == [("a", "y")]
    assert low == {"a": {"x": 1, "y": [1, 2]}, "b": 1}


def test_a_time_of_another_shape_replaces() -> None:
    """A time of another shape replaces the one below; one of the same shape, or a shape alone, merges."""
    low = {"time": {"mean": "5 s", "cv": 0.1}}
    pert = {"shape": "pert", "low": "1 s", "mode": "2 s", "high": "3 s"}
    assert merged(low, {"time": pert})[0] == {"time": pert}
    assert merged(low, {"time": {"shape": "lognormal", "mean": "6 s"}})[0]["time"] == {
        "shape": "lognormal", "mean": "6 s", "cv": 0.1,
    }  # fmt: skip
    assert merged(low, {"time": {"shape": "gamma"}})[0]["time"]["cv"] == 0.1
    assert merged(low, {"time": "7 s"})[0] == {"time": "7 s"}


def test_origins_fall_back_to_the_table_around() -> None:
    """What has no place of its own has that of the nearest table around it, or of the file."""
    origins = Origins("a.toml", {("crew", "cab"): Origin("a.toml", 7)})
    assert origins.find(("crew", "cab", "people")) == Origin("a.toml", 7)
    assert origins.find(("tool",)) == Origin("a.toml")


def test_origins_of_replaced_values_are_forgotten() -> None:
    """Where a list was replaced, the old lines of its items are gone."""
    low = Origins("a.toml", {("flow",): Origin("a.toml", 1), ("flow", 1): Origin("a.toml", 2)})
    high = Origins("b.toml", {("flow",): Origin("b.toml", 5)})
    both = low.under(high, [("flow",)])
    assert both.find(("flow", 1)) == Origin("b.toml", 5)


def test_paths_read_like_toml() -> None:
    """Paths are joined by dots and items are counted from 1."""
    assert dotted(("station", "K1", "stations", 2)) == "station.K1.stations[3]"
    assert value_at({"a": [{"b": 5}]}, ("a", 0, "b")) == 5
    assert value_at({"a": [1]}, ("a", 3)) is None


def test_nearest_names() -> None:
    """The nearest names come first, whatever their case; far ones do not come at all."""
    assert nearest("Torque-Gun", ["torque-gun", "hoist"]) == ("torque-gun",)
    assert nearest("zzz", ["torque-gun"]) == ()
    assert has([f"t{n}" for n in range(20)], "zzzz").endswith("and 12 more")


def test_values_are_shown_on_one_short_line() -> None:
    """Control signs, long texts and huge numbers do not reach the terminal."""
    assert shown("a\x1b[31m\nb") == '"a\N{REPLACEMENT CHARACTER}[31m\N{REPLACEMENT CHARACTER}b"'
    assert len(shown("x" * 1000)) < 70
    assert shown(10**5000) == "a whole number of more than 60 digits"
    assert (shown(True), shown([1]), shown({}), shown(1.5)) == ("true", "a list", "a table", "1.5")
