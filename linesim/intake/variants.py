"""Columns of times that hold for one model or option only, and what a row of them says."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import TYPE_CHECKING

from linesim.intake.figures import name_of, parts_of
from linesim.intake.sheets import SheetCells
from linesim.intake.words import NOT_SO, UNITS, WORDS, split_unit

if TYPE_CHECKING:
    from linesim.intake.headings import ColumnHeading

#: Words of a heading that say that it is a time, and nothing about whose.
_OF_TIMES = frozenset({"in", "of", "for", "per", "the", "on", "net", "planned", "if", "only", "times"}) | {
    word for word in re.findall(r"\w+", WORDS["tasks"]["mean"]) if len(word) > 1
}
#: Words that say that what follows or goes before them is a model or an option.
_IS_ONE = frozenset({"model", "models", "variant", "type", "product", "with", "option"})
_IS_NONE = frozenset({"without", "base", "basic", "no", "all"})  #: Words of the time that the others share.
#: Words that part a time by what is done, by whom or where, and never by model.
_OTHERWISE = NOT_SO | frozenset(
    {"manual", "machine", "auto", "automatic", "robot", "setup", "set", "up", "mtm", "value", "added",
     "adding", "va", "nva", "non", "operator", "operators", "person", "man", "worker", "hand", "shift",
     "line", "station", "left", "right", "lh", "rh", "new", "total", "sum", "rework", "repair", "test",
     "inspection", "check", "handling", "batch", "lot", "tool", "changeover", "wait", "move", "transport"}
)  # fmt: skip


def cell_names(sheets: Iterable[SheetCells]) -> frozenset[str]:
    """Return what stands in cells as a name alone, in small letters: a model or option may be among it."""
    texts = {text for sheet in sheets for row in sheet.rows for text in row.texts if 0 < len(text) <= 60}
    return frozenset(name_of(part).casefold() for text in texts for part in (text, *parts_of(text)))


def with_variants(found: Sequence[ColumnHeading], names: frozenset[str]) -> tuple[ColumnHeading, ...]:
    """Return headings of mean times that are told apart by a model or option with its name in `Heading.of`.

    Beside a time for all, a time of one is known by a word such as "with" or by its name, which stands in a
    cell somewhere; times that all have a name of their own are those of models.

    Args:
        found: The headings of a table of tasks.
        names: What stands in the cells of the file, as `cell_names` gives it.
    """
    means = [one for one in found if one.column == "mean" and not one.of and one.how not in ("ours", "map")]
    called = {one.place: _variant(one.text) for one in means}
    named = [one for one in means if called[one.place].name]
    known = [
        one for one in named
        if called[one.place].is_said or called[one.place].name.casefold() in names - {"time"}
    ]  # fmt: skip
    has_common = any(
        one.column == "mean" and not one.of and (one.place not in called or called[one.place].is_common)
        for one in found
    )
    has_models = any(one.column == "models" for one in found)
    all_named = len(named) > 1 and len({one.unit for one in named}) == 1 and not has_common
    is_sure = len(known) == len(named) or not has_models
    chosen = named if all_named and is_sure else known if has_common or len(known) > 1 else []
    places = {one.place for one in chosen}
    return tuple(
        replace(one, of=called[one.place].name, how="only") if one.place in places else one for one in found
    )


@dataclass(frozen=True, slots=True)
class _Variant:
    """What a heading of a time says of whose time it is.

    Attributes:
        name: Name of a model or option; empty if it names none.
        is_said: Whether a word of the heading says that the name is one.
        is_common: Whether it is the time of all.
    """

    name: str
    is_said: bool
    is_common: bool


def _variant(text: str) -> _Variant:
    words = re.findall(r"[^\W_]+(?:[-_][^\W_]+)*", _without_unit(text))
    small = {word.casefold() for word in words}
    rest = [word for word in words if word.casefold() not in _OF_TIMES | _IS_ONE]
    is_said = bool(small & _IS_ONE)
    if {word.casefold() for word in rest} & _OTHERWISE:
        return _Variant("", is_said=False, is_common=False)
    if not rest or small & _IS_NONE:
        return _Variant("", is_said=False, is_common=True)
    if all(word.isdigit() for word in rest) and not is_said:
        return _Variant("", is_said=False, is_common=False)
    return _Variant(name_of(" ".join(rest)), is_said, is_common=False)


def _without_unit(text: str) -> str:
    """Return a heading without the unit at its end or in brackets."""
    unit = split_unit(text)[1]
    if not unit:
        return text
    words = "|".join(word for word, (name, _) in UNITS.items() if name == unit)
    return re.sub(rf"[\[(/,]?\s*\b(?:in\s+)?(?:{words})\b\.?\s*[\])]?", " ", text, flags=re.IGNORECASE)


def means_of(
    common: Decimal | None, own: Mapping[str, Decimal | None], *, is_common: bool
) -> tuple[Decimal | None, dict[str, Decimal], tuple[str, ...]]:
    """Return the mean time of a row, those of models and options that differ, and the models that have it.

    Args:
        common: Its time for all [s]; None where none stands there.
        own: Time of each model or option [s]; None where none stands there.
        is_common: Whether the table has a column for all. Without one a model whose cell is blank or 0 does
            not have the task.

    Examples:
        >>> means_of(None, {"A": Decimal(60), "B": Decimal(75), "C": None}, is_common=False)
        (Decimal('60'), {'B': Decimal('75')}, ('A', 'B'))
        >>> means_of(Decimal(60), {"cab": Decimal(75), "loader": None}, is_common=True)
        (Decimal('60'), {'cab': Decimal('75')}, ())
    """
    given = {name: seconds for name, seconds in own.items() if seconds is not None}
    if is_common:
        return common, {name: seconds for name, seconds in given.items() if seconds != common}, ()
    have = {name: seconds for name, seconds in given.items() if seconds}
    if not have:
        return next(iter(given.values()), None), {}, ()
    first = next(iter(have.values()))
    others = {name: seconds for name, seconds in have.items() if seconds != first}
    return first, others, tuple(have) if len(have) < len(own) else ()
