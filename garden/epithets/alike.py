"""Names that may be taken for one another: by the eye, by the ear, in another order.

    names = Names([("Example Violet", 7), ("Zyntra", 8)])
    names.like("Exampel Violet")[0].sentence  # ‘Example Violet’ looks alike: 1 letter differs.

By the eye: optimal string alignment (a letter wrong, missing, too many, or two swapped) and
Jaro-Winkler on the letters alone, by RapidFuzz. By the ear: `garden.epithets.sounds`. Likeness is
the same both ways round. The limits below are ours.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Hashable, Iterable
from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property, lru_cache

from rapidfuzz import process
from rapidfuzz.distance import OSA, JaroWinkler

from garden.epithets.findings import CODE, WORD, Finding, Name, Severity
from garden.epithets.sounds import Ear, ears_of, folded, said_in_one
from garden.names import fold

# (letters of the shorter name, mistakes that leave it alike)
MISTAKES = ((16, 3), (8, 2), (4, 1), (0, 0))
BEGINS_ALIKE, SLACK = 0.95, 0.02
# Spellings of one sound may differ this much and no more; a key of one consonant tells nothing.
SPELLED_ALIKE, LEAST_KEY = 0.7, 2
MOST_WORDS, MOST_SIGNS = 8, 80
MOST_LOOKED_AT = 60


class Kind(StrEnum):
    """In which way two names are alike, the closest first."""

    SAME = "same"
    SPACING = "spacing"
    ORDER = "order"
    LOOKS = "looks"
    SOUNDS = "sounds"


ORDER = list(Kind)


@dataclass(frozen=True)
class Known:
    """A name made ready to be compared. `key` is the caller's own."""

    text: str
    key: Hashable = None

    @cached_property
    def folded(self) -> str:
        text = self.text[:MOST_SIGNS]
        # The same as folding where there are but plain letters.
        plain = text.isascii() and text.replace(" ", "").isalnum()
        return " ".join(text.lower().split()) if plain else fold(text)

    @cached_property
    def letters(self) -> str:
        """Letters and numerals alone."""
        return "".join(sign for sign in self.folded if sign.isalnum())

    @cached_property
    def words(self) -> tuple[str, ...]:
        return tuple(WORD.findall(self.text[:MOST_SIGNS]))

    @cached_property
    def plain_words(self) -> tuple[str, ...]:
        return tuple(sorted(folded(word) for word in self.words))

    @cached_property
    def ears(self) -> tuple[Ear, ...]:
        """The whole name by each ear: its words said in one."""
        return said_in_one(self.words[:MOST_WORDS])


@dataclass(frozen=True, slots=True)
class Like:
    """A name that is like the one asked for, in which way, how much (0 to 1), and in words."""

    known: Known
    kind: Kind
    score: float
    way: str

    @property
    def sentence(self) -> str:
        """‘Example Violet’ looks alike: 1 letter differs."""
        return f"‘{self.known.text}’ {self.way}."

    @property
    def finding(self) -> Finding:
        """The likeness as a finding: the same name breaks the rule, a likeness is a doubt."""
        same = self.kind in (Kind.SAME, Kind.SPACING)
        return Finding(
            "unique", Severity.BREAKS if same else Severity.DOUBT, self.sentence, CODE.article,
            CODE.text, CODE.standing,
        )  # fmt: skip


def likeness(one: Known, other: Known) -> tuple[Kind, float] | None:
    """How two names are alike; None when nobody would take the one for the other."""
    if not (one.letters and other.letters):
        return (Kind.SAME, 1.0) if one.folded == other.folded else None
    if one.letters == other.letters:
        return (Kind.SAME if one.folded == other.folded else Kind.SPACING), 1.0
    if one.plain_words == other.plain_words:
        return Kind.ORDER, 1.0
    if looks := _look(one.letters, other.letters):
        return Kind.LOOKS, looks
    if sounds := _sound(one, other):
        return Kind.SOUNDS, sounds
    return None


def _look(one: str, other: str) -> float:
    far = OSA.distance(one, other)
    same = 1 - far / max(len(one), len(other))
    if far <= mistakes(min(len(one), len(other))):
        return same
    begin = max(
        JaroWinkler.normalized_similarity(one, other), JaroWinkler.normalized_similarity(other, one)
    )
    return same if begin >= BEGINS_ALIKE and min(len(one), len(other)) > 4 else 0.0


def mistakes(letters: int) -> int:
    """How many mistakes leave a name of so many letters alike."""
    return next(allowed for least, allowed in MISTAKES if letters >= least)


def _sound(one: Known, other: Known) -> float:
    """The whole said in one, or word by word in any order."""
    if whole := _by_ear(one.ears, other.ears):
        return whole
    if not 1 < len(one.words) == len(other.words) <= MOST_WORDS:
        return 0.0
    table = [[_word(a, b) for b in other.words] for a in one.words]
    return _paired(table, 0, frozenset())


def _word(one: str, other: str) -> float:
    if folded(one) == folded(other):
        return 1.0
    return _by_ear(ears_of(one), ears_of(other))


def _by_ear(one: tuple[Ear, ...], other: tuple[Ear, ...]) -> float:
    """How alike two words are spelled by ears to which they sound the same; 0 for none."""
    best = 0.0
    for key, spelled in one:
        for other_key, other_spelled in other:
            if key == other_key and len(key) >= LEAST_KEY:
                best = max(best, OSA.normalized_similarity(spelled, other_spelled))
    return best if best >= SPELLED_ALIKE else 0.0


def _paired(table: list[list[float]], row: int, taken: frozenset[int]) -> float:
    """The best weakest link when each word of the one has a word of the other to itself."""
    if row == len(table):
        return 1.0
    best = 0.0
    for at, worth in enumerate(table[row]):
        if worth > best and at not in taken:
            best = max(best, min(worth, _paired(table, row + 1, taken | {at})))
    return best


def _way(one: Known, other: Known, kind: Kind) -> str:
    """In which way the other name is alike, in words that follow it."""
    if kind == Kind.LOOKS:
        far = OSA.distance(one.letters, other.letters)
        return "looks alike: 1 letter differs" if far == 1 else f"looks alike: {far} letters differ"
    return {
        Kind.SAME: "is the same name",
        Kind.SPACING: "differs by spaces or signs only",
        Kind.ORDER: "has the same words in another order",
        Kind.SOUNDS: "sounds alike",
    }[kind]


class Names:
    """Names made ready once, then asked often."""

    def __init__(self, names: Iterable[tuple[str, Hashable]], before: Names | None = None) -> None:
        """`before` lends what it made ready of names that are the same."""
        made = {(known.text, known.key): known for known in before.known} if before else {}
        self.known: list[Known] = [made.get((text, key)) or Known(text, key) for text, key in names]
        self._letters = [known.letters for known in self.known]
        self._by_ear: dict[str, list[int]] = defaultdict(list)
        self._by_word: dict[str, set[int]] = defaultdict(set)
        for at, known in enumerate(self.known):
            for key in {key for key, _ in known.ears if len(key) >= LEAST_KEY}:
                self._by_ear[key].append(at)
            for word in known.words if len(known.words) > 1 else ():
                for key in _word_keys(word):
                    self._by_word[key].add(at)

    def __len__(self) -> int:
        return len(self.known)

    def like(self, text: str, most: int = 12) -> list[Like]:
        """The names that `text` may be taken for, the closest first."""
        asked = Known(Name.read(text).text)
        if not asked.folded:
            return []
        found = []
        for at in self._candidates(asked):
            other = self.known[at]
            if told := likeness(asked, other):
                found.append(Like(other, *told, _way(asked, other, told[0])))
        found.sort(key=lambda like: (ORDER.index(like.kind), -like.score, like.known.folded))
        return found[:most]

    def _candidates(self, asked: Known) -> list[int]:
        """Names worth a closer look."""
        letters = asked.letters
        if not letters:
            return [at for at, known in enumerate(self.known) if known.folded == asked.folded]
        # A longer name in the stock may be allowed more mistakes only if this one is as long.
        allowed = mistakes(len(letters))
        near = process.extract(
            letters, self._letters, scorer=OSA.distance, score_cutoff=allowed, processor=None,
            limit=MOST_LOOKED_AT,
        )  # fmt: skip
        begun = process.extract(
            letters, self._letters, scorer=JaroWinkler.normalized_similarity, processor=None,
            score_cutoff=BEGINS_ALIKE - SLACK, limit=MOST_LOOKED_AT,
        )  # fmt: skip
        found = dict.fromkeys(at for _, _, at in [*near, *begun])
        for key in {key for key, _ in asked.ears}:
            found |= dict.fromkeys(self._by_ear.get(key, ()))
        return [*(found | dict.fromkeys(self._all_words(asked)))]

    def _all_words(self, asked: Known) -> set[int]:
        """Names of as many words in which each word asked for is, or sounds like, one of theirs."""
        if len(asked.words) < 2:
            return set()
        holding = [
            set().union(*(self._by_word.get(key, set()) for key in _word_keys(word)))
            for word in asked.words
        ]
        holding.sort(key=len)
        together = holding[0].intersection(*holding[1:])
        return {at for at in together if len(self.known[at].words) == len(asked.words)}


@lru_cache(maxsize=200_000)
def _word_keys(word: str) -> frozenset[str]:
    """A word by itself and by each ear."""
    heard = {key for key, _ in ears_of(word) if len(key) >= LEAST_KEY}
    return frozenset(heard | {f"={folded(word)}"})
