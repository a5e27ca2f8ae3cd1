"""`linesim fit`."""

import json
from pathlib import Path
from xml.etree import ElementTree

import pytest

from tests.commands.calls import call

FEW = ("--samples", "39", "--quiet")


@pytest.fixture
def times(scenarios: Path) -> Path:
    """Return the shipped column of measured times."""
    return scenarios / "features" / "times.csv"


def test_page_has_the_line_and_every_shape(times: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The line stands alone to be copied, every shape has a row, all but the line fits 80 columns."""
    said = call(capsys, "fit", times, *FEW)
    assert (said.status, said.err) == (0, "")
    rows = said.out.splitlines()
    line = next(row for row in rows if row.startswith("  time = "))
    assert 'shape = "empirical", file = "times.csv", column = "fit_door_s"' in line
    assert {"lognormal", "gamma", "weibull", "normal"} <= {row.split()[0] for row in rows if row.split()}
    assert max(len(row) for row in rows if row != line) <= 80


def test_folder_holds_tables_and_a_drawing(
    times: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """--out writes the tables, the JSON object and a drawing that is well-formed SVG of its own."""
    out = tmp_path / "out"
    said = call(capsys, "fit", times, "--shape", "gamma", "--shape", "normal", "--json", "--out", out, *FEW)
    found = json.loads(said.out)
    assert found["proposal"] == "empirical" and found["line"].startswith("time = ")
    assert {path.name for path in out.iterdir()} == {
        "data.csv", "shapes.csv", "quantiles.csv", "fit.json", "fit.svg",
    }  # fmt: skip
    root = ElementTree.parse(out / "fit.svg").getroot()
    assert root.tag == "{http://www.w3.org/2000/svg}svg"
    words = " ".join(root.itertext())
    assert "40 measured times" in words and "gamma" in words
    assert call(capsys, "fit", times, "--out", out, *FEW).status == 2  # never over another answer by accident


@pytest.mark.parametrize("ending", ["svg", "png"])
def test_a_drawing_alone(
    times: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], ending: str
) -> None:
    """--drawing writes what its name ends in, the same bytes each time, never over another by accident."""
    files = [tmp_path / f"{name}.{ending}" for name in ("one", "two")]
    words = ("fit", times, "--shape", "gamma", *FEW)
    for path in files:
        assert call(capsys, *words, "--drawing", path).status == 0
    one, two = (path.read_bytes() for path in files)
    assert one == two
    assert one.startswith({"svg": b"<svg ", "png": b"\x89PNG\r\n"}[ending])
    assert b"40 measured times and a shape: gamma" in one
    again = call(capsys, *words, "--drawing", files[0])
    assert again.status == 2 and "already there" in again.err
    assert call(capsys, *words, "--drawing", files[0], "--force").status == 0


def test_a_drawing_of_another_kind_is_refused(times: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A name that ends in neither .svg nor .png is refused before anything is fitted."""
    said = call(capsys, "fit", times, "--drawing", "fit.pdf", *FEW)
    assert said.status == 2
    assert "name a file that ends in .svg or .png" in said.err


def test_few_times_have_no_drawing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Three times tell no shape: the folder holds tables alone."""
    path = tmp_path / "few.csv"
    path.write_text("seat_s\n50\n52\n55\n", encoding="utf-8")
    assert call(capsys, "fit", path, "--out", tmp_path / "out", *FEW).status == 0
    assert "fit.svg" not in {item.name for item in (tmp_path / "out").iterdir()}
    said = call(capsys, "fit", path, "--drawing", tmp_path / "few.png", *FEW)
    assert said.status == 2 and "nothing to draw" in said.err
    assert not (tmp_path / "few.png").exists()


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--column", "seat_s"), 'no column "seat_s"'),
        (("--shape", "beta"), "no shape that can be fitted"),
        (("--samples", "3"), "from 19 to 9999"),
    ],
)
def test_wrong_questions_are_status_2(
    times: Path, words: tuple[str, ...], told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """A column or shape that is not there and too few samples are told on stderr."""
    said = call(capsys, "fit", times, *words, "--quiet")
    assert (said.status, said.out) == (2, "")
    assert told in said.err
