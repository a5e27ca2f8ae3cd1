"""Changes put down for good: as a scenario that extends the file, or in the file itself, comments kept."""

from __future__ import annotations

import codecs
import re
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from linesim.commands.files import write_file
from linesim.desk.session import DeskError, Edit, Session
from linesim.errors import ScenarioError
from linesim.scenario import read_text
from linesim.scenario.toml import key, toml_line, toml_value

if TYPE_CHECKING:
    from linesim.scenario import Scenario
    from linesim.scenario.origins import Place

_FILE = re.compile(r"[^\W_][\w.-]{0,80}\.toml")


def save_beside(session: Session, name: str) -> Path:
    """Write the changes as a scenario of its own that extends the file, and return its path.

    Raises:
        DeskError: If there is nothing to write, or the name cannot be used.
    """
    _require_something(session)
    if not _FILE.fullmatch(name):
        raise DeskError("write the name of a file that ends in .toml, without folders.")
    path = session.path.with_name(name)
    text = extending(session.path.name, session.edits)
    _require_same(text.encode(), path, session.scenario)
    try:
        with path.open("x", encoding="utf-8", newline="\n") as file:
            file.write(text)
    except FileExistsError:
        raise DeskError(f"{name} is already there; nothing is written over.") from None
    except OSError as error:
        raise DeskError(f"{name} cannot be written: {error.strerror or error}.") from None
    return path


def extending(file: str, edits: Sequence[Edit]) -> str:
    """Return changes as the text of a scenario that extends a file."""
    lines = [toml_line(("extends",), file), "", *(edit.line for edit in edits)]
    return "\n".join(["# Changes made at the desk, against the scenario that is extended.", *lines, ""])


def save_into(session: Session) -> None:
    """Write the changes into the file itself, and read it again: nothing is changed any more.

    Raises:
        DeskError: If there is nothing to write, the file has changed since it was read, or the changes cannot
            be written so that the file then says what the desk shows.
    """
    _require_something(session)
    if says := session.disk_says():
        raise DeskError(f"{says} Read it again first, so that nothing is written over.")
    data = session.path.read_bytes()
    text = with_changes(data, session.edits)
    _require_same(text, session.path, session.scenario)
    if session.path.read_bytes() != data:
        raise DeskError(f"{session.path.name} was changed on disk. Read it again first.")
    write_file("save", session.path, text.decode("utf-8"))
    session.lay(())
    session.reread()


def with_changes(data: bytes, edits: Sequence[Edit]) -> bytes:
    """Return the text of a scenario file with changes in it, everything else as it stands.

    A value that the file has is changed where it stands; what it does not have is put at its end.
    """
    import tomlkit
    from tomlkit.exceptions import TOMLKitError

    mark = codecs.BOM_UTF8 if data.startswith(codecs.BOM_UTF8) else b""
    end = "\r\n" if b"\r\n" in data else "\n"
    try:
        document = tomlkit.parse(data.removeprefix(mark).decode("utf-8"))
        left = [edit for edit in edits if not _changed(document, edit.place, edit.value)]
    except (TOMLKitError, UnicodeDecodeError) as error:
        raise DeskError(f"the file cannot be changed as it is written ({error}); save beside it.") from None
    text = tomlkit.dumps(document)
    text += _appended(text, left)
    if end == "\r\n":  # what is new has the other end
        text = text.replace("\r\n", "\n").replace("\n", end)
    return mark + text.encode("utf-8")


def _changed(table: Any, place: Place, value: Any) -> bool:
    """Change a value where it stands, and return whether its table is there."""
    from tomlkit import inline_table, item
    from tomlkit.items import AbstractTable

    for part in place[:-1]:
        table = table.get(part) if hasattr(table, "get") else None
    if table is None or not hasattr(table, "get"):
        return False
    last = place[-1]
    if isinstance(value, dict):
        old = table.get(last)
        if isinstance(old, AbstractTable) or (hasattr(old, "get") and old is not None):
            done = [_changed(old, (name,), inner) for name, inner in value.items()]
            return all(done)
        inner_table = inline_table()
        inner_table.update(value)
        table[last] = inner_table
    else:
        table[last] = item(list(value) if isinstance(value, tuple) else value)
    return True


def _appended(text: str, edits: Sequence[Edit]) -> str:
    """Return the tables that the file does not have, with what is said in them."""
    tables: dict[Place, list[str]] = {}
    for edit in edits:
        tables.setdefault(edit.place[:-1], []).append(f"{key(edit.place[-1:])} = {toml_value(edit.value)}")
    if not tables:
        return ""
    lines = ["" if text.endswith("\n") else "\n"]
    for place, said in tables.items():
        lines += [f"\n[{key(place)}]\n", *(f"{line}\n" for line in said)]
    return "".join(lines)


def _require_something(session: Session) -> None:
    if not session.edits:
        raise DeskError("nothing is changed, so there is nothing to save.")


def _require_same(data: bytes, path: Path, wanted: Scenario) -> None:
    """Refuse a text that does not say exactly what the desk shows."""
    try:
        found = read_text(data, path.parent, name=path.name).scenario
    except ScenarioError as error:
        raise DeskError(f"the changes cannot be written so: {error.problems[0].message}") from None
    if found != wanted and found.as_dict() != wanted.as_dict():
        raise DeskError(
            "written so, the file would not say what the desk shows; save the changes beside it instead."
        )
