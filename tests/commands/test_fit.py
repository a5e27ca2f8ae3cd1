"""`linesim fit`."""

import io
import json
from pathlib import Path
from xml.etree import ElementTree

import pytest

from linesim.scenario import read
from tests.commands.calls import LINE, call

FEW = ("--samples", "39", "--quiet")

STUDY = """\
Time study of May;;;
Stn;Element;Cycle;Time
A;Fit;1;0:50
;;2;51,5
;;3;49
B;Bolt;1;44
;;2;45,5
;;3;47
C;Look;1;3
"""


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


def test_folder_page_and_drawings(times: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """--out writes tables and the JSON object; report makes a page of them, and the drawing as a file."""
    out = tmp_path / "out"
    said = call(capsys, "fit", times, "--shape", "gamma", "--shape", "normal", "--json", "--out", out, *FEW)
    found = json.loads(said.out)
    row = next(row for row in found["tables"]["tasks"] if row["outliers"] == "with")
    assert row["shape"] == "empirical" and row["line"].startswith("time = ")
    assert found["asked"] == {"samples": 39, "shapes": ["gamma", "normal"]}
    names = {"tasks.csv", "shapes.csv", "quantiles.csv", "times.csv", "fit.json"}
    assert {path.name for path in out.iterdir()} == names
    assert call(capsys, "fit", times, "--out", out, *FEW).status == 2  # never over another answer by accident
    page, pictures = tmp_path / "page.html", tmp_path / "pictures"
    assert call(capsys, "report", out, "-o", page, "--pictures", pictures, "--quiet").status == 0
    assert "Which shape do measured times have?" in page.read_text(encoding="utf-8")
    root = ElementTree.parse(pictures / "fit.svg").getroot()
    words = " ".join(root.itertext())
    assert "40 measured times" in words and "gamma" in words
    book = tmp_path / "book.xlsx"
    assert call(capsys, "fit", times, "--shape", "gamma", "--out", book, *FEW).status == 0
    assert book.read_bytes().startswith(b"PK")


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


def test_several_tasks_have_a_drawing_each(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Two tasks give two files, named after the one that was asked for."""
    path = tmp_path / "times.csv"
    rows = "\n".join(f"{50 + k % 7}.5,{30 + k % 5}.25" for k in range(20))
    path.write_text(f"seat_s,door_s\n{rows}\n", encoding="utf-8")
    said = call(capsys, "fit", path, "--shape", "normal", "--drawing", tmp_path / "two.svg", *FEW)
    assert said.status == 0
    assert {one.name for one in tmp_path.glob("*.svg")} == {"two-fit-1.svg", "two-fit-2.svg"}


def test_few_times_have_no_drawing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Three times tell no shape, so there is nothing to draw; what is no picture is refused at once."""
    path = tmp_path / "few.csv"
    path.write_text("seat_s\n50\n52\n55\n", encoding="utf-8")
    said = call(capsys, "fit", path, "--drawing", tmp_path / "few.png", *FEW)
    assert said.status == 2 and "nothing to draw" in said.err
    assert not (tmp_path / "few.png").exists()
    said = call(capsys, "fit", path, "--drawing", "fit.pdf", *FEW)
    assert said.status == 2 and "name a file that ends in .svg or .png" in said.err


def test_a_whole_study_goes_into_the_task_table(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """--into writes the times of the tasks that the table has, keeps all else, and the line still runs."""
    study, tasks, line = (tmp_path / name for name in ("study.csv", "tasks.csv", "line.toml"))
    study.write_text(STUDY, encoding="utf-8")
    tasks.write_text(
        "station,task,title,low_s,mode_s,high_s,shape,people\n"
        "A,fit,Fit cab,40,50,70,triangular,\nB,10,Bolt,1,2,3,pert,2\n",
        encoding="utf-8",
    )
    line.write_text('tasks = "tasks.csv"\n' + LINE.split("[station.A.task.fit]")[0], encoding="utf-8")
    said = call(capsys, "fit", study, "--into", tasks, *FEW)
    assert said.status == 0, said.err
    assert "tasks.csv has measured times of 2 tasks now. It has no C.Look." in " ".join(said.out.split())
    assert tasks.read_text(encoding="utf-8") == (
        "station,task,title,low_s,mode_s,high_s,shape,people,mean_s,cv,source,confidence\n"
        'A,fit,Fit cab,,,,,,50.17,0.02508,"study.csv, 3 times",estimated\n'
        'B,10,Bolt,,,,,2,45.5,0.03297,"study.csv, 3 times",estimated\n'
    )
    time = read(line).scenario.station["B"].task["10"].time
    assert (time.kind, time.mean_s) == ("lognormal", 45.5)


def test_times_of_one_model_are_left_as_they_are(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A study names no models: times that the table has for one model stay, and that is said."""
    study, tasks = tmp_path / "study.csv", tmp_path / "tasks.csv"
    study.write_text(STUDY, encoding="utf-8")
    tasks.write_text("station,task,mean_s,mean_s_for_Yard\nA,fit,40,45\nB,10,2,\n", encoding="utf-8")
    said = " ".join(call(capsys, "fit", study, "--into", tasks, *FEW).out.split())
    assert "Times that it has for one model or option alone are left as they are: A.Fit." in said
    assert "A,fit,50.17,45," in tasks.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("table", "told"),
    [
        ("station,task,mean_s\nA,other,1\n", "none of the tasks stands in it"),
        ("where,what\nA,fit\n", "has the columns station and task"),
        ("", "the table is empty"),
    ],
)
def test_a_table_that_cannot_take_them_stays(
    tmp_path: Path, table: str, told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """A table without the tasks, without their columns or without anything is told, and not touched."""
    study, tasks = tmp_path / "study.csv", tmp_path / "tasks.csv"
    study.write_text(STUDY, encoding="utf-8")
    tasks.write_text(table, encoding="utf-8")
    said = call(capsys, "fit", study, "--into", tasks, *FEW)
    assert said.status == 2 and told in said.err
    assert tasks.read_text(encoding="utf-8") == table
    assert call(capsys, "fit", study, "--into", tmp_path / "gone.csv", *FEW).status == 2


def test_standard_input_needs_no_heading(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Figures that come in are read with decimal commas and as minutes where that is said."""
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(b"0,75\n1:15\n0,80\n")))
    said = call(capsys, "fit", "-", "--unit", "min", *FEW)
    assert said.status == 0 and said.out.startswith("standard input\n\n  3 times: ")
    assert 'mean = "56 s"' in said.out and "1:15 is read as 1 min 15 s" in said.out


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--column", "seat_s"), "no column 'seat_s' of times"),
        (("--by", "operator"), "no column 'operator' to keep times apart by"),
        (("--only", "seat"), "no times of 'seat'; there are fit-door"),
        (("--unit", "weeks"), "'weeks' is no unit of time"),
        (("--shape", "beta"), "'beta'"),
        (("--samples", "3"), "from 19 to 9999"),
    ],
)
def test_wrong_questions_are_status_2(
    times: Path, words: tuple[str, ...], told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """A column, task, unit or shape that is not there and too few samples are told on stderr."""
    said = call(capsys, "fit", times, *words, "--quiet")
    assert (said.status, said.out) == (2, "")
    assert told in said.err
