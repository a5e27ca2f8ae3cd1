"""An open desk: the session, whoever answers, and the board that every page shows."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from linesim.answers.wording import listed
from linesim.commands.files import require_free, write_file
from linesim.desk import view
from linesim.desk.asking import Asker, Asking, Looked, Seen
from linesim.desk.board import Board
from linesim.desk.forms import LONGEST_TEXT, edits_from, place_named, stepped
from linesim.desk.saving import save_beside, save_into
from linesim.desk.session import DeskError, Edit, Session, edits_kept, edits_of, kept_text
from linesim.desk.studies import Studies, StudyState
from linesim.intake.intake import MAP, import_file
from linesim.questions.alternatives import alternative_of
from linesim.runs.store import Store
from linesim.scenario.toml import table_of

if TYPE_CHECKING:
    from linesim.intake.intake import Intake


class OpenDesk:
    """What is on the desk, and what can be done there. One thread does; others only tell.

    Attributes:
        session: The file and its changes.
        board: What every page shows.
        studies: The questions that were asked by a button.
        folder: Where replications, answers and alternatives are kept.
    """

    def __init__(self, path: Path, folder: Path, how: Mapping[str, Any]) -> None:
        """Open the desk of a scenario file.

        Raises:
            ScenarioError: With everything that is wrong in the file.
            StudyError: If the folder cannot be used.
        """
        self.session = Session(path)
        self.folder = folder
        self.how = how
        self._store = Store(folder)
        self.session.kept = {
            name: edits_kept(name, text) for name, text in self._store.alternatives().items()
        }
        self.board = Board()
        self._version = 0
        self._seen = Seen()
        self._sides: Sequence[Any] = ()
        self._upload: tuple[str, bytes] | None = None
        self.answers: dict[str, StudyState] = {}
        self._asker = Asker(how, self.open_store, lambda found: self.board.call(self._told, found))
        self.studies = Studies(
            folder, how, self.open_store, lambda state: self.board.call(self._study_told, state)
        )
        self._show()
        self.board.put("running", view.running_part(self.studies.state))
        self.board.put("studies", view.studies_part({}))
        self.board.put("disk", view.disk_part(""))

    def open_store(self) -> Store:
        """Return the store, opened anew for the thread that asks."""
        return Store(self.folder)

    def begin(self) -> None:
        """Begin to answer."""
        self._asker.start()
        self._ask()

    def end(self) -> None:
        """End everything that is on its way; what was simulated is kept."""
        self._asker.end()
        self.studies.end(5.0)
        if self._asker.is_alive():
            self._asker.join(5.0)
        self._store.close()

    # ---- what a page can do: each returns what is said of it ----------------------------------------------

    def change(self, given: Mapping[str, Any]) -> str:
        """Change the line: a step, fields of a form, a task that moves, or a line of TOML."""
        key = str(given.get("place", ""))
        if "by" in given:
            edits = [stepped(self.session.scenario, key, _number(given["by"]))]
        elif "at" in given:
            return self._move(place_named(key), str(given["at"]))
        elif "line" in given:
            found = alternative_of(str(given["line"]).strip()[:LONGEST_TEXT])
            tables = ((True, found.add), (False, found.changes))
            edits = [Edit(*pair, is_new) for is_new, table in tables for pair in table.items()]
        else:
            values = given.get("values")
            if not isinstance(values, Mapping):
                raise DeskError("there is nothing to change.")
            edits = edits_from(self.session.scenario, key, {str(k): str(v) for k, v in values.items()})
        if not edits:
            return "Nothing is different."
        self.session.change(edits)
        return self._changed("Changed.")

    def _move(self, place: tuple[str, ...], station: str) -> str:
        stations = self.session.scenario.station
        if len(place) != 4 or place[0] != "station" or not {station, place[1]} <= set(stations):
            raise DeskError("a task moves to a station of the line.")
        task = stations[place[1]].task.get(place[3])
        if task is None:
            raise DeskError(f"there is no task {place[3]} of {place[1]}.")
        if (task.at or place[1]) == station:
            return f"{place[3]} is done at {station} already."
        if station == place[1] and self.session.base.station[station].task[place[3]].at is None:
            self.session.undo(".".join((*place, "at")))
        else:
            self.session.change([Edit((*place, "at"), station)])
        return self._changed(f"{place[3]} is done at {station} now.")

    def undo(self, given: Mapping[str, Any]) -> str:
        """Take back one change, or all of them."""
        if given.get("place"):
            self.session.undo(str(given["place"]))
        else:
            self.session.lay(())
        return self._changed("Taken back.")

    def keep(self, given: Mapping[str, Any]) -> str:
        """Keep the present changes under a name."""
        name = " ".join(str(given.get("name", "")).split())
        self.session.keep(name)
        self._sides = ()
        self._store.keep_alternative(name, kept_text(self.session.kept[name]))
        return self._changed(f"Kept as {name}.")

    def drop(self, given: Mapping[str, Any]) -> str:
        """Drop an alternative."""
        name = str(given.get("name", ""))
        self.session.drop(name)
        self._store.drop_alternative(name)
        return self._changed(f"{name} is dropped.")

    def lay(self, given: Mapping[str, Any]) -> str:
        """Go on from an alternative."""
        name = str(given.get("name", ""))
        if name not in self.session.kept:
            raise DeskError("there is no such alternative.")
        self.session.lay(self.session.kept[name])
        return self._changed(f"The line is that of {name} now.")

    def study(self, given: Mapping[str, Any]) -> str:
        """Ask a question of the line as it is now."""
        values = given.get("values", {})
        texts = {str(k): str(v) for k, v in values.items()} if isinstance(values, Mapping) else {}
        self.studies.begin(self.session, str(given.get("name", "")), texts)
        return "Asked."

    def adopt(self, given: Mapping[str, Any]) -> str:
        """Change the line as a case of an answer was."""
        state = self.answers.get(str(given.get("study", "")))
        cases = () if state is None or state.answer is None else state.answer.card.cases
        case = next((one for one in cases if one.name == given.get("case") and one.changes), None)
        if case is None:
            raise DeskError("there is no such case.")
        self.session.change(edit for line in case.changes for edit in edits_of(table_of(line)))
        return self._changed(f"The line is that of {case.name} now.")

    def stop(self, given: Mapping[str, Any]) -> str:
        """Stop the study that is on its way."""
        self.studies.stop()
        return "It stops after the replications that are on their way."

    def save(self, given: Mapping[str, Any]) -> str:
        """Save the changes, beside the file or into it."""
        if given.get("into") == "yes":
            save_into(self.session)
            self._sides = ()
            return self._changed(f"{self.session.path.name} says it now.")
        path = save_beside(self.session, str(given.get("name", "")).strip())
        return f"{path.name} is written; it extends {self.session.path.name}."

    def reread(self, given: Mapping[str, Any]) -> str:
        """Read the file again."""
        self.session.reread()
        self._sides = ()
        return self._changed("Read again, with the changes laid over it.")

    def look(self, given: Mapping[str, Any]) -> str:
        """Look whether the file was changed on disk."""
        self.board.put("disk", view.disk_part(self.session.disk_says()))
        return ""

    # ---- uploads -------------------------------------------------------------------------------------------

    def upload(self, name: str, data: bytes) -> str:
        """Read a plant's workbook or CSV file and return what is to be confirmed, as HTML."""
        self._upload = Path(name.replace("\\", "/")).name[:120] or "file", data
        return self._read({})

    def confirm(self, given: Mapping[str, Any]) -> tuple[str, str]:
        """Read the upload again with what somebody said, or write its tables beside the scenario.

        It may take long and shows nothing, so it may run beside the rest.

        Returns:
            What is said of it, and what is to be confirmed still, as HTML.
        """
        values = given.get("values", {})
        values = values if isinstance(values, Mapping) else {}
        columns = {str(heading): str(column) for heading, column in values.items()}
        replace = columns.pop("replace the tables", "") == "yes"
        if given.get("write") != "yes":
            return "", self._read(columns)
        found, paths = self._imported(columns)
        require_free(paths, force=replace)
        for name, path in paths.items():
            write_file("import", path, found.files[name])
        write_file("import", self._map, found.map)
        self._upload = None
        read = {Path(file.name).name for file in self.session.reading.files}
        said = f"Written: {listed([path.name for path in paths.values()])}."
        if unread := [path.name for path in paths.values() if path.name not in read]:
            said += f" {self.session.path.name} does not read {listed(unread)} yet."
        return said, ""

    @property
    def _map(self) -> Path:
        return self.session.path.with_name(f"{self.session.path.stem}.{MAP}")

    def _imported(self, columns: Mapping[str, str]) -> tuple[Intake, dict[str, Path]]:
        if self._upload is None:
            raise DeskError("choose a file first.")
        name, data = self._upload
        kept = self._map.read_text(encoding="utf-8") if self._map.is_file() else ""
        found = import_file(data, name=name, kept=kept, columns=columns, scenario=None)
        return found, {one: self.session.path.with_name(one) for one in found.files}

    def _read(self, columns: Mapping[str, str]) -> str:
        found, paths = self._imported(columns)
        return view.upload_part(found, there=[path.name for path in paths.values() if path.exists()])

    # ---- what others tell ----------------------------------------------------------------------------------

    def _changed(self, said: str) -> str:
        self._show()
        self._ask()
        self.look({})
        return said

    def _ask(self) -> None:
        session = self.session
        kept = {
            name: line for name, edits in session.kept.items() if (line := session.fits(edits)) is not None
        }
        now = session.scenario if session.edits else None
        self._asker.ask(Asking(self._version, session.base, now, kept))

    def _show(self) -> None:
        """Show what is on the desk now; what is said of it follows."""
        self._version += 1
        session = self.session
        self.board.put("changes", view.changes_part(session))
        self.board.put("steps", view.steps_part(session))
        self.board.put("strip", view.strip_part(session, self._seen))
        self.board.put("answer", view.answer_part(None, bool(session.edits)))
        self.board.put("kept", view.kept_part(session, self._sides))

    def _told(self, found: object) -> None:
        """Take what the asker found."""
        if isinstance(found, Looked):
            if found.version == self._version:
                self.board.put("answer", view.answer_part(found, bool(self.session.edits)))
        elif isinstance(found, str):
            self.board.put("answer", view.answer_part(None, bool(self.session.edits), found))
        elif isinstance(found, Seen):
            self._seen = found
            self.board.put("strip", view.strip_part(self.session, found))
        elif isinstance(found, tuple):
            self._sides = found
            self.board.put("kept", view.kept_part(self.session, found))

    def _study_told(self, state: StudyState) -> None:
        if state.answer is not None:
            others = {name: one for name, one in self.answers.items() if name != state.name}
            self.answers = {**others, state.name: state}
            self.board.put("studies", view.studies_part(self.answers))
        self.board.put("running", view.running_part(state))


def _number(value: object) -> int:
    return int(value) if isinstance(value, int | str) and str(value) in ("1", "-1") else 0
