"""`linesim mix`."""

import json
from pathlib import Path

import pytest

from tests.commands.calls import call

FEW = ("--replications", "4", "--workers", "1", "--quiet")


def test_a_range_tells_output_driver_and_plan(line: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Output against the take rate, the option that drives the overload, a rule, and the plan."""
    words = ("--vary", "option.rack.take = [0.1, 0.9]", "--target", "58.4")
    said = call(capsys, "mix", line, *words, *FEW)
    text = " ".join(said.out.split())
    assert said.status == 0
    assert "The plan of 58.4 a shift" in text or "makes the plan of 58.4" in text
    assert "rack drives the overload" in text
    assert "Output, stops and overload against the mix" in text
    assert "option.rack.take: 0.5 → 0.9" in text
    assert max(map(len, said.out.splitlines())) <= 80


def test_orders_come_from_a_table(line: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A table of orders beside the scenario becomes the new mix; what is built is that of the table."""
    table = line.with_name("may.csv")
    table.write_text("model,options\nplain,rack\nrich,\nplain,rack\nplain,\n", encoding="utf-8")
    said = call(capsys, "mix", line, "--orders", table, "--rule", "rack 1 in 2", *FEW, "--json")
    found = json.loads(said.out)
    assert (said.status, said.err) == (0, "")
    built = {(row["case"], row["name"]): row["share"] for row in found["tables"]["built"]}
    assert (built["new mix", "rack"], built["new mix", "rich"]) == (0.5, 0.25)
    assert {row["rule"] for row in found["tables"]["spacing"]} == {"rack at most 1 in 2"}


def test_sets_make_the_new_mix_and_parts_can_be_left_out(
    line: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """All lines of a --try are one new mix; --no-options needs no further cases."""
    sets = ("--try", "model.rich.share = 3.0; option.rack.take = 90%")
    said = call(capsys, "mix", line, *sets, "--no-options", "--out", tmp_path / "out", *FEW, "--json")
    found = json.loads(said.out)
    assert [case["case"] for case in found["cases"]] == ["as it is", "new mix"]
    assert found["tables"]["drivers"] == []
    assert (tmp_path / "out" / "mixes.csv").is_file()


def test_both_mixes_are_looked_at_for_the_same_time(line: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """--set shortens the line as it is and the new mix alike; --try, which makes the mix, may not."""
    mixed, shorter = ("--try", "option.rack.take = 0.9"), "run.length = '2 h'"
    refused = call(capsys, "mix", line, "--try", f"{mixed[1]}; {shorter}", "--no-options", *FEW)
    assert (refused.status, refused.out) == (2, "")
    assert "run.length of the new mix would differ" in refused.err and "--set" in refused.err
    said = call(capsys, "mix", line, *mixed, "--no-options", "--set", shorter, *FEW, "--json")
    assert said.status == 0
    found = json.loads(said.out)
    assert [row["input"] for row in found["tables"]["changes"]] == ["option.rack.take"]
    assert "What is built changes" in found["cautions"][0]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--option", "roof"), "no option of this line"),
        (("--rule", "rack often"), "no rule of the sequence"),
        (("--rule", "roof 1 in 3"), "no option or model"),
        (("--orders", "../may.csv"), "may.csv"),
        (("--option", "rack", "--no-options"), "leave one out"),
        (("--try", "takt = '50 s'", "--try", "takt = '40 s'"), "may stand once"),
        (("--vary", "option.rack.take = [0.1, 1.2]"), "option.rack.take"),
        (("--target", "none"), "a number such as 120"),
    ],
)
def test_wrong_questions_are_status_2(
    line: Path, words: tuple[str, ...], told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Unknown options and rules, orders from elsewhere and impossible rates are told on stderr."""
    words = tuple(str(line.parent / word) if word.startswith("..") else word for word in words)
    said = call(capsys, "mix", line, *words, *FEW)
    assert (said.status, said.out) == (2, "")
    assert told in said.err
