"""Which row of a sheet holds its headings, what kind of table it is, and which column a heading means."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from difflib import get_close_matches
from functools import cached_property, lru_cache
from types import MappingProxyType

from linesim.intake.sheets import SheetCells, SheetRow
from linesim.intake.variants import with_variants
from linesim.intake.words import (
    KINDS,
    LEFT_OUT,
    NEEDS,
    NOT_SO,
    SIZES,
    TIMED,
    UNITS,
    WHAT,
    WORDS,
    Kind,
    split_unit,
)
from linesim.scenario.cells import COLUMNS, TIME_FOR

_LONGEST = 60  #: Longer texts are no headings.
LOOKED_AT = 40  #: Rows that may stand above the headings.
_NOISE = frozenset(
    {"of", "the", "per", "in", "for", "a", "nr", "no", "number", "required", "req", "planned", "each", "net",
     "qty"}
)  # fmt: skip
#: What a row of units may say besides units of time.
_NO_UNITS = frozenset(
    {"%", "-", "pcs", "no", "pers", "h:mm:ss", "hh:mm:ss", "m:ss", "mm:ss", "min:s", "min:ss"}
)  # fmt: skip
_MANY = frozenset({LEFT_OUT, "reading", "has"})  #: What several columns of one table may be.
_READING = re.compile(r"(?:cycle|obs|observation|reading|sample|run|no|t|x|n)?[ .#]*\d{1,3}")
_STOP = re.compile(r"(?:line )?(?:stop(?:s|page|pages)?|downtime|standstill)(?: (?:time|minutes))?")


@dataclass(frozen=True, slots=True)
class ColumnHeading:
    """A heading and what it means.

    Attributes:
        place: Column of the sheet, counted from 0.
        text: The heading as it stands there.
        column: Column that it means; empty if it is not read.
        unit: Unit of its times, or ``%``; empty if it names none.
        how: How it was found: ``ours`` (the column's own name), ``word`` (a word that plants use), ``like``
            (much like one, or with one in it), ``unit`` (a unit of time alone), ``only`` (times of one model
            or option), ``map`` (said before or now), ``double`` (another means it better) or empty.
        of: What alone it is about, as the heading names it: the section of stop minutes, the model or option
            of a mean time; empty if it is about all.
    """

    place: int
    text: str
    column: str = LEFT_OUT
    unit: str = ""
    how: str = ""
    of: str = ""

    @property
    def target(self) -> str:
        """The column with its unit, as a map writes it."""
        of = f"for_{self.of}" if self.of and self.column == "mean" else self.of
        parts = (self.column, self.unit if self.column in TIMED else "", of)
        return "_".join(part for part in parts if part)

    @property
    def key(self) -> str:
        """What no two headings of a table may both be."""
        return (
            self.target
            if self.column == "stop"
            else f"{self.column} of {self.of}"
            if self.of
            else self.column
        )


@dataclass(frozen=True)
class Headed:
    """A sheet whose headings were found.

    Attributes:
        sheet: The sheet.
        kind: What it holds.
        at: Place of the row of headings among its rows.
        headings: One for each column that has one.
        first: Place of the first row below.
    """

    sheet: SheetCells
    kind: Kind
    at: int
    headings: tuple[ColumnHeading, ...]
    first: int

    @cached_property
    def by_column(self) -> dict[str, ColumnHeading]:
        """The headings that are read, by their columns; of several readings the first."""
        found: dict[str, ColumnHeading] = {}
        for one in self.headings:
            if one.column:
                found.setdefault(one.key, one)
        return found

    @property
    def by_variant(self) -> dict[str, ColumnHeading]:
        """The headings of times of one model or option, by its name."""
        return {one.of: one for one in self.headings if one.column == "mean" and one.of}


def key_of(text: str) -> str:
    """Return a heading as maps compare it: small letters, single blanks."""
    return " ".join(text.casefold().split())


def headed(
    sheet: SheetCells,
    kinds: Sequence[Kind],
    known: Mapping[str, Mapping[str, str]],
    said: Mapping[str, str],
    names: frozenset[str] = frozenset(),
) -> Headed | None:
    """Return what a sheet holds; None if no row of it looks like headings.

    Args:
        sheet: The sheet.
        kinds: What it may hold.
        known: Kind -> heading -> column, as a map has it.
        said: Heading -> column, as somebody says it now.
        names: What stands in the cells of the file, as `cell_names` gives it.
    """
    return _headed(sheet, kinds, known, said, names, near=False) or _headed(
        sheet, kinds, known, said, names, near=True
    )


def _headed(
    sheet: SheetCells,
    kinds: Sequence[Kind],
    known: Mapping[str, Mapping[str, str]],
    said: Mapping[str, str],
    names: frozenset[str],
    *,
    near: bool,
) -> Headed | None:
    best: tuple[tuple[int, ...], Headed] | None = None
    for at, row in enumerate(sheet.rows[:LOOKED_AT]):
        above = sheet.rows[at - 1] if at else None
        units = _units_below(sheet, at)
        for kind in kinds:
            given = {
                **known.get(kind, {}),
                **{text: name for text, name in said.items() if _is_column(name, kind)},
            }
            headings = _headings(row, above, units, kind, given, names, near=near)
            columns = {one.column for one in headings}
            if any(not need & columns for need in NEEDS[kind]):
                continue
            if not near:
                headings = _headings(row, above, units, kind, given, names, near=True)
            found = Headed(sheet, kind, at, *_with_units(sheet, at, headings))
            readings = sum(one.column == "reading" for one in headings)
            read = [one for one in headings if one.column not in (LEFT_OUT, "reading")]
            n_read = sum(1 if one.how in ("like", "unit") else 2 for one in read)
            n_read += 4 if readings > 1 else 2 * _repeats(found)
            score = (n_read, len(row.filled), -at, -KINDS.index(kind))
            if best is None or score > best[0]:
                best = (score, found)
    return best[1] if best else None


def _repeats(found: Headed) -> bool:
    """Return whether a table of times has several for most of its tasks, as a time study has."""
    if found.kind != "times" or "time" not in found.by_column:
        return False
    places = [one.place for name, one in found.by_column.items() if name in ("station", "task", "title")]
    rows = [tuple(row.texts[k] for k in places) for row in found.sheet.rows[found.first :]]
    named = [row for row in rows if row[-1]]
    return len(named) > 3 and len(set(named)) <= len(named) / 2


def _headings(
    row: SheetRow,
    above: SheetRow | None,
    units: Sequence[str],
    kind: Kind,
    known: Mapping[str, str],
    names: frozenset[str],
    *,
    near: bool,
) -> tuple[ColumnHeading, ...]:
    found: list[ColumnHeading] = []
    over = ""
    for place, text in enumerate(row.texts):
        if above is not None and above.spread:
            over = over if place in above.spread else above.texts[place] if place + 1 in above.spread else ""
        if not text:
            continue
        if over and over != text and row.texts.count(text) > 1:
            text = f"{over} {text}"
        one = _meaning(place, text, kind, known, near=near)
        if over and over not in text:
            unit = split_unit(over)[1]
            if not one.column or (one.how == "like" and unit in SIZES and one.column not in TIMED):
                one = replace(_meaning(place, f"{over} {text}", kind, known, near=near), text=text)
            elif one.column in TIMED and not one.unit:
                one = replace(one, unit=unit)
        if not one.column and one.how != "map" and units and units[place] in SIZES:
            one = replace(_meaning(place, f"{text} [{units[place]}]", kind, known, near=near), text=text)
        found.append(one)
    return _without_doubles(with_variants(found, names) if kind == "tasks" else found)


def _without_doubles(found: Sequence[ColumnHeading]) -> tuple[ColumnHeading, ...]:
    """Return headings of which no two mean one column: the surer one keeps it, a text becomes the title."""
    order = ("map", "ours", "only", "word", "like", "unit")
    taken: dict[str, ColumnHeading] = {}
    for one in found:
        name = one.key
        if name in _MANY:
            continue
        if name not in taken or order.index(one.how) < order.index(taken[name].how):
            taken[name] = one
    kept = []
    for one in found:
        name = one.key
        is_free = name in _MANY or taken[name] is one
        why = "" if one.how == "unit" else "double"
        kept.append(one if is_free else replace(one, column=LEFT_OUT, how=why, unit=""))
    return tuple(kept)


def _meaning(place: int, text: str, kind: Kind, known: Mapping[str, str], *, near: bool) -> ColumnHeading:
    said = known.get(key_of(text))
    if kind == "tasks" and (text in COLUMNS or TIME_FOR.fullmatch(text)) and said in (None, text):
        return replace(heading_of(text, kind), place=place, text=text, how="ours")
    if said is not None:
        return replace(heading_of(said, kind), place=place, text=text, how="map")
    words, unit = split_unit(text)
    phrase = " ".join(words) or "no" * (text.strip() == "#")
    if kind == "times" and _READING.fullmatch(phrase):
        return ColumnHeading(place, text, "reading", unit, "word")
    if kind == "shifts" and (section := _stop_of(phrase, text)) is not None:
        return ColumnHeading(place, text, "stop", unit or "min" * ("minutes" in phrase), "word", section)
    named = _named(kind)
    if unit in SIZES:
        named = {word: column for word, column in named.items() if column in TIMED}
    for candidate in (phrase, " ".join(word for word in words if word not in _NOISE)):
        if candidate and candidate in named:
            return ColumnHeading(place, text, named[candidate], unit, "word")
    alike = _like(phrase, named, near=near)
    if alike:
        return ColumnHeading(place, text, named[alike], unit, "like")
    of_times = {"tasks": "mean", "times": "time"}.get(kind)
    if of_times is not None and unit in SIZES and not NOT_SO & set(words):
        return ColumnHeading(place, text, of_times, unit, "unit")
    return ColumnHeading(place, text)


def _like(phrase: str, named: Mapping[str, str], *, near: bool) -> str:
    """Return the known word that stands in a heading, or that it is much like; empty if there is none."""
    if not 2 < len(phrase) < _LONGEST or NOT_SO & set(phrase.split()):
        return ""
    inside = [word for word in named if len(word) > 2 and f" {word} " in f" {phrase} "]
    if inside or not near:
        return max(inside, key=lambda word: (phrase.rindex(word) + len(word), len(word)), default="")
    return next(iter(get_close_matches(phrase, list(named), n=1, cutoff=0.86)), "")


@lru_cache(maxsize=len(KINDS))
def _named(kind: Kind) -> Mapping[str, str]:
    return MappingProxyType(
        {word: column for column, some in WORDS[kind].items() for word in some.split("|")}
    )


def _stop_of(phrase: str, text: str) -> str | None:
    """Return the section that a heading of stop minutes names, empty if it names none; None if it is none."""
    found = _STOP.match(phrase) or re.search(rf" {_STOP.pattern}$", phrase)
    if found is None:
        return None
    words = (phrase[: found.start()] + phrase[found.end() :]).split()
    as_written = {word.casefold(): word for word in re.findall(r"[^\W_]+", text)}
    return "-".join(as_written.get(word, word) for word in words if word not in _NOISE)


def heading_of(target: str, kind: Kind) -> ColumnHeading:
    """Return what a target of a map means.

    Examples:
        >>> heading_of("mean_min", "tasks").unit, heading_of("stop_min_trim", "shifts").of
        ('min', 'trim')
        >>> heading_of("after", "tasks").column
        'after'

    Raises:
        ValueError: If there is no such column.
    """
    names = {**WORDS[kind], "reading": ""} if kind == "times" else WORDS[kind]
    if target == LEFT_OUT or target in names:
        return ColumnHeading(0, "", target)
    target, _, of = target.partition("_for_")
    column, _, unit = target.partition("_")
    if column == "stop":
        unit, _, of = unit.partition("_")
    if kind == "tasks" and target in COLUMNS and column not in names:
        column, unit = target, ""
        if target.rpartition("_")[2] in ("s", "min", "h"):
            column, _, unit = target.rpartition("_")
    elif column not in TIMED or unit not in SIZES:
        raise ValueError(f"{target!r} is no column of {WHAT[kind]}; there are {', '.join(targets_of(kind))}")
    return ColumnHeading(0, "", column, unit, of=of)


def _is_column(target: str, kind: Kind) -> bool:
    try:
        heading_of(target, kind)
    except ValueError:
        return False
    return True


def targets_of(kind: Kind) -> tuple[str, ...]:
    """Return what a map may say of the headings of a kind."""
    of_one = ("mean_s_for_NAME",) if kind == "tasks" else ()
    return (*(f"{name}_s, {name}_min" if name in TIMED else name for name in WORDS[kind]), *of_one)


def _with_units(
    sheet: SheetCells, at: int, headings: tuple[ColumnHeading, ...]
) -> tuple[tuple[ColumnHeading, ...], int]:
    """Return headings with the units of a row of units below, and the place of the first row of figures."""
    units = _units_below(sheet, at)
    if not units:
        return headings, at + 1
    return tuple(replace(one, unit=one.unit or units[one.place]) for one in headings), at + 2


def _units_below(sheet: SheetCells, at: int) -> tuple[str, ...]:
    """Return the units that the row below another says, by column; nothing where it is no row of units."""
    if at + 1 >= len(sheet.rows):
        return ()
    texts = [text.strip("[]() .").lower() for text in sheet.rows[at + 1].texts]
    said = [text for text in texts if text]
    if not said or not all(text in UNITS or text in _NO_UNITS for text in said):
        return ()
    return tuple(UNITS[text][0] if text in UNITS else "%" if text == "%" else "" for text in texts)
