"""A damaged file is told and never trusted; a full disk costs nothing that was kept."""

import random
import shutil
import sqlite3
from pathlib import Path

import pytest

from linesim.runs.store import Store
from linesim.runs.store_file import (
    NAME,
    StudyDamagedError,
    StudyError,
    StudyFullError,
    StudyRefusedError,
)
from tests.unit.runs.store.conftest import Tight
from tests.unit.runs.store.kept import LABELS, PRINT, opened, replication

HELD = range(1, 121)  #: The replications in the study of these tests.


@pytest.fixture
def study(tmp_path: Path) -> Path:
    """Return a study that was closed in good order."""
    with opened(tmp_path / "study") as store:
        store.keep(PRINT, 1, LABELS, [replication(number) for number in HELD], 0.25)
    return tmp_path / "study"


def change(study: Path, statement: str) -> None:
    """Change the file behind the store's back, in a way that leaves a sound database."""
    with sqlite3.connect(study / NAME) as connection:
        assert connection.execute(statement).rowcount == 1, "the damage hit nothing"
    connection.close()


def outcome(study: Path) -> str:
    """Return ``right`` if what the store gives is right, ``told`` if it refuses; fail if it is wrong."""
    try:
        with opened(study) as store:
            found = store.get(PRINT, 1, HELD)
    except StudyDamagedError:
        return "told"
    assert all(one == replication(number) for number, one in found.replications.items())
    return "right" if len(found.replications) == len(HELD) else "fewer"


def test_no_flipped_bit_gives_a_wrong_figure(study: Path, tmp_path: Path) -> None:
    """Of 400 files with one flipped bit none gives a wrong or missing figure, and many are told."""
    whole = (study / NAME).read_bytes()
    luck = random.Random(4)
    seen = {"right": 0, "told": 0, "fewer": 0}
    copy = tmp_path / "copy"
    for _ in range(400):
        copy.mkdir()
        bits = bytearray(whole)
        bits[luck.randrange(len(bits))] ^= 1 << luck.randrange(8)
        (copy / NAME).write_bytes(bits)
        seen[outcome(copy)] += 1
        shutil.rmtree(copy)
    assert seen["fewer"] == 0
    assert seen["told"] > 40 and seen["right"] > 40, seen


@pytest.mark.parametrize("part", [0.001, 0.1, 0.5, 0.9])
def test_a_file_cut_short_is_told(study: Path, part: float) -> None:
    """Of a file that lost its end nothing is used."""
    whole = (study / NAME).read_bytes()
    (study / NAME).write_bytes(whole[: int(len(whole) * part)])
    with pytest.raises(StudyDamagedError):
        opened(study)


def test_a_file_of_something_else_is_told(study: Path) -> None:
    """Text under the name of the file is no study."""
    (study / NAME).write_text("title = 'a line'\n" * 100, encoding="utf-8")
    with pytest.raises(StudyDamagedError, match="not a database"):
        opened(study)


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE replication SET number = 99 WHERE number = 3",
        "UPDATE replication SET seed = '2' WHERE number = 3",
        "UPDATE replication SET data = (SELECT data FROM replication WHERE number = 4) WHERE number = 3",
        "UPDATE replication SET data = x'00' WHERE number = 3",
        "UPDATE replication SET data = 5 WHERE number = 3",
        "UPDATE replication SET seal = 'ab' WHERE number = 3",
        "UPDATE replication SET figures = 'ab' WHERE number = 3",
        "UPDATE figures SET labels = replace(labels, 'calls', 'stops')",
        "DELETE FROM figures",
    ],
)
def test_a_changed_row_is_told(study: Path, statement: str) -> None:
    """A row that somebody edited is trusted by nobody: not read, not merged, not taken for the same again."""
    change(study, statement)
    with opened(study) as store:
        with pytest.raises(StudyDamagedError, match="move it away, or put a copy back"):
            read_and_keep_again(store)
        with opened(study.parent / "other") as other:
            with pytest.raises(StudyDamagedError):
                other.merge(store)
            assert other.count() == 0


def read_and_keep_again(store: Store) -> None:
    """Do with a store what a study does that is given again."""
    store.get(PRINT, 1, [*HELD, 99])
    store.keep(PRINT, 1, LABELS, [replication(number) for number in HELD], 0.25)


def fill(store: Store) -> None:
    """Keep further replications until the store refuses."""
    for number in range(store.count() + 1, 5000):
        store.keep(PRINT, 1, LABELS, [replication(number)], 0.25)


def test_a_full_file_is_told_and_opens_again(study: Path) -> None:
    """When there is no room the error says so, and everything kept before is there and right."""
    with opened(study) as store:
        pages = store._connection.execute("PRAGMA page_count").fetchone()[0]
        store._connection.execute(f"PRAGMA max_page_count = {pages + 4}")
        with pytest.raises(StudyFullError, match=r"no room left for .* make room and give the same command"):
            fill(store)
        kept = store.count()
        assert kept > len(HELD)
    with opened(study) as store:
        assert dict(store.get(PRINT, 1, range(1, 5000)).replications) == {
            number: replication(number) for number in range(1, kept + 1)
        }
        store.keep(PRINT, 1, LABELS, [replication(kept + 1)], 0.25)


@pytest.mark.parametrize("has_shut", [True, False], ids=["closed", "killed"])
def test_without_room_a_study_tells_so_and_still_opens(tight: tuple[Tight, ...], has_shut: bool) -> None:
    """Where room runs out a study tells so; without any it still opens, and gives all that it kept."""
    for place in reversed(tight):  # the limit holds for every file, so it comes last
        study = place.folder / "study"
        store = opened(study)
        store.keep(PRINT, 1, LABELS, [replication(number) for number in HELD], 0.25)
        place.leave(48 * 1024)
        with pytest.raises(StudyFullError, match="no room left"):
            fill(store)
        kept = store.count()
        assert kept >= len(HELD)
        if has_shut:
            store.close()
        place.leave(0)
        with opened(study) as again:
            found = again.get(PRINT, 1, range(1, 5000)).replications
            assert all(one == replication(number) for number, one in found.items())
            assert len(found) == kept
            with pytest.raises(StudyFullError):
                again.keep(PRINT, 2, LABELS, [replication(n) for n in range(1, 2000)], 0.25)
        store.close()


def test_a_new_study_without_room_is_told(tight: tuple[Tight, ...]) -> None:
    """Where there is no room for an empty study either, that is said."""
    for place in reversed(tight):
        place.leave(0)
        with pytest.raises(StudyError, match="no room left"):
            opened(place.folder / "study")


def test_a_file_that_cannot_be_read_is_not_called_full(study: Path) -> None:
    """Where there is room the reason stays what it is."""
    (study / NAME).unlink()
    (study / NAME).mkdir()
    with pytest.raises(StudyRefusedError, match="cannot be used"):
        opened(study)
