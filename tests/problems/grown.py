"""Wrong and right values grown from the JSON schema of scenarios, and edits that put them somewhere.

Everything follows from one `random.Random`, so that a case can be made again from its number.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Mapping
from copy import deepcopy
from typing import Any

Tables = dict[str, Any]
Schema = Mapping[str, Any]

#: Times at the borders of what is accepted, and beyond.
TIMES = (
    "0 s", "0.001 s", "0.0004 s", "1 s", "59.9995 s", "1 min", "1e3 s", "-1 s", "61", "1 day",
    "10000000000 s", "10000000001 s", "99999999999999999999 h", "0.5 shifts", "1 shift",
    "３ s", "1,5 h", " 7 s ", "NaN s", "",
)  # fmt: skip
NUMBERS = (
    0,
    1,
    -1,
    2,
    3,
    0.0,
    -0.0,
    0.5,
    1.0,
    1 + 1e-9,
    -1e-9,
    1e-300,
    1e12,
    1e13,
    1e308,
    10**6,
    10**6 + 1,
    2**63,
)
WRONG = (
    None,
    True,
    False,
    "",
    "x",
    [],
    {},
    [[]],
    [None],
    {"a": {"b": {}}},
    "\x00",
    "\ud7ff",
    "a" * 5000,
    -1,
    1e999,
)
WORDS = (
    "main",
    "out",
    "there",
    "at once",
    "standard",
    "A1.fit",
    "..",
    "../x.csv",
    "tasks.csv",
    "é",
    "none",
    "1",
)


class Grower:
    """Grows values from a schema.

    Args:
        schema: JSON Schema of a scenario.
        names: Names that stand in the scenario to be changed; some of them will fit.
        luck: Where all choices come from.
    """

    def __init__(self, schema: Schema, names: list[str], luck: random.Random) -> None:
        self.schema, self.names, self.luck = schema, names or ["main"], luck

    def resolved(self, schema: Schema) -> Schema:
        """Follow references to the definition."""
        while "$ref" in schema:
            schema = self.schema["$defs"][schema["$ref"].rsplit("/", 1)[1]]
        return schema

    def options(self, schema: Schema) -> list[Schema]:
        """Return the schemas of which a value has to meet one."""
        schema = self.resolved(schema)
        for key in ("anyOf", "oneOf"):
            if key in schema:
                return [found for option in schema[key] for found in self.options(option)]
        return [schema]

    def field(self, schema: Schema, key: str) -> Schema:
        """Return the schema of one key of a table, empty if there is none."""
        for option in self.options(schema):
            if key in option.get("properties", {}):
                return self.resolved(option["properties"][key])
            if isinstance(option.get("additionalProperties"), Mapping):
                return self.resolved(option["additionalProperties"])
        return {}

    def item(self, schema: Schema) -> Schema:
        """Return the schema of the items of a list, empty if there is none."""
        for option in self.options(schema):
            if isinstance(option.get("items"), Mapping):
                return self.resolved(option["items"])
        return {}

    def value(self, schema: Schema, depth: int = 0) -> Any:
        """Return a value that meets the schema, or nearly."""
        luck = self.luck
        schema = luck.choice(self.options(schema)) if schema else {}
        if "enum" in schema:
            return luck.choice(schema["enum"])
        if "const" in schema:
            return schema["const"]
        kind = schema.get("type")
        if kind == "string":
            return self.text(schema)
        if kind in ("integer", "number"):
            low, high = schema.get("minimum", 0), min(schema.get("maximum", 10), 10)
            small: float = luck.randint(int(low), max(int(low), int(high)))
            if kind == "number" and luck.random() < 0.5:
                small = luck.random() * max(1.0, small)
            return small if luck.random() < 0.7 else luck.choice(NUMBERS)
        if kind == "boolean":
            return luck.random() < 0.5
        if kind == "array" and depth < 4:
            parts = schema.get("prefixItems")
            if parts:
                return [self.value(part, depth + 1) for part in parts]
            return [self.value(schema.get("items", {}), depth + 1) for _ in range(luck.randint(0, 3))]
        if kind == "object" and depth < 4:
            return self.table(schema, depth)
        return luck.choice(WRONG)

    def table(self, schema: Schema, depth: int) -> Tables:
        """Return a table: what it must have, and some of what it may have."""
        grown: Tables = {}
        needed = schema.get("required", ())
        for key, inner in schema.get("properties", {}).items():
            if key in needed or self.luck.random() < 0.2:
                grown[key] = self.value(inner, depth + 1)
        if isinstance(inner := schema.get("additionalProperties"), Mapping):
            for _ in range(self.luck.randint(0, 2)):
                grown[self.name()] = self.value(inner, depth + 1)
        return grown

    def text(self, schema: Schema) -> str:
        """Return a time where times are written, else a name or a word."""
        if "shift" in schema.get("pattern", ""):
            if self.luck.random() < 0.7:
                amount, unit = (
                    self.luck.choice((1, 2, 5, 20, 55, 61, 0.5)),
                    self.luck.choice(("s", "s", "min", "h")),
                )
                return f"{amount} {unit}"
            return self.luck.choice(TIMES)
        return self.name()

    def name(self) -> str:
        """Return a name of the scenario, or a word that may be none."""
        return self.luck.choice(self.names) if self.luck.random() < 0.8 else self.luck.choice(WORDS)


def names_in(raw: Any) -> list[str]:
    """Return every key and short text of some tables."""
    if isinstance(raw, Mapping):
        return [*raw, *(name for value in raw.values() for name in names_in(value))]
    if isinstance(raw, list):
        return [name for value in raw for name in names_in(value)]
    return [raw] if isinstance(raw, str) and len(raw) < 30 else []


def changed(good: Tables, schema: Schema, luck: random.Random) -> Tables:
    """Return a scenario with one to four edits that know the schema."""
    raw = deepcopy(good)
    grower = Grower(schema, names_in(good), luck)
    for _ in range(luck.choice((1, 1, 1, 2, 4))):
        spot, inner, key = _somewhere(raw, schema, grower)
        luck.choice(_EDITS)(spot, key, inner, grower)
    return raw


def _somewhere(raw: Tables, schema: Schema, grower: Grower) -> tuple[Any, Schema, Any]:
    """Return a table or list, the schema of it, and one of its keys."""
    spot: Any = raw
    here: Schema = schema
    while True:
        keys = list(spot) if isinstance(spot, dict) else list(range(len(spot)))
        key = grower.luck.choice(keys)
        below = spot[key]
        if not (isinstance(below, dict | list) and below) or grower.luck.random() < 0.15:
            return spot, here, key
        here = grower.field(here, key) if isinstance(spot, dict) else grower.item(here)
        spot = below


Edit = Callable[[Any, Any, Schema, Grower], None]


def _inner(spot: Any, key: Any, schema: Schema, grower: Grower) -> Schema:
    return grower.field(schema, key) if isinstance(spot, dict) else grower.item(schema)


def _grow(spot: Any, key: Any, schema: Schema, grower: Grower) -> None:
    spot[key] = grower.value(_inner(spot, key, schema, grower))


def _add(spot: Any, key: Any, schema: Schema, grower: Grower) -> None:
    """Add a key that the schema knows, or an item."""
    if isinstance(spot, list):
        spot.insert(grower.luck.randint(0, len(spot)), grower.value(grower.item(schema)))
        return
    known = [key for option in grower.options(schema) for key in option.get("properties", {})]
    name = grower.luck.choice(known) if known else grower.name()
    spot[name] = grower.value(grower.field(schema, name))


def _remove(spot: Any, key: Any, schema: Schema, grower: Grower) -> None:
    del spot[key]


def _wrong(spot: Any, key: Any, schema: Schema, grower: Grower) -> None:
    spot[key] = deepcopy(grower.luck.choice(WRONG))


def _border(spot: Any, key: Any, schema: Schema, grower: Grower) -> None:
    """Put a number or a time from the borders in place of one."""
    if isinstance(spot[key], str):
        spot[key] = grower.luck.choice(TIMES)
    else:
        spot[key] = grower.luck.choice(NUMBERS)


def _rename(spot: Any, key: Any, schema: Schema, grower: Grower) -> None:
    if isinstance(spot, dict):
        spot[grower.name()] = spot.pop(key)
    else:
        spot[key] = grower.name()


def _double(spot: Any, key: Any, schema: Schema, grower: Grower) -> None:
    if isinstance(spot, dict):
        spot[grower.name()] = deepcopy(spot[key])
    else:
        spot.append(deepcopy(spot[key]))


def _swap(spot: Any, key: Any, schema: Schema, grower: Grower) -> None:
    keys = list(spot) if isinstance(spot, dict) else list(range(len(spot)))
    other = grower.luck.choice(keys)
    spot[key], spot[other] = spot[other], spot[key]


_EDITS: tuple[Edit, ...] = (
    _grow,
    _grow,
    _grow,
    _add,
    _add,
    _remove,
    _wrong,
    _border,
    _rename,
    _double,
    _swap,
)
