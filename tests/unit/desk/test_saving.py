"""Changes put down for good: what is written says exactly what the desk shows, and comments stay."""

from pathlib import Path

import pytest

from linesim.desk.saving import save_beside, save_into, with_changes
from linesim.desk.session import DeskError, Edit, Session, edits_of
from linesim.scenario import load, read_text
from tests.commands.calls import LINE

CHANGES = (
    Edit(("crew", "two", "people"), 3), Edit(("takt",), "58 s"), Edit(("station", "B", "late"), "30%"),
    Edit(("station", "C", "title"), "last"), Edit(("option", "rack", "take"), {"plain": 0.4, "rich": 0.6}),
    Edit(("station", "A", "task", "fit", "title"), "fit it"), Edit(("run", "length"), "4 h"),
    Edit(("crew", "one", "walk"), "2 s"), Edit(("tool", "gun", "count"), 2, is_new=True),
)  # fmt: skip


@pytest.fixture
def session(tmp_path: Path) -> Session:
    """Return a session with changes of every kind."""
    path = tmp_path / "line.toml"
    path.write_text(LINE.replace("people = 2", "people = 2   # both"), encoding="utf-8")
    found = Session(path)
    found.change(CHANGES)
    return found


def test_saved_beside_it_extends(session: Session) -> None:
    """The scenario beside the file extends it and is the line of the desk; the file stays as it was."""
    before = session.path.read_bytes()
    path = save_beside(session, "more.toml")
    assert path.read_text(encoding="utf-8").splitlines()[1] == 'extends = "line.toml"'
    assert load(path).fingerprint() == session.scenario.fingerprint()
    assert session.path.read_bytes() == before
    with pytest.raises(DeskError, match="already there"):
        save_beside(session, "more.toml")


def test_saved_into_the_file_comments_stay(session: Session) -> None:
    """The file says what the desk showed, every line that was not changed stands as it stood, remarks too."""
    wanted, before = session.scenario, session.path.read_text(encoding="utf-8").splitlines()
    save_into(session)
    after = session.path.read_text(encoding="utf-8").splitlines()
    assert load(session.path) == wanted
    assert session.edits == () and session.scenario == wanted
    assert "people = 3   # both" in after
    changed = [line for line in before if line not in after]
    assert len(changed) == 5  # people, takt, late, take rate, length: what the file had; the rest is new


def test_saved_into_the_tractor_line(scenarios: Path) -> None:
    """Changes of a task of a table, an inline table and a list are written into the large file as well."""
    session = Session(scenarios / "tractor" / "line.toml")
    session.change([Edit(("station", "F1", "task", "bush-left", "at"), "F2"),
                    Edit(("option", "cab", "take", "field"), 0.8),
                    Edit(("crew", "final", "absence"), "5%")])  # fmt: skip
    data = session.path.read_bytes()
    text = with_changes(data, session.edits)
    found = read_text(text, session.path.parent, name="line.toml").scenario
    assert found == session.scenario
    old, new = data.decode().splitlines(), text.decode().splitlines()
    assert len([line for line in old if line not in new]) == 1


@pytest.mark.parametrize("end", ["\r\n", "\n"])
def test_ends_of_lines_and_marks_stay(tmp_path: Path, end: str) -> None:
    """A file with a byte-order mark and the line ends of another system keeps both."""
    path = tmp_path / "line.toml"
    path.write_bytes(b"\xef\xbb\xbf" + LINE.replace("\n", end).encode())
    session = Session(path)
    session.change([Edit(("crew", "two", "people"), 3), Edit(("station", "A", "title"), "first")])
    save_into(session)
    data = path.read_bytes()
    assert data.startswith(b"\xef\xbb\xbf")
    assert data.count(b"\n") == data.count(end.encode())
    assert session.scenario.station["A"].title == "first"


def test_a_file_that_changed_is_not_written_over(session: Session) -> None:
    """A file that somebody else changed meanwhile is left alone, and the changes stay on the desk."""
    other = LINE.replace("seed         = 5", "seed         = 6")
    session.path.write_text(other, encoding="utf-8")
    with pytest.raises(DeskError, match="changed on disk"):
        save_into(session)
    assert session.path.read_text(encoding="utf-8") == other
    assert len(session.edits) == len(CHANGES)


def test_nothing_changed_is_nothing_to_save(session: Session) -> None:
    """Without a change there is nothing to save, and that is told."""
    session.lay(())
    for save in (save_into, lambda one: save_beside(one, "more.toml")):
        with pytest.raises(DeskError, match="nothing"):
            save(session)


def test_what_a_table_says_is_laid_over_it(tmp_path: Path) -> None:
    """A change of a task that stands in a table is written into the scenario, over the table."""
    (tmp_path / "tasks.csv").write_text("station,task,mean_s\nA,fit,50\nB,bolt,45\n", encoding="utf-8")
    text = LINE[: LINE.index("[station.A.task.fit]")]
    path = tmp_path / "line.toml"
    path.write_text('tasks = "tasks.csv"\n' + text, encoding="utf-8")
    session = Session(path)
    session.change(edits_of({"station": {"A": {"task": {"fit": {"time": "40 s"}}}}}))
    save_into(session)
    assert '[station.A.task.fit]\ntime = "40 s"\n' in path.read_text(encoding="utf-8")
    assert (tmp_path / "tasks.csv").read_text(encoding="utf-8").count("50") == 1
