"""How a word sounds to an English, a German and a French ear.

The word is spelled anew by the ear's own rules (ours, from memory; plain ones), then Metaphone
(Lawrence Philips, "Hanging on the Metaphone", Computer Language 7 (12), 1990; by the library
jellyfish) makes a key of its consonants. Accents fall away before. Only Latin letters sound.
"""

from __future__ import annotations

import re
from functools import lru_cache

import jellyfish

from garden.names import fold

Ear = tuple[str, str]
Spelling = list[tuple[re.Pattern[str], str]]


def _rules(text: str) -> Spelling:
    """Lines 'pattern > replacement'."""
    pairs = (line.split(">") for line in text.strip().splitlines())
    return [(re.compile(pattern.strip()), by.strip()) for pattern, by in pairs]


ENGLISH = _rules("""
    ^kn|^gn > n
    ^wr > r
    igh > i
    gh(?=t) >
    ph > f
    ck > k
    c(?=[eiy]) > s
    c > k
    qu > kw
    ee|ea|ey|ie > i
    y$ > i
    ew|ue|oo|ou > u
    ay|ai > a
    aw|au|ow|oa > o
    (?<=..)e$ >
""")
GERMAN = _rules("""
    ä|ae > e
    ö|oe > o
    ü|ue > u
    ß > ss
    tsch > tch
    sch > sh
    ^st > sht
    ^sp > shp
    chs > ks
    ch > k
    ck > k
    ph > f
    pf > f
    th|dt > t
    tz|z > ts
    v > f
    w > v
    qu > kv
    j > y
    ie > i
    ei|ai|ey > ai
    eu|äu > oi
    ([aeiou])h > \\1
    d$ > t
    b$ > p
    g$ > k
""")
FRENCH = _rules("""
    ç > ss
    eaux|eau|aux|au > o
    œu|œ > e
    oi|oy > wa
    ou > u
    qu > k
    tch > tch
    sch > sh
    (?<!t)ch > sh
    gn > ny
    ph > f
    th > t
    g(?=[eiyéè]) > j
    ge(?=[ao]) > j
    c(?=[eiyéè]) > ss
    ^h >
    (?<=[aeiouy])lle?$ > l
    ill > iy
    tion > ssion
    (?<=..)es?$ >
    (?<=..)[stdxzp]$ >
""")


DOUBLED = re.compile(r"(.)\1+")
VOWELS = "AEIOU"


def _spelled(word: str, rules: Spelling) -> str:
    for pattern, by in rules:
        word = pattern.sub(by, word)
    return folded(DOUBLED.sub(r"\1", word))


@lru_cache(maxsize=200_000)
def folded(word: str) -> str:
    """`fold` of a word, remembered."""
    # The same for plain letters, and most are.
    return word.lower() if word.isascii() and word.isalnum() else fold(word)


@lru_cache(maxsize=200_000)
def ears_of(word: str) -> tuple[Ear, ...]:
    """(key, spelling) for the English, the German and the French ear, in this order.

    Nothing for a word that is not in Latin letters, or whose consonants none of them hears.
    """
    plain = folded(word)
    if not (plain.isascii() and plain.isalpha()):
        return ()
    small = word.casefold()
    spellings = [_spelled(small, rules) for rules in (GERMAN, FRENCH)]
    if not all(each.isascii() for each in spellings):
        return ()
    # Metaphone knows English spelling itself.
    keys = [jellyfish.metaphone(each) for each in (plain, *spellings)]
    return tuple(zip(keys, (_spelled(small, ENGLISH), *spellings), strict=True))


def said_in_one(words: tuple[str, ...]) -> tuple[Ear, ...]:
    """The words of a name by each ear, without a stop between them."""
    heard = [ears_of(word) for word in words]
    if not heard or not all(heard):
        return ()
    ears = []
    for by_ear in zip(*heard, strict=True):
        # Within a word Metaphone passes over vowels.
        keys = (key.lstrip(VOWELS) if at else key for at, (key, _) in enumerate(by_ear))
        ears.append(("".join(keys), "".join(spelled for _, spelled in by_ear)))
    return tuple(ears)
