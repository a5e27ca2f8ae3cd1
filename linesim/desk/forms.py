"""Forms from the schema of the language: what can be said of one thing on the line, and how it reads."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Literal, NamedTuple

from linesim.answers.readable import in_words
from linesim.desk.session import DeskError, Edit, bare_value
from linesim.scenario.reference import json_schema
from linesim.scenario.toml import table_of, toml_value
from linesim.ticks import parse_duration

if TYPE_CHECKING:
    from linesim.scenario import Scenario
    from linesim.scenario.origins import Place

Kind = Literal["count", "number", "share", "time", "choice", "yes", "names", "text", "value"]
#: What a form leaves out: names of files, which a change does not name, and lists that a table holds.
_LEFT_OUT = frozenset({"extends", "tasks", "file", "column", "at_s", "list", "flow", "values_s"})
#: How a kind of field is written.
_HINTS: Mapping[Kind, str] = MappingProxyType(
    {
        "count": "whole number",
        "time": "a time with its unit, such as 61 s or 2 min",
        "share": "a share, such as 35% or 0.35",
        "names": "names, with commas between",
        "value": 'a number, a time, or a table such as { mean = "61 s", cv = 0.15 }',
    }
)
_PLAIN: Mapping[str, Kind] = MappingProxyType({"boolean": "yes", "integer": "count", "number": "number"})
LONGEST_TEXT = 20_000  #: Letters of a field.
_SHARE_STEP, _LONGEST_PLACE, _LONGEST_SHOWN = 0.05, 12, 80


@dataclass(frozen=True, slots=True)
class FormField:
    """One field of a form.

    Attributes:
        name: Its key.
        kind: What is written into it.
        help: What it means, from the language itself.
        hint: How it is written, with its limits.
        text: What stands there now; empty where the file does not say.
        usual: What is meant where nobody says.
        choices: Words that it can be; empty if it is free.
    """

    name: str
    kind: Kind
    help: str
    hint: str
    text: str
    usual: str
    choices: tuple[str, ...]

    @property
    def label(self) -> str:
        """What it is called."""
        return self.name.replace("_", " ")


class PartLink(NamedTuple):
    """A part with a form of its own: its place and what it is called."""

    key: str
    name: str


@dataclass(frozen=True, slots=True)
class Form:
    """What can be said of one thing.

    Attributes:
        key: Its place as one text; empty for the scenario itself.
        title: What it is called.
        fields: What can be said of it.
        parts: Tables in it, by what they are: each with its names.
    """

    key: str
    title: str
    fields: tuple[FormField, ...]
    parts: tuple[tuple[str, tuple[PartLink, ...]], ...]


class Stepper(NamedTuple):
    """A figure that is changed step by step.

    Attributes:
        key: Its place as one text.
        name: What it is called.
        text: What it is now.
        unit: What is counted.
    """

    key: str
    name: str
    text: str
    unit: str


def place_named(key: str) -> Place:
    """Return the place that a text names.

    Raises:
        DeskError: If it can be none.
    """
    place = tuple(key.split(".")) if key else ()
    if len(place) > _LONGEST_PLACE or not all(0 < len(part) <= 64 for part in place):
        raise DeskError("there is no such place in a scenario.")
    return place


def form_of(scenario: Scenario, key: str) -> Form:
    """Return the form of one thing on the line.

    Raises:
        DeskError: If there is no such thing.
    """
    place = place_named(key)
    found = _table_at(place)
    value: Any = scenario.as_dict()
    for part in place:
        value = value.get(part) if isinstance(value, Mapping) else None
        if value is None:
            raise DeskError(f"there is nothing called {in_words(key)} on this line.")
    if found is None or not isinstance(value, Mapping):
        raise DeskError("there is no form for this.")
    fields = tuple(
        _field(name, kind, part, value.get(name))
        for name, part in found["properties"].items()
        if name not in _LEFT_OUT and (kind := _kind(part)) is not None
    )
    tables = tuple(
        (name.replace("_", " "), tuple(PartLink(".".join((*place, name, one)), one) for one in inner))
        for name, part in found["properties"].items()
        if _inner(part) is not None and isinstance(inner := value.get(name), Mapping) and inner
    )
    lone = tuple(
        (name.replace("_", " "), (PartLink(".".join((*place, name)), name.replace("_", " ")),))
        for name, part in found["properties"].items()
        if name not in _LEFT_OUT and _opened(part).get("properties") and isinstance(value.get(name), Mapping)
    )
    return Form(key, _title(place), fields, lone + tables)


class ShownEdit(NamedTuple):
    """One change as a reader sees it: its place as one text and in words, and all of it in words."""

    key: str
    place: str
    text: str


def shown(base: Scenario, edits: Sequence[Edit]) -> tuple[ShownEdit, ...]:
    """Return changes as a reader sees them."""
    tables = base.as_dict() if edits else {}
    found = []
    for edit in edits:
        before = "new" if edit.is_new else _before(tables, edit.place)
        text = in_words(f"{edit.key}: {before} → {_shown(edit.place, edit.value)}")
        found.append(ShownEdit(edit.key, in_words(edit.key), text))
    return tuple(found)


def _before(value: Any, place: Place) -> str:
    for key in place:
        if not isinstance(value, Mapping) or key not in value:
            return place[1] if place[0] == "station" and place[-1] == "at" else "not said"
        value = value[key]
    return _shown(place, value)


def _shown(place: Place, value: Any) -> str:
    """Return a value as its field shows it, in at most one line."""
    table = _table_at(place[:-1])
    part = {} if table is None else table["properties"].get(place[-1], {})
    value = bare_value(value)
    kind = "share" if "take" in place and isinstance(value, int | float) else _kind(part) if part else None
    text = _text(kind or "value", value) or "none"
    return text if len(text) <= _LONGEST_SHOWN else f"{text[: _LONGEST_SHOWN - 1]}…"


def edits_from(scenario: Scenario, key: str, values: Mapping[str, str]) -> list[Edit]:
    """Return what somebody wrote into a form as changes; what stands there already is none.

    Raises:
        DeskError: If a field is not there, or was emptied.
    """
    form = form_of(scenario, key)
    known = {field.name: field for field in form.fields}
    found = []
    for name, text in values.items():
        field = known.get(name)
        if field is None or len(text) > LONGEST_TEXT:
            raise DeskError(f"{name[:60]!r} is no field of {form.title}.")
        if text.strip() == field.text:
            continue
        if not text.strip() and field.kind not in ("text", "names"):
            raise DeskError(f"{field.label}: what the file says cannot be taken away here; write a value.")
        found.append(Edit((*place_named(key), name), read(field.kind, text)))
    return found


def read(kind: Kind, text: str) -> Any:
    """Return what a text means in a field; what cannot be read stays text, for the check to say so."""
    text = text.strip()
    if kind == "yes":
        return text == "yes"
    if kind == "names":
        return [name for name in re.split(r"[\s,;]+", text) if name]
    if kind == "count" and re.fullmatch(r"[+-]?\d{1,18}", text):
        return int(text)
    if kind in ("number", "share") and re.fullmatch(r"[+-]?\d{1,18}(\.\d{1,18})?", text):
        return float(text)
    if kind == "value":
        try:
            return table_of(f"value = {text}")["value"]
        except (ValueError, KeyError):
            return text
    return text


def steppers(scenario: Scenario) -> tuple[tuple[str, tuple[Stepper, ...]], ...]:
    """Return the figures that people change most, by what they are."""
    people = [Stepper(f"crew.{name}.people", name, str(crew.people), "people")
              for name, crew in scenario.crew.items()]  # fmt: skip
    places = [Stepper(f"buffer.{name}.capacity", name, str(buffer.capacity), "places")
              for name, buffer in scenario.buffer.items()]  # fmt: skip
    places += [Stepper(f"tool.{name}.count", name, str(tool.count), "pieces")
               for name, tool in scenario.tool.items()]  # fmt: skip
    takt = [Stepper("takt", "the line", str(scenario.takt), "")]
    takt += [Stepper(f"section.{name}.takt", name, str(section.takt), "")
             for name, section in scenario.section.items() if section.takt is not None]  # fmt: skip
    groups = (("People", people), ("Places and tools", places), ("Takt", takt),
              ("Take rates", list(_takes(scenario))))  # fmt: skip
    return tuple((title, tuple(found)) for title, found in groups if found)


def stepped(scenario: Scenario, key: str, by: int) -> Edit:
    """Return the change by some steps of one of `steppers`.

    Raises:
        DeskError: If it is none of them.
    """
    found = next((one for _, group in steppers(scenario) for one in group if one.key == key), None)
    if found is None or by not in (-1, 1):
        raise DeskError("this cannot be changed step by step.")
    place = place_named(key)
    if found.text.endswith("%"):
        share = round(min(1.0, max(0.0, float(found.text[:-1]) / 100 + by * _SHARE_STEP)), 4)
        return Edit(place, share)
    if found.unit:
        return Edit(place, max(0, int(found.text) + by))
    time = parse_duration(found.text)
    step = 1.0 if time.unit == "s" else 0.1
    return Edit(place, f"{max(step, time.amount + by * step):.6g} {time.unit}")


def _takes(scenario: Scenario) -> Iterator[Stepper]:
    tables = scenario.as_dict()
    for kind in ("option", "package"):
        for name, table in tables.get(kind, {}).items():
            take = bare_value(table["take"])
            if isinstance(take, Mapping) and "value" not in take:
                for model, share in take.items():
                    share = share["value"] if isinstance(share, Mapping) else share
                    yield Stepper(f"{kind}.{name}.take.{model}", f"{name}, {model}", _percent(share), "")
            else:
                share = take["value"] if isinstance(take, Mapping) else take
                yield Stepper(f"{kind}.{name}.take", name, _percent(share), "")


def _percent(share: float) -> str:
    return f"{100 * share:.10g}%"


def _title(place: Place) -> str:
    if not place:
        return "The line and its run"
    if len(place) == 1:
        return place[0].replace("_", " ").capitalize()
    if len(place) == 2:
        return f"{place[0].capitalize()} {place[1]}"
    return f"{place[-2].replace('_', ' ').capitalize()}: {in_words('.'.join(place))}"


@cache
def _schema() -> dict[str, Any]:
    return json_schema()


def _opened(part: Mapping[str, Any]) -> Mapping[str, Any]:
    """Return a part of the schema without `null` and behind its reference."""
    arms = [arm for arm in part.get("anyOf", ()) if arm.get("type") != "null"]
    if len(arms) == 1:
        part = {**part, **arms[0]}
    if "$ref" in part:
        found: Mapping[str, Any] = _schema()["$defs"][part["$ref"].rpartition("/")[2]]
        return found
    return part


def _inner(part: Mapping[str, Any]) -> Mapping[str, Any] | None:
    """Return what stands under each name of a table of tables; None if it is none."""
    for arm in (_opened(part), *part.get("anyOf", ())):
        for inner in arm.get("patternProperties", {}).values():
            found = _opened(inner)
            if "properties" in found and "value" not in found["properties"]:
                return found
    return None


def _table_at(place: Place) -> Mapping[str, Any] | None:
    """Return the table of the schema at a place; None if no table stands there."""
    part: Mapping[str, Any] = _schema()
    keys = list(place)
    while keys:
        field = part.get("properties", {}).get(keys.pop(0))
        if field is None:
            return None
        inner = _inner(field)
        if inner is not None and keys:
            keys.pop(0)
            part = inner
        else:
            part = _opened(field)
    return part if "properties" in part else None


def _kind(part: Mapping[str, Any]) -> Kind | None:
    """Return what is written into a field; None if it is a table with a form of its own."""
    if _inner(part) is not None or _opened(part).get("properties"):
        return None
    found = _opened(part)
    if "enum" in found:
        return "choice"
    arms = [arm.get("type") for arm in found.get("anyOf", ())]
    if arms == ["number", "string"]:
        return "share"
    if arms == ["string", "array"] or (found.get("type") == "array" and "items" in found):
        return "names"
    if found.get("type") == "string":
        return "time" if "examples" in found else "text"
    return _PLAIN.get(str(found.get("type")), "value")


def _field(name: str, kind: Kind, part: Mapping[str, Any], value: Any) -> FormField:
    found = _opened(part)
    numbers = next((arm for arm in found.get("anyOf", ()) if arm.get("type") == "number"), found)
    least = numbers.get("minimum", numbers.get("exclusiveMinimum"))
    most = numbers.get("maximum", numbers.get("exclusiveMaximum"))
    limits = ""
    if kind in ("count", "number", "share") and least is not None:
        limits = f"from {least:g}" + (f" to {most:g}" if most is not None and most < 1e6 else " on")
    hint = ", ".join(filter(None, [_HINTS.get(kind, ""), limits]))
    usual = part.get("default")
    if isinstance(usual, Mapping):
        usual = f"{usual['amount']:g} {usual['unit']}" if "amount" in usual else None
    choices = tuple(found["enum"]) if kind == "choice" else ("no", "yes") if kind == "yes" else ()
    return FormField(
        name, kind, part.get("description", ""), hint, _text(kind, value), _text(kind, usual), choices
    )


def _text(kind: Kind, value: Any) -> str:
    """Return a value as the text of a field."""
    value = bare_value(value)
    if value is None or value in ({}, []):
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if kind == "share" and isinstance(value, int | float):
        return _percent(value)
    if isinstance(value, list | tuple):
        return ", ".join(map(str, value)) if kind == "names" else toml_value(value)
    return (
        value
        if isinstance(value, str)
        else f"{value:.15g}"
        if isinstance(value, float)
        else toml_value(value)
    )
