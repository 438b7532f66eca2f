"""The table of rules, and a name looked at by all of them.

To add a rule: a function that takes a `Name` and yields what it has to say (`Said`), and its line
in `RULES` with the source. `fix` of a `Said` is a name that the same rule has nothing against.
"""

from __future__ import annotations

from garden.epithets import code, registrar
from garden.epithets.capitals import capitals
from garden.epithets.findings import (
    CODE,
    CODE_FROM_MEMORY,
    CODE_OF_1995,
    REGISTRAR,
    Finding,
    Name,
    Rule,
    Severity,
)

RULES = (
    Rule("length", CODE, code.length),
    Rule("something", CODE, code.something),
    Rule("code", CODE, code.code_word),
    Rule("banned", CODE, code.banned),
    Rule("latin", CODE, code.latin),
    Rule("praise", CODE, code.praise),
    Rule("capitals", CODE, capitals),
    Rule("quotation", CODE, code.quotation),
    Rule("cultivar mark", CODE, code.cultivar_mark),
    Rule("signs", CODE_OF_1995, code.signs),
    Rule("exclamation", CODE_OF_1995, code.exclamation),
    Rule("scripts", CODE_FROM_MEMORY, code.scripts),
    Rule("titles", REGISTRAR, registrar.titles),
    Rule("opening", REGISTRAR, registrar.opening),
    Rule("numerals", REGISTRAR, registrar.numerals),
    Rule("genus", REGISTRAR, registrar.genus),
    Rule("words", REGISTRAR, registrar.many_words),
)
# What no program can look at.
BEYOND = (
    "Whether a living person is meant, whose consent is asked for.",
    "Whether the name was ever registered or used for another iris: only the names in this stock "
    "are known here.",
    "Whether it is a trade mark, or may offend.",
)
ORDER = list(Severity)
MOST_ROUNDS = 8


def check(text: str, rules: tuple[Rule, ...] = RULES) -> list[Finding]:
    """What is to be said of a proposed name, the gravest first; nothing of an empty text.

    Never fails. Names in the stock are another matter: see `garden.epithets.alike`.
    """
    name = Name.read(text)
    if not name.text:
        return []
    found = [finding for rule in rules for finding in rule.findings(name)]
    return sorted(found, key=lambda finding: ORDER.index(finding.severity))


def corrected(text: str) -> str:
    """The name with all mechanical corrections made; the name itself where there are none."""
    name = Name.read(text).text
    for _ in range(MOST_ROUNDS):
        better = next((each.correction for each in check(name) if each.correction), "")
        if not better or better == name:
            break
        name = better
    return name
