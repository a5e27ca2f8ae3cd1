"""From a scenario file to a scenario: read, put together, check, freeze."""

from __future__ import annotations

import copy
import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path as FilePath
from typing import Any

from linesim.errors import Problem, ScenarioError
from linesim.scenario.assemble import ADD, SETS, Assembly
from linesim.scenario.checks import Checker, advise, check_rules, names_in
from linesim.scenario.complete import complete, shift_length
from linesim.scenario.files import FoundFile, InputFile, open_scenario
from linesim.scenario.models import Scenario
from linesim.scenario.origins import Origin, Origins
from linesim.scenario.problems import Notes, UnreadableError
from linesim.scenario.replace import note_hidden, opened, with_bays
from linesim.scenario.validate import validate


@dataclass(frozen=True, slots=True)
class Reading:
    """A scenario with what was noticed while it was read.

    Attributes:
        scenario: The checked scenario.
        warnings: What is worth saying although nothing is wrong.
        files: Every file that was read, with its hash.
        origins: Where each part was written.
    """

    scenario: Scenario
    warnings: tuple[Problem, ...]
    files: tuple[InputFile, ...]
    origins: Origins


def read(path: str | os.PathLike[str], sets: Sequence[str] = (), *, add: Sequence[str] = ()) -> Reading:
    """Read and check a scenario file, and everything that it names.

    Args:
        path: The TOML file.
        sets: Lines of the same TOML that change what the file has, the last one on top.
        add: Lines of the same TOML that add something; it is there before anything is changed.

    Raises:
        ScenarioError: With everything that is wrong.
    """
    name = os.fspath(path)
    assembly = Assembly(name)
    try:
        found = open_scenario(name)
    except UnreadableError as error:
        assembly.notes.of_file(name, error)
        raise ScenarioError(assembly.notes.sorted([name])) from None
    return _read(assembly, found, sets, add)


def load(path: str | os.PathLike[str], sets: Sequence[str] = (), *, add: Sequence[str] = ()) -> Scenario:
    """Return the scenario of a file; see `read`.

    Raises:
        ScenarioError: With everything that is wrong.
    """
    return read(path, sets, add=add).scenario


def read_text(
    text: str | bytes,
    folder: str | os.PathLike[str] = ".",
    *,
    name: str = "scenario.toml",
    sets: Sequence[str] = (),
    add: Sequence[str] = (),
) -> Reading:
    """Read and check the text of a scenario as if it stood in `folder` under `name`.

    Raises:
        ScenarioError: With everything that is wrong.
    """
    data = text.encode("utf-8", "surrogatepass") if isinstance(text, str) else text
    home = FilePath(folder).resolve()
    return _read(Assembly(name), FoundFile(name, home / name, data), sets, add)


def load_text(
    text: str | bytes,
    folder: str | os.PathLike[str] = ".",
    *,
    name: str = "scenario.toml",
    sets: Sequence[str] = (),
    add: Sequence[str] = (),
) -> Scenario:
    """Return the scenario of a text; see `read_text`.

    Raises:
        ScenarioError: With everything that is wrong.
    """
    return read_text(text, folder, name=name, sets=sets, add=add).scenario


def warnings_of(scenario: Scenario) -> tuple[Problem, ...]:
    """Return what is worth saying about a scenario that is right, by the places of its tables."""
    origins, notes = Origins("scenario"), Notes()
    advise(Checker(scenario, names_in(opened(scenario)), origins, notes))
    return notes.sorted(["scenario"])


def from_dict(raw: Mapping[str, Any]) -> Scenario:
    """Return the scenario of tables in memory, as `tomllib` or `Scenario.as_dict` give them.

    Such a scenario stands in no folder and can name no files.

    Raises:
        ScenarioError: With everything that is wrong.
    """
    name = "scenario"
    assembly = Assembly(name)
    plain = _plain(raw)
    if "extends" in plain:
        error = UnreadableError(
            "no-folder", "`extends` cannot be followed: this scenario stands in no folder."
        )
        assembly.notes.at_path(Origins(name), ("extends",), error.code, error.message)
    assembly.lay(plain, Origins(name, {("takt",): Origin(name)}))
    return _finish(assembly).scenario


def starter() -> str:
    """Return the text of a small scenario to start from: what `linesim new` writes."""
    from importlib import resources

    return (resources.files("linesim.scenario") / "starter.toml").read_text(encoding="utf-8")


def example() -> Scenario:
    """Return a small line to try things on: an indexed and a moving section, a lane, a robot, three crews.

    Examples:
        >>> import linesim
        >>> line = linesim.example()
        >>> list(line.crew)
        ['chassis', 'cab', 'relief']
        >>> line.replace({"crew.cab.people": 5}).crew["cab"].people
        5
    """
    return load_text(starter())


def _plain(value: Any) -> Any:
    """Return a deep copy of tables and lists as `dict` and `list`."""
    if isinstance(value, Mapping):
        return {key: _plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    return copy.copy(value)


def _read(assembly: Assembly, found: FoundFile, sets: Sequence[str], add: Sequence[str]) -> Reading:
    is_whole = assembly.add_file(found)
    assembly.read_lines(sets, add, found.folder)
    if not is_whole:
        # With a part missing, most of what could be said of the rest would be wrong.
        raise ScenarioError(assembly.notes.sorted([file.name for file in assembly.files]))
    return _finish(assembly)


def _finish(assembly: Assembly) -> Reading:
    assembly.add_tasks()
    files = [file.name for file in assembly.files]
    if not assembly.lay_lines():
        raise ScenarioError(assembly.notes.sorted([*files, ADD, SETS]))
    assembly.add_columns()
    raw, origins, notes = assembly.raw, assembly.origins, assembly.notes
    note_hidden(raw, origins, notes)
    complete(raw)
    names = names_in(raw)
    scenario = validate(raw, origins, notes, shift_s=shift_length(raw))
    files = [file.name for file in assembly.files]
    order = [*files, ADD, SETS]
    if scenario is not None:
        checker = Checker(scenario, names, origins, notes)
        check_rules(checker)
        if not notes.has_errors:
            scenario = with_bays(checker)
            advise(Checker(scenario, names, origins, notes))
            return Reading(scenario, notes.sorted(order), tuple(assembly.files), origins)
    raise ScenarioError(notes.sorted(order))
