"""A proposed name looked at: what a program can check of it, and what it may be taken for.

    check("light of Test") -> [Finding(rule="capitals", severity=BREAKS, article="Article 21", …)]
    corrected("light Of test") -> "Light of Test"
    Names([("Example Violet", 7)]).like("Exampel Violet") -> [Like(…)]

Names are registered with the authority for the genus, whose rules decide; these checks are a
help and no answer. Each finding says where its rule stands and whether that was read or is told
from memory. Free of Django.
"""

from __future__ import annotations

from garden.epithets.alike import Kind, Known, Like, Names, likeness
from garden.epithets.code import counted
from garden.epithets.findings import Finding, Name, Severity, Source, Standing
from garden.epithets.rules import BEYOND, RULES, check, corrected

__all__ = [
    "BEYOND",
    "RULES",
    "Finding",
    "Kind",
    "Known",
    "Like",
    "Name",
    "Names",
    "Severity",
    "Source",
    "Standing",
    "check",
    "corrected",
    "counted",
    "likeness",
]
