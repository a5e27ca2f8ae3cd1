"""What a desk is about: a scenario file, and what somebody has changed against it."""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from linesim.errors import LinesimError, hidden_sign
from linesim.scenario import read
from linesim.scenario.files import TABLE_LIMIT, read_ordinary
from linesim.scenario.problems import UnreadableError
from linesim.scenario.replace import leaves
from linesim.scenario.toml import toml_line

if TYPE_CHECKING:
    from linesim.scenario import Reading, Scenario
    from linesim.scenario.origins import Place

MOST_KEPT = 4  #: Alternatives that stand side by side.
MOST_EDITS = 200  #: Changes of a session.
_NAME = re.compile(r"[^\W_][\w ()+.,-]{0,59}")


class DeskError(LinesimError):
    """Something that the desk was asked for and does not do; the sentence says what would be right."""

    status = 2  #: Exit status: the input was wrong.


@dataclass(frozen=True, slots=True)
class Edit:
    """One change against the file.

    Attributes:
        place: Where, as keys from the top of the scenario.
        value: What it is set to.
        is_new: Whether it makes a new thing.
    """

    place: Place
    value: Any
    is_new: bool = False

    @property
    def key(self) -> str:
        """The place as one text."""
        return ".".join(self.place)

    @property
    def line(self) -> str:
        """The line of TOML that says it."""
        return toml_line(self.place, self.value)


class Session:
    """A scenario file, the changes laid over it, and the alternatives that are kept.

    It is changed by one thread only; what it holds is frozen and may be read by any.

    Attributes:
        path: The scenario file.
        reading: The file as it was read.
        edits: The changes, in the order in which they were made.
        scenario: The line with them.
        kept: Alternatives by name, each as its changes.
    """

    def __init__(self, path: Path, kept: Mapping[str, tuple[Edit, ...]] | None = None) -> None:
        """Read the file.

        Raises:
            ScenarioError: With everything that is wrong in it.
        """
        self.path = path
        self.reading: Reading = read(path)
        self.edits: tuple[Edit, ...] = ()
        self.scenario: Scenario = self.reading.scenario
        self.kept: dict[str, tuple[Edit, ...]] = dict(kept or {})

    @property
    def base(self) -> Scenario:
        """The line as the file has it."""
        return self.reading.scenario

    def change(self, edits: Iterable[Edit]) -> None:
        """Lay changes over what is there; one at a place that was changed before takes its place.

        What only restores the file is no change any more.

        Raises:
            ScenarioError: With everything that would be wrong then; nothing is changed.
            DeskError: If there are too many.
        """
        fresh = tuple(edits)
        places = {edit.place for edit in fresh}
        listed = [edit for edit in self.edits if not any(_covers(place, edit.place) for place in places)]
        listed += fresh
        if len(listed) > MOST_EDITS:
            raise DeskError(f"{MOST_EDITS} changes are the most; save them first.")
        changed = with_edits(self.base, listed)
        for edit in fresh:
            others = [one for one in listed if one is not edit]
            if with_edits(self.base, others) == changed:
                listed = others
        self.edits, self.scenario = tuple(listed), changed

    def undo(self, key: str) -> None:
        """Take one change back.

        Raises:
            ScenarioError: If the others cannot stand without it; nothing is changed then.
        """
        left = tuple(edit for edit in self.edits if edit.key != key)
        self.scenario, self.edits = with_edits(self.base, left), left

    def lay(self, edits: Sequence[Edit]) -> None:
        """Have exactly these changes.

        Raises:
            ScenarioError: If they do not fit the file.
        """
        self.scenario, self.edits = with_edits(self.base, edits), tuple(edits)

    def keep(self, name: str) -> None:
        """Keep the present changes under a name.

        Raises:
            DeskError: If there is nothing to keep, no such name can be, or there are enough.
        """
        name = " ".join(name.split())
        if not self.edits:
            raise DeskError("nothing is changed yet, so there is nothing to keep.")
        if not _NAME.fullmatch(name) or name == self.path.name:
            raise DeskError("write a name of letters, digits and blanks, at most 60 long.")
        if name not in self.kept and len(self.kept) >= MOST_KEPT:
            raise DeskError(f"{MOST_KEPT} alternatives stand side by side at most; drop one first.")
        self.kept = {**self.kept, name: self.edits}

    def drop(self, name: str) -> None:
        """Drop an alternative; one that is not there is no error."""
        self.kept = {one: edits for one, edits in self.kept.items() if one != name}

    def reread(self) -> None:
        """Read the file again and lay the changes over what it says now.

        Raises:
            ScenarioError: If the file is wrong, or the changes do not fit it; everything stays then.
        """
        reading = read(self.path)
        self.scenario = with_edits(reading.scenario, self.edits)
        self.reading = reading

    def fits(self, edits: Sequence[Edit]) -> Scenario | None:
        """Return the line with some changes; None where they do not fit the file any more."""
        try:
            return with_edits(self.base, edits)
        except LinesimError:
            return None

    def disk_says(self) -> str:
        """Return what became of the files since they were read; empty if they are as they were."""
        for file in self.reading.files:
            name = Path(file.name)
            try:
                data = read_ordinary(name, name.name, limit=TABLE_LIMIT)
            except UnreadableError as error:
                return error.message
            if hashlib.sha256(data).hexdigest() != file.sha256:
                return f"{name.name} was changed on disk."
        return ""


def with_edits(base: Scenario, edits: Iterable[Edit]) -> Scenario:
    """Return a line with changes laid over it.

    Raises:
        ScenarioError: With everything that is wrong then.
    """
    listed = tuple(edits)
    return base.replace(
        {edit.place: edit.value for edit in listed if not edit.is_new},
        add={edit.place: edit.value for edit in listed if edit.is_new},
    )


def edits_of(table: Mapping[str, Any], *, is_new: bool = False) -> tuple[Edit, ...]:
    """Return what a table sets as changes, one a value."""
    return tuple(Edit(place, value, is_new) for place, value in leaves(table))


def kept_text(edits: Sequence[Edit]) -> str:
    """Return changes as text that a store keeps; `edits_kept` reads it back."""
    return json.dumps([[edit.place, edit.value, edit.is_new] for edit in edits], ensure_ascii=False)


def edits_kept(name: str, text: str) -> tuple[Edit, ...]:
    """Return the changes of an alternative that a store keeps.

    Raises:
        DeskError: If it is not what `kept_text` has written: the store may be a stranger's.
    """
    try:
        rows = json.loads(text)
        edits = tuple(Edit(tuple(place), value, bool(is_new)) for place, value, is_new in rows)
        if not _NAME.fullmatch(name) or any(hidden_sign(edit.line) or not edit.place for edit in edits):
            raise ValueError(name)
    except (ValueError, TypeError, RecursionError):
        raise DeskError(
            "an alternative in the folder of the desk cannot be read; name another folder."
        ) from None
    return edits


def _covers(outer: Place, inner: Place) -> bool:
    return inner[: len(outer)] == outer


def bare_value(value: Any) -> Any:
    """Return a value without what is empty in it or only says again what is meant without a word."""
    if not isinstance(value, Mapping):
        return value
    if set(value) == {"shape", "mean"} and value["shape"] == "constant":
        return value["mean"]
    if set(value) == {"value"}:
        return value["value"]
    kept = {name: bare_value(item) for name, item in value.items()}
    return {name: item for name, item in kept.items() if item not in ({}, [], None, "")}
