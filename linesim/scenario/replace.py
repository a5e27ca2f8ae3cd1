"""A scenario changed as data, and the rule that a slip in a name never makes a new thing."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from types import MappingProxyType
from typing import Any, get_args, get_origin

from linesim.errors import ScenarioError, hidden_sign
from linesim.scenario.base import Chance, Named, Record, part_of
from linesim.scenario.checks import Checker, check_rules, names_in
from linesim.scenario.checks.flow import first_bay_after
from linesim.scenario.complete import STANDARD, complete, shift_length
from linesim.scenario.line import Station
from linesim.scenario.models import Scenario
from linesim.scenario.origins import Origin, Origins, Path, Place, dotted, is_other_shape, value_at
from linesim.scenario.problems import Notes, has, shown
from linesim.scenario.toml import key, shown_value, toml_line
from linesim.scenario.validate import annotation_of, bare, fields_of, validate
from linesim.scenario.work import Fault
from linesim.ticks import Duration

CHANGE = "change"  #: Name under which a change made in Python appears in messages.
#: Tables whose names are those of models and options, which are checked where they are used.
_BY_VARIANT = frozenset({"time_for", "chance_for", "take"})
#: Keys that name files, which a scenario that has been read no longer looks for.
_FILES = frozenset({"file", "extends", "tasks"})

Changes = Mapping[Any, Any]
"""Places and what they are set to: `{"crew.trim.people": 7}`; a table is laid over the one that is there."""

NOTHING: Changes = MappingProxyType({})


def path_of(place: str | Sequence[str]) -> Place:
    """Return a place as its keys, from the top of a scenario down."""
    return tuple(place.split(".")) if isinstance(place, str) else tuple(place)


def lines_of(changes: Changes) -> tuple[str, ...]:
    """Return changes as lines of TOML, for people.

    Examples:
        >>> lines_of({"crew.trim.people": 7, ("takt",): "95 s"})
        ('crew.trim.people = 7', 'takt = "95 s"')
    """
    return tuple(toml_line(path_of(place), value) for place, value in changes.items())


def named_after(changes: Changes) -> str:
    """Return a name for a case that makes these changes.

    Examples:
        >>> named_after({"buffer.lane.capacity": 4, "takt": "90 s"})
        'buffer.lane.capacity = 4, takt = 90 s'
    """
    return ", ".join(
        f"{key((*path_of(place), *below))} = {shown_value(value)}"
        for place, whole in changes.items()
        for below, value in leaves(whole)
    )


def as_table(changes: Changes) -> dict[str, Any]:
    """Return changes as one table of tables, the last one on top.

    Examples:
        >>> as_table({"crew.trim.people": 7, "crew.trim": {"walk": "2 s"}})
        {'crew': {'trim': {'people': 7, 'walk': '2 s'}}}
    """
    whole: dict[str, Any] = {}
    for place, value in changes.items():
        path = path_of(place)
        if not path or not all(path):
            raise ValueError(f'{place!r} is no place in a scenario; write one such as "crew.trim.people"')
        for part in reversed(path):
            value = {part: value}
        whole = laid(whole, value)
    return whole


def replaced(scenario: Scenario, changes: Changes, add: Changes) -> Scenario:
    """Return the scenario with changes; see `Scenario.replace`."""
    new, over = as_table(add), as_table(changes)
    if not new and not over:
        return scenario
    notes = Notes()
    raw: dict[str, Any] = opened(scenario)
    if new:
        note_nothing_new(raw, new, Origins(CHANGE), notes)
    raw = laid(raw, new)
    note_new(raw, over, Origins(CHANGE), notes)
    note_files({**new, **over}, notes)
    note_hidden({**new, **over}, Origins(CHANGE), notes)
    if notes.has_errors:
        raise ScenarioError(notes.sorted([CHANGE]))
    raw = laid({**raw, "station": _without_bays(raw["station"])}, over)
    complete(raw)
    shift_s = shift_length(raw)
    if shift_s != shift_length(opened(scenario)):
        raw = _thawed(raw)  # every time that is told in shifts has another length now
    origins = Origins("scenario", {(key,): Origin(CHANGE) for key in {**new, **over}})
    names = names_in(raw)
    found = validate(raw, origins, notes, shift_s=shift_s)
    if found is not None:
        checker = Checker(found, names, origins, notes)
        check_rules(checker)
        if not notes.has_errors:
            return with_bays(checker)
    raise ScenarioError(notes.sorted([CHANGE, "scenario"]))


def opened(record: Record) -> dict[str, Any]:
    """Return what was given of a record by the name that stands in a file, the parts as they are."""
    names = type(record).model_fields
    return {
        names[name].alias or name: getattr(record, name) for name in names if name in record.model_fields_set
    }


def _thawed(value: Any) -> Any:
    """Return a scenario's parts as a file has them, to be read anew."""
    if isinstance(value, Record):
        return _thawed(opened(value))
    if isinstance(value, Mapping):
        return {name: _thawed(item) for name, item in value.items()}
    return str(value) if isinstance(value, Duration) else value


def laid(base: Any, over: Any) -> Any:
    """Return a value laid over another: tables merge, everything else is replaced.

    Only what changes is opened; what stays keeps its identity and need not be checked again.
    """
    if isinstance(base, Chance) and isinstance(over, Mapping) and not set(over) & set(Chance.model_fields):
        return over  # one chance for all models gives way to a table of chances
    low = opened(base) if isinstance(base, Record) else base
    if not isinstance(low, Mapping) or not isinstance(over, Mapping) or is_other_shape(low, over):
        return over
    if _is_nameless_fault(low, over):
        return {"fault": laid(low["fault"], over)}
    result = dict(low)
    for name, value in over.items():
        result[name] = laid(result[name], value) if name in result else value
    return result


def _is_nameless_fault(low: Mapping[str, Any], over: Mapping[str, Any]) -> bool:
    """Return whether the only fault of a task is meant, which has no name in a file."""
    return isinstance(low.get("fault"), Fault) and len(low) == 1 and not set(over) - set(Fault.model_fields)


def note_new(base: Any, over: Mapping[str, Any], origins: Origins, notes: Notes) -> None:
    """Note every name in `over` that would become a new thing on the line."""
    for path, known in new_names(base, over):
        kind = "station" if isinstance(path[-1], int) else str(path[-2])
        name = value_at(over, path) if isinstance(path[-1], int) else path[-1]
        owner = "this scenario" if len(path) == 2 or kind == "station" else dotted(path[:-2])
        article = "an" if kind == "option" else "a"
        notes.at_path(
            origins,
            path,
            "new-name",
            f"{shown(name)} is not {article} {kind} of {owner}; {has(known, str(name), kind)}. To make a new "
            "one, say so: `--add` on the command line, `add` in Python.",
        )


def note_nothing_new(base: Any, over: Mapping[str, Any], origins: Origins, notes: Notes) -> None:
    """Note an addition that adds nothing."""
    if not any(new_names(base, over)):
        notes.at_path(
            origins,
            next(path for path, _ in leaves(over)),
            "nothing-new",
            "this adds nothing: all that it names is there. To change it: `--set` on the command line, "
            "`replace` in Python.",
        )


def note_hidden(value: Any, origins: Origins, notes: Notes, path: Path = ()) -> None:
    """Note every text with a sign that hides or reorders what stands around it on a screen or a page."""
    if isinstance(value, str):
        if sign := hidden_sign(value):
            notes.at_path(
                origins,
                path,
                "hidden-sign",
                f"this text holds the sign {sign}, which hides others; leave it out.",
            )
            notes.fail(path)
    elif isinstance(value, Mapping):
        for key, item in value.items():
            note_hidden(item, origins, notes, (*path, key))
    elif isinstance(value, list | tuple):
        for number, item in enumerate(value):
            note_hidden(item, origins, notes, (*path, number))


def note_files(over: Mapping[str, Any], notes: Notes) -> None:
    """Note every file that a change names: a scenario that was read stands in no folder."""
    for path, value in leaves(over):
        if path[-1] in _FILES and isinstance(value, str):
            notes.at_path(
                Origins(CHANGE), path, "no-folder", "a change names no file; give what stands in it instead."
            )


def leaves(value: Any, path: Place = ()) -> Iterator[tuple[Place, Any]]:
    """Yield place and value of everything a table sets, going down until something is no table."""
    if isinstance(value, Mapping) and value:
        for key, item in value.items():
            yield from leaves(item, (*path, key))
    else:
        yield path, value


def new_names(base: Any, over: Mapping[str, Any]) -> Iterator[tuple[Path, tuple[str, ...]]]:
    """Yield every name that is in `over` and names nothing of `base`, with the names that there are.

    Args:
        base: A raw scenario, or one of which some tables are checked already.
        over: Tables to lay over it.
    """
    known = names_in(base)
    stations: dict[str, Any] = {name: {} for name in sorted(known["station"])}
    whole = {**base, "station": {**stations, **part_of(base, "station", {})}}
    if not whole.get("model"):
        whole["model"] = {STANDARD: {}}
    yield from _new_below(Scenario, whole, over, ())
    sections = over.get("section")
    for name, section in sections.items() if isinstance(sections, Mapping) else ():
        listed = part_of(section, "stations", ())
        for number, station in enumerate(listed if isinstance(listed, list | tuple) else ()):
            if isinstance(station, str) and station not in known["station"]:
                yield ("section", name, "stations", number), tuple(stations)


def _new_below(kind: Any, base: Any, over: Any, path: Path) -> Iterator[tuple[Path, tuple[str, ...]]]:
    kind = bare(kind)
    if not isinstance(over, Mapping):
        return
    if isinstance(kind, type) and issubclass(kind, Record):
        fields = fields_of(kind)
        for key, value in over.items():
            if key in fields and key not in _BY_VARIANT:
                yield from _new_below(annotation_of(fields[key]), part_of(base, key, {}), value, (*path, key))
    elif get_origin(kind) is dict:
        (_, inner) = get_args(kind)
        there = base if isinstance(base, Mapping) else {}
        if bare(inner) is Fault and set(over) & set(Fault.model_fields) - set(there):
            return  # the only fault of a task, without a name
        for name, value in over.items():
            if name in there:
                yield from _new_below(inner, there[name], value, (*path, name))
            else:
                yield (*path, name), tuple(there)


def _without_bays(stations: Mapping[str, Any]) -> dict[str, Any]:
    """Return stations as they were written: a change finds anew the bay that `with_bays` named."""
    return {
        name: station.model_copy(update={"open_to": None})
        if isinstance(station, Station) and station.open_to and "open_to" not in station.model_fields_set
        else station
        for name, station in stations.items()
    }


def with_bays(checker: Checker) -> Scenario:
    """Return the scenario with the bay named for the open work of stations that name none."""
    scenario = checker.scenario
    stations = dict(scenario.station)
    for name, station in scenario.station.items():
        if station.on_limit == "pass" and station.open_to is None:
            stations[name] = station.model_copy(update={"open_to": first_bay_after(checker, name)})
            stations[name].model_fields_set.discard("open_to")  # nobody wrote it
    return scenario.model_copy(update={"station": Named(stations)})
