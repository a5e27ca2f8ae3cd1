"""Parts of README that are written from the program say what the program says now."""

from tests.documents.pages import README, generated_part, write_part


def measures_table() -> str:
    """Return the table of measures with their definitions, and the words told apart."""
    from linesim.measures.definitions import DEFINITIONS, GLOSSARY

    lines = ["", "| measure | where | unit | what it means |", "|---|---|---|---|"]
    lines += [f"| `{name}` | {d.where} | {d.unit} | {d.says} |" for name, d in DEFINITIONS.items()]
    lines += ["", "Words that are easily taken for one another:", ""]
    lines += [f"- **{word}**: {says}." for word, says in GLOSSARY.items()]
    return "\n".join(lines) + "\n\n"


def codes_list() -> str:
    """Return one paragraph a code."""
    from linesim.scenario.codes import CODES

    return "\n" + "".join(f"**`{name}`** {says}\n\n" for name, says in sorted(CODES.items()))


def test_measures_are_current(update_golden: bool) -> None:
    """README defines exactly the measures that a table can hold."""
    if update_golden:
        write_part(README, "measures", measures_table())
    assert generated_part(README, "measures") == measures_table()


def test_codes_are_current(update_golden: bool) -> None:
    """README explains exactly the problem codes that the program can report."""
    if update_golden:
        write_part(README, "codes", codes_list())
    assert generated_part(README, "codes") == codes_list()
