"""The places of keys in a TOML text."""

import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from linesim.scenario.origins import DEEPEST, TooDeepError, line_map
from linesim.scenario.origins import Path as Keys

TEXT = '''\
title = "one"                 # line 1
flow = [
  "main",                     # line 3
  "lane", # a ] in a comment
  """tr
im""",                        # lines 5 and 6
]
"quoted key" = { a = 1, b = [1, { c = 2 }], "d.e" = "}" }
note = """
[section.not-one]
fake = 1 \\"""
"""
x.y.z = 1979-05-27 07:32:00

[run]                         # line 15
length = '[1] h'

[station."K 1".task]
  [station."K 1".task.bolt]
  time = "61 s"
[[many]]
a = 1
[[many]]
a = 2
[many.inner]
b = 3
\t[ spaced . out ]
\t'literal' = \'\'\'it's = fine\'\'\'
"\\u0041\\n" = 1
'''


def paths(value: object, path: Keys = ()) -> Iterator[Keys]:
    """Yield every path of a parsed text."""
    inner = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, item in inner:
        yield (*path, key)
        yield from paths(item, (*path, key))


def test_every_key_has_its_line() -> None:
    """Quoted keys, long strings and lists, inline tables and lists of tables keep their lines."""
    found = line_map(TEXT)
    assert set(found) == set(paths(tomllib.loads(TEXT)))
    assert {path: line for path, line in found.items() if len(path) < 3} == {
        ("title",): 1, ("flow",): 2, ("flow", 0): 3, ("flow", 1): 4, ("flow", 2): 5, ("quoted key",): 8,
        ("quoted key", "a"): 8, ("quoted key", "b"): 8, ("quoted key", "d.e"): 8, ("note",): 9, ("x",): 13,
        ("x", "y"): 13, ("run",): 15, ("run", "length"): 16, ("station",): 18, ("station", "K 1"): 18,
        ("many",): 21, ("many", 0): 21, ("many", 1): 23, ("spaced",): 27, ("spaced", "out"): 27,
    }  # fmt: skip
    assert found["station", "K 1", "task", "bolt", "time"] == 20
    assert found["many", 1, "inner", "b"] == 26
    assert found["spaced", "out", "literal"] == 28
    assert found["spaced", "out", "A\n"] == 29


@pytest.mark.parametrize("line_end", ["\n", "\r\n"])
def test_shipped_scenarios_have_every_line(scenarios: Path, line_end: str) -> None:
    """In every shipped scenario each key and each list item has a line on which its name or value stands."""
    files = sorted(scenarios.rglob("*.toml"))
    assert files
    for file in files:
        text = file.read_text(encoding="utf-8").replace("\n", line_end)
        found, lines = line_map(text), text.split("\n")
        for path in paths(tomllib.loads(text)):
            if isinstance(path[-1], str):
                assert path[-1] in lines[found[path] - 1], (file, path)
            else:
                assert path in found


@pytest.mark.parametrize(
    "text",
    [
        "a = " + "[" * (DEEPEST + 5),
        "a = " + "{b = " * (DEEPEST + 5),
        ".".join(["a"] * (DEEPEST + 5)) + " = 1",
        "[" + ".".join(["a"] * (DEEPEST + 5)) + "]",
    ],
)
def test_deep_nesting_is_refused(text: str) -> None:
    """Lists, inline tables, dotted keys and headers that are nested too deep are refused."""
    with pytest.raises(TooDeepError, match="line 2"):
        line_map("\n" + text)


@given(text=st.text(alphabet="ab.=[]{}\"'#,\\\n 1", max_size=60))
def test_any_text_is_survived(text: str) -> None:
    """The scanner ends on any text, and where the text is TOML it knows every key."""
    found = line_map(text)
    assert all(1 <= line <= text.count("\n") + 1 for line in found.values())
    try:
        parsed = tomllib.loads(text)
    except ValueError:
        return
    assert set(paths(parsed)) <= set(found)
