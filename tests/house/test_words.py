"""People on the line should recognise their own words, and find nobody's address."""

import re
from pathlib import Path

from tests.house.tree import ROOT, each, text_files

#: Vocabulary of simulation programs in general; the shop floor says job, station, operator, takt, start, end.
AVOIDED = re.compile(
    r"\b(?:servers?|sinks?|entit(?:y|ies)|agents?|seiz(?:e|es|ed)|dispos(?:e|es|ed|al)|delay(?:s|ed)?"
    r"|nodes?|tokens?|transactions?|trials?|resources?|wizards?|digital twins?"
    r"|work items?|work cent(?:re|er)s?|flow items?|experiment managers?|model frames?"
    r"|sources? and sinks?|time in system|average number in|% (?:waiting|working|stopped))\b",
    re.IGNORECASE,
)
#: Places where such a word is a library's own, or not said of the line at all.
NOT_OURS = re.compile(
    r"`[^`]*`|simpy\.\w+|\bimport\b.*|https?://\S+|\bresource (?:module|limits?)\b"
    r"|\b(?:ACM|AIIE|IEEE|IIE) Transactions\b",
    re.IGNORECASE,
)

#: Keys, column names and measures that a user reads or writes must not be called this either.
AVOIDED_NAMES = frozenset(
    {"server", "sink", "entity", "agent", "node", "resource", "process", "create", "dispose"}
)

DOCUMENTS = tuple(
    path
    for path in text_files()
    if path.suffix in {".md", ".toml", ".csv", ".ipynb", ".html", ".j2"}
    and path.name != "pyproject.toml"
    and "problems" not in path.parts
)


def avoided_in(text: str) -> list[str]:
    """Return the avoided words of a text with their line numbers."""
    return [
        f"{number}: {found.group()}"
        for number, line in enumerate(text.splitlines(), start=1)
        for found in AVOIDED.finditer(NOT_OURS.sub(" ", line))
    ]


def test_the_check_sees_avoided_words() -> None:
    """An avoided word is found in a sentence and left alone in a code span or a library's name."""
    assert avoided_in("Every entity waits.\nA server is free.") == ["1: entity", "2: server"]
    assert not avoided_in("SimPy calls it `Resource`; simpy.Resource holds a crew.")


@each(DOCUMENTS)
def test_pages_speak_the_language_of_the_line(path: Path) -> None:
    """README, guides, scenarios, tables, notebooks and page templates use none of the avoided words."""
    assert not avoided_in(path.read_text(encoding="utf-8"))


#: A registry's address, or a setting that would hold one; written so that this file does not match itself.
_ADDRESS = re.compile(
    "index" + r"-url|https?://[\w.\-]*(?:pypi|npmjs|registry|conda|artifactory|packages)[\w.\-]*|"
    r'"resol' + r'ved":\s*"http',
    re.IGNORECASE,
)
_MACHINE_PATH = re.compile(r"(?<![\w.\-~])/(?:home|root|Users|tmp|work|mnt|opt)/[\w.]")


def test_the_check_sees_addresses_and_machine_paths() -> None:
    """A registry's address and a machine's path are found, an ordinary link and a relative path are not."""
    assert _ADDRESS.search("https://" + "registry.example.org/simple")
    assert _MACHINE_PATH.search("see /" + "home/jo/line.toml")
    assert not _ADDRESS.search("https://doi.org/10.1000/1")
    assert not _MACHINE_PATH.search("scenarios/opt/line.toml, left/right, ../tmp/x")


@each(text_files())
def test_no_addresses_of_registries_or_machines(path: Path) -> None:
    """No file names a package registry's address or a folder of somebody's machine."""
    try:
        text = path.read_text(encoding="utf-8")
    except UnicodeDecodeError:
        assert "problems" in path.parts, "only wrong samples may hold bytes that are no text"
        text = path.read_text(encoding="latin-1")
    found = [line for line in text.splitlines() if _ADDRESS.search(line) or _MACHINE_PATH.search(line)]
    assert not found


def test_no_lock_files() -> None:
    """No lock file is kept; versions alone stand under .ci."""
    locks = {"uv.lock", "poetry.lock", "package-lock.json", "pdm.lock", "Pipfile.lock", "yarn.lock"}
    assert not [path for path in text_files() if path.name in locks or path.name.startswith("pylock")]


def test_constraints_hold_versions_only() -> None:
    """Every line of the constraints is a name and one version, or a comment."""
    lines = (ROOT / ".ci" / "constraints.txt").read_text(encoding="utf-8").splitlines()
    assert not [line for line in lines if not re.fullmatch(r"#.*|[A-Za-z0-9._\-]+==[\w.\-+]+", line)]


def test_scenario_fields_and_measures_speak_the_language_of_the_line() -> None:
    """No key of a scenario and no name of a measure is an avoided word."""
    from linesim.scenario.reference import json_schema

    def keys(part: object) -> set[str]:
        if isinstance(part, dict):
            own = set(part["properties"]) if isinstance(part.get("properties"), dict) else set()
            return own.union(*(keys(value) for value in part.values()))
        if isinstance(part, list):
            return set().union(*(keys(value) for value in part))
        return set()

    found = keys(json_schema())
    assert len(found) > 50, "the schema should list the fields of the language"
    assert not found & AVOIDED_NAMES
