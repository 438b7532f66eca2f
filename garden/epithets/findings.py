"""What is said of a name: how grave it is, by which rule, and how well that rule is known."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property

from garden.names import QUOTES, fold, tidy

SINGLE_QUOTES = "'‘’‚‛′＇`´"
DOUBLE_QUOTES = '"“”„‟«»〝〞″＂'
WORD = re.compile(r"[^\W_]+(?:['’][^\W_]+)*")
LETTERS = re.compile(r"[^\W\d_]+")


class Severity(StrEnum):
    """How grave a finding is, the gravest first."""

    BREAKS = "breaks"
    DOUBT = "doubt"
    NOTE = "note"


class Standing(StrEnum):
    """Whether a rule was read in a source, or is told from memory."""

    VERIFIED = "verified"
    MEMORY = "memory"


@dataclass(frozen=True, slots=True)
class Source:
    """Where a rule stands: the article ('' outside the code), the text, and what was read."""

    article: str
    text: str
    standing: Standing


CODE = Source(
    "Article 21",
    "International Code of Nomenclature for Cultivated Plants, 9th edition (2016), as told by a "
    "naming guide that follows it and by the quick guide of the International Society for "
    "Horticultural Science. The code itself was not read, nor the numbers of its paragraphs.",
    Standing.VERIFIED,
)
CODE_FROM_MEMORY = Source("Article 21", CODE.text, Standing.MEMORY)
CODE_OF_1995 = Source(
    "Article 21",
    "Guides to the Code of 1995. The list of the 9th edition (2016) is wider, from memory.",
    Standing.VERIFIED,
)
OLDER_LIST = Source(
    "Article 21",
    "An older list of a registrar. Whether the 9th edition (2016) still has the word is from "
    "memory.",
    Standing.VERIFIED,
)
REGISTRAR = Source(
    "",
    "Older rules of the American Iris Society’s registrar; ask which of them still hold.",
    Standing.VERIFIED,
)
CAREFUL = Source("", "Common practice.", Standing.MEMORY)


@dataclass(frozen=True, slots=True)
class Said:
    """What one rule says of one name: how grave, in a sentence, with a correction or ''.

    `source` where it is another than that of the rule.
    """

    severity: Severity
    sentence: str
    correction: str = ""
    source: Source | None = None


@dataclass(frozen=True, slots=True)
class Finding:
    """What is to be said of a name, with the rule, its article and source, and how it is known."""

    rule: str
    severity: Severity
    sentence: str
    article: str
    source: str
    standing: Standing
    correction: str = ""


@dataclass(frozen=True)
class Name:
    """A name as the rules read it: without outer single quotes, unseen signs, doubled spaces."""

    text: str

    @classmethod
    def read(cls, raw: str) -> Name:
        text = tidy(raw)
        while len(text) > 1 and text[0] in SINGLE_QUOTES and text[-1] in SINGLE_QUOTES:
            text = text[1:-1].strip()
        return cls(text)

    @cached_property
    def plain(self) -> str:
        """Without double quotation marks as well."""
        return "".join(sign for sign in self.text if sign not in DOUBLE_QUOTES).strip()

    @cached_property
    def words(self) -> list[str]:
        """Words as they stand between blanks and hyphens, without the signs round them."""
        return WORD.findall(self.text)

    @cached_property
    def folded(self) -> list[str]:
        """Runs of letters as words are compared: no case, no accents, no apostrophes."""
        return LETTERS.findall(fold(self.text).translate(QUOTES))


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule: its key, where it stands, and the function that says what breaks it."""

    key: str
    source: Source
    look: Callable[[Name], Iterator[Said]]

    def findings(self, name: Name) -> Iterator[Finding]:
        for said in self.look(name):
            source = said.source or self.source
            better = Name.read(said.correction).text
            yield Finding(
                self.key, said.severity, said.sentence, source.article, source.text,
                source.standing, better if better != name.text else "",
            )  # fmt: skip
