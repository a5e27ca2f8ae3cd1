"""What is kept comes back to the last digit, under its own key, and two stores become one."""

import sqlite3
from pathlib import Path

import pytest

from linesim.runs.store import Merged, Store, StudyDiffersError
from linesim.runs.store_file import NAME, StudyDamagedError, StudyError, StudyRefusedError
from tests.unit.runs.store.kept import LABELS, LARGEST_SEED, PRINT, opened, replication


def fill(store: Store, numbers: range, *, seed: int = 1, fingerprint: str = PRINT) -> None:
    """Keep made-up replications."""
    store.keep(fingerprint, seed, LABELS, [replication(number) for number in numbers], 0.25)


@pytest.mark.parametrize("seed", [0, 1, LARGEST_SEED])
def test_what_is_kept_comes_back(tmp_path: Path, seed: int) -> None:
    """Figures, missing ones, tiny ones and shifts are equal after the file was closed and opened again."""
    with opened(tmp_path / "study") as store:
        fill(store, range(1, 6), seed=seed)
    with opened(tmp_path / "study") as store:
        found = store.get(PRINT, seed, [2, 5, 9])
    assert found.labels == LABELS
    assert found.replications == {2: replication(2), 5: replication(5)}
    assert repr(found.replications[5]) == repr(replication(5))


def test_everything_that_determines_a_replication_is_in_its_key(tmp_path: Path) -> None:
    """Another scenario, seed, number or program finds nothing."""
    with Store(tmp_path, program="p1") as store:
        fill(store, range(1, 3))
        assert set(store.get(PRINT, 1, range(1, 9)).replications) == {1, 2}
        assert not store.get("cd" * 32, 1, [1]).replications
        assert not store.get(PRINT, 2, [1]).replications
        assert not store.get(PRINT, 1, [3]).replications
    with Store(tmp_path, program="p2") as store:
        assert not store.get(PRINT, 1, [1]).replications
        assert store.count() == 2


def test_keeping_twice_changes_nothing(tmp_path: Path) -> None:
    """The same replication kept again is there once."""
    with opened(tmp_path) as store:
        fill(store, range(1, 4))
        fill(store, range(2, 6))
        assert store.count() == 5


def test_another_outcome_is_refused(tmp_path: Path) -> None:
    """A replication that comes out differently is told, none of its block is kept, the old one stays."""
    with opened(tmp_path) as store:
        fill(store, range(1, 2))
        with pytest.raises(StudyDiffersError, match="replication 1 of abababababab, seed 1, comes out diff"):
            store.keep(PRINT, 1, LABELS, [replication(2), replication(1, shift=1e-15)], 0.25)
        assert dict(store.get(PRINT, 1, range(1, 9)).replications) == {1: replication(1)}


def test_two_studies_merge(tmp_path: Path) -> None:
    """Shared replications count once, new ones are taken over, and merging again brings nothing."""
    with opened(tmp_path / "a") as a, opened(tmp_path / "b") as b:
        fill(a, range(1, 6))
        fill(b, range(4, 9))
        fill(b, range(1, 3), fingerprint="cd" * 32)
        assert a.merge(b) == Merged(new=5, shared=2)
        assert a.merge(b) == Merged(new=0, shared=7)
        assert dict(a.get(PRINT, 1, range(1, 99)).replications) == {n: replication(n) for n in range(1, 9)}
        assert set(a.get("cd" * 32, 1, range(1, 99)).replications) == {1, 2}
        assert b.count() == 7


def test_alternatives_are_kept_by_name(tmp_path: Path) -> None:
    """An alternative is kept, replaced, dropped and merged by its name; a study without any has none."""
    with opened(tmp_path / "a") as a, opened(tmp_path / "b") as b:
        assert a.alternatives() == {}
        for name, content in (("one more", "[1]"), ("two more", "[2]"), ("one more", "[3]")):
            a.keep_alternative(name, content)
        a.drop_alternative("never kept")
        assert a.alternatives() == {"two more": "[2]", "one more": "[3]"}
        b.keep_alternative("one more", "[4]")
        b.merge(a)
        assert b.alternatives() == {"one more": "[4]", "two more": "[2]"}
        a.drop_alternative("two more")
    with opened(tmp_path / "a") as a:
        assert a.alternatives() == {"one more": "[3]"}


def test_a_merge_is_all_or_nothing(tmp_path: Path) -> None:
    """Where one replication of the other study differs, nothing of it is taken over."""
    with opened(tmp_path / "a") as a, opened(tmp_path / "b") as b:
        fill(a, range(5, 6))
        b.keep(PRINT, 1, LABELS, [replication(4), replication(5, shift=1.0)], 0.25)
        with pytest.raises(StudyDiffersError):
            a.merge(b)
        assert set(a.get(PRINT, 1, range(1, 99)).replications) == {5}


def test_what_was_given_up_is_recorded_until_it_is_there(tmp_path: Path) -> None:
    """A lost replication is remembered, merged, and forgotten as soon as it has been finished."""
    with opened(tmp_path / "a") as a, opened(tmp_path / "b") as b:
        a.keep_lost(PRINT, 1, 3, 3)
        a.keep_lost(PRINT, 1, 7, 3)
        fill(b, range(7, 8))
        b.merge(a)
        assert b.lost(PRINT, 1) == (3,)
        assert a.lost(PRINT, 1) == (3, 7)
        fill(a, range(1, 4))
        assert a.lost(PRINT, 1) == (7,)
        assert a.lost(PRINT, 2) == ()


def test_the_time_of_a_replication_is_known(tmp_path: Path) -> None:
    """The mean of the stored times, and None where nothing is stored."""
    with opened(tmp_path) as store:
        assert store.seconds_each(PRINT) is None
        store.keep(PRINT, 1, LABELS, [replication(1)], 1.0)
        store.keep(PRINT, 1, LABELS, [replication(2)], 2.0)
        assert store.seconds_each(PRINT) == 1.5


def test_two_programs_may_have_a_study_open(tmp_path: Path) -> None:
    """What one keeps the other finds at once."""
    with opened(tmp_path) as one, opened(tmp_path) as two:
        fill(one, range(1, 3))
        fill(two, range(3, 5))
        assert len(one.get(PRINT, 1, range(1, 9)).replications) == 4


def test_a_folder_without_a_study_is_told(tmp_path: Path) -> None:
    """Where a study has to be there and is not, nothing is made."""
    with pytest.raises(StudyRefusedError, match=r"no study: it holds no study\.sqlite"):
        Store(tmp_path, must_exist=True)
    assert list(tmp_path.iterdir()) == []


def test_another_layout_is_refused(tmp_path: Path) -> None:
    """A study of a later version of the tables is not touched."""
    opened(tmp_path).close()
    with sqlite3.connect(tmp_path / NAME) as later:
        later.execute("PRAGMA user_version = 99")
    later.close()
    with pytest.raises(StudyRefusedError, match="has layout 99, this version of linesim reads layout 1"):
        opened(tmp_path)


def test_somebody_elses_database_is_not_written_into(tmp_path: Path) -> None:
    """A database of another program under our name is refused and stays as it was."""
    with sqlite3.connect(tmp_path / NAME) as theirs:
        theirs.execute("CREATE TABLE mine (a)")
    theirs.close()
    before = (tmp_path / NAME).read_bytes()
    with pytest.raises(StudyDamagedError, match="no study of linesim"):
        opened(tmp_path)
    assert (tmp_path / NAME).read_bytes() == before


def test_a_folder_that_cannot_be_made_is_told(tmp_path: Path) -> None:
    """A study below a file is refused in words."""
    (tmp_path / "file").write_text("mine", encoding="utf-8")
    with pytest.raises(StudyError, match="cannot be used"):
        opened(tmp_path / "file" / "study")
