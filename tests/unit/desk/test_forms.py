"""Forms from the schema: every table of the language has one, its fields say limits and usual values."""

from pathlib import Path

import pytest

from linesim.desk.forms import edits_from, form_of, read, shown, stepped, steppers
from linesim.desk.session import DeskError, Edit, Session
from linesim.scenario import load


@pytest.fixture(scope="module")
def tractor(scenarios: Path) -> Session:
    """Return a session of the tractor line."""
    return Session(scenarios / "tractor" / "line.toml")


def keys_below(session: Session, key: str) -> list[str]:
    """Return the forms that can be reached from one."""
    found = [key]
    for what, links in form_of(session.base, key).parts:
        for link in links[: 2 if what in ("task", "station") else None]:  # of many alike, the first
            found += keys_below(session, link.key)
    return found


def test_every_table_has_a_form(tractor: Session) -> None:
    """From the form of the line one comes to every table, and what stands in a form says nothing new."""
    keys = keys_below(tractor, "")
    wanted = {
        "run", "crew.trim", "station.F1", "station.F1.task.hoist-frame", "buffer.bank-trim", "tool.cab-gun",
        "option.cab", "calendar.late-breaks", "section.frame.failure.lift", "orders.spacing.climate", "cost",
        "bay.rework", "model.yard",
    }  # fmt: skip
    assert wanted <= set(keys)
    for key in keys:
        form = form_of(tractor.base, key)
        values = {field.name: field.text for field in form.fields}
        assert edits_from(tractor.base, key, values) == [], key


def test_what_a_form_shows_can_be_written_back(tractor: Session) -> None:
    """Each text of a form, read as its field reads it, gives the line that the file gives."""
    for key in keys_below(tractor, ""):
        form = form_of(tractor.base, key)
        edits = {
            (*filter(None, key.split(".")), field.name): read(field.kind, field.text)
            for field in form.fields
            if field.text
        }
        if edits:
            assert tractor.base.replace(edits).fingerprint() == tractor.base.fingerprint(), key


def test_fields_say_limits_help_and_usual_values(tractor: Session) -> None:
    """A field carries the language's own help, its limits, its choices, and what is usual."""
    fields = {field.name: field for field in form_of(tractor.base, "station.T4").fields}
    assert fields["late"].hint == "a share, such as 35% or 0.35, from 0 to 10"
    assert fields["late"].text == "20%"
    assert fields["on_limit"].choices == ("stop", "pass")
    assert fields["places"].hint == "whole number, from 1 on"
    assert "past its far border" in fields["late"].help
    assert {field.name: field.usual for field in form_of(tractor.base, "crew.trim").fields}["walk"] == "0 s"


@pytest.mark.parametrize(
    ("kind", "text", "value"),
    [
        ("count", "7", 7), ("count", "seven", "seven"), ("share", "35%", "35%"), ("share", "0.35", 0.35),
        ("yes", "yes", True), ("names", "T1, T2;T3", ["T1", "T2", "T3"]), ("time", " 61 s ", "61 s"),
        ("value", "61 s", "61 s"), ("value", '{ mean = "61 s", cv = 0.1 }', {"mean": "61 s", "cv": 0.1}),
        ("value", "{ a = 20% }", {"a": "20%"}), ("value", "0.4", 0.4), ("number", "1e5", "1e5"),
    ],
)  # fmt: skip
def test_texts_are_read_by_kind(kind: str, text: str, value: object) -> None:
    """What somebody writes is read as its field wants it; what cannot be read stays, for the check."""
    assert read(kind, text) == value  # type: ignore[arg-type]


def test_an_emptied_field_is_refused(tractor: Session) -> None:
    """What the file says cannot be taken away by emptying a field, and that is told."""
    with pytest.raises(DeskError, match="cannot be taken away"):
        edits_from(tractor.base, "crew.trim", {"people": " "})


def test_steps_change_what_people_change_most(tractor: Session) -> None:
    """People, places and tools go by one, take rates by five points, the takt by a second; none below 0."""
    groups = dict(steppers(tractor.base))
    assert list(groups) == ["People", "Places and tools", "Takt", "Take rates"]
    assert stepped(tractor.base, "crew.trim.people", 1).value == 7
    assert stepped(tractor.base, "takt", -1).value == "179 s"
    assert stepped(tractor.base, "option.cab.take.field", 1).value == 0.8
    low = tractor.base.replace({"option.cab.take.field": 0.02, "buffer.bank-trim.capacity": 0})
    assert stepped(low, "option.cab.take.field", -1).value == 0.0
    assert stepped(low, "buffer.bank-trim.capacity", -1).value == 0
    with pytest.raises(DeskError):
        stepped(tractor.base, "run.seed", 1)


def test_one_take_rate_for_all_models(scenarios: Path) -> None:
    """An option with one take rate has one step, whatever is said of how well it is known."""
    line = load(scenarios / "tractor" / "line.toml")
    line = line.replace({"option.cab.take": 0.5}).replace({"option.cab.take.confidence": "guess"})
    (own,) = [one for one in dict(steppers(line))["Take rates"] if one.key.startswith("option.cab.")]
    assert (own.key, own.text) == ("option.cab.take", "50%")
    assert stepped(line, own.key, 1).value == 0.55


def test_changes_are_told_in_words(tractor: Session) -> None:
    """A change names its place as people do, with before and after in the form's own writing."""
    edits = [Edit(("crew", "trim", "people"), 7), Edit(("station", "F1", "task", "bush-left", "at"), "F2"),
             Edit(("option", "cab", "take", "field"), 0.8), Edit(("station", "T4", "late"), 0.3)]  # fmt: skip
    assert [(one.place, one.text) for one in shown(tractor.base, edits)] == [
        ("people in trim crew", "trim crew: 6 → 7 people"),
        ("station of bush-left at F1", "bush-left at F1: station F1 → F2"),
        ("take rate field of cab", "cab: take rate field 75% → 80%"), ("late of T4", "T4: late 20% → 30%"),
    ]  # fmt: skip
