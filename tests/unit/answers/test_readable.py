"""What an answer is about in a reader's words: keys of the file become words, everything else stays."""

import pytest

from linesim.answers.readable import in_words


@pytest.mark.parametrize(
    ("key", "words"),
    [
        ("crew.trim.people: 6 → 7", "trim crew: 6 → 7 people"),
        ("crew.trim.people = 7, buffer.bank-trim.capacity = 9", "trim crew: 7 people, bank-trim: 9 places"),
        ("people (crew.trim.people)", "people (people in trim crew)"),
        ('station.K1.task.bolt.time: "60 s" → "70 s"', "bolt at K1: time 60 s → 70 s"),
        ("station.F3.task.front-linkage-frame", "front-linkage-frame at F3"),
        ("option.roof.take = 0.35: 5 fewer jobs", "roof: take rate 0.35: 5 fewer jobs"),
        ("cost.margin_per_job = 310", "margin per job 310"),
        ('crew."left side".people = 3', "left side crew: 3 people"),
    ],
)
def test_keys_are_said_in_words(key: str, words: str) -> None:
    """A key with its value or its change is said as people say it."""
    assert in_words(key) == words


@pytest.mark.parametrize(
    "text", ["run.json", "orders.csv", "T7", "a model. one", "crew trim", "x.crew.trim.people"]
)
def test_what_is_no_key_stays(text: str) -> None:
    """Files, names and sentences are left alone."""
    assert in_words(text) == text
